// Package render draws a mesh as a printed workshop sheet: ink lines and light
// washes on cream paper, in parallel projection, so that lengths can be taken
// off the sheet with its scale bar.
//
// [Overview] shows the whole piece at full size beside a person, [Deviation]
// the signed departure of the scan from the ideal surfaces, [Element] one
// element in its own frame. The same input gives the same bytes, whatever the
// number of processors: the picture is cut into bands and each band is drawn by
// one goroutine, in the order of the facets.
package render

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"math"

	"pointup/mesh"
)

// ErrInput marks input that cannot be drawn: an index out of range, lengths
// that do not agree, a size that no sheet has, nothing to draw.
var ErrInput = errors.New("cannot draw")

// Piece is the mesh to draw and where it stands at full size.
//
// Shapes: Points V rows, Faces F rows of indices into Points, Element F or nil.
// A facet with a point that is not finite is left out.
type Piece struct {
	Points  [][3]float32
	Faces   [][3]uint32
	Element []uint32    // the element's number, 0 = none; nil: all one element
	Closed  bool        // the facets enclose what they show: none is seen from behind
	Site    [12]float64 // 3x4 row-major, from Points to SITE (mm at full size, z up, ground z = 0)
}

// SiteFromFile returns the matrix of [Piece] for points in file units, from
// the millimetres in one unit and the 3x4 row-major matrix from SCAN to SITE.
func SiteFromFile(unitMM float64, siteFromScan [12]float64) [12]float64 {
	m := siteFromScan
	for row := range 3 {
		for col := range 3 {
			m[4*row+col] *= unitMM
		}
	}
	return m
}

// Sheet is the paper: its size and what its title strip says. Text that does
// not fit is shortened.
type Sheet struct {
	WidthPx, HeightPx int // 160 to 8192
	Title             string
	Subtitle          string
	Note              string
	Tell              mesh.Tell // progress, in facets drawn; may be nil
}

// DefaultSheet is 1600 x 1200 pixels: 180 mm wide on paper at 226 pixels an
// inch.
func DefaultSheet() Sheet { return Sheet{WidthPx: 1600, HeightPx: 1200} }

const (
	sideMinPx = 160
	sideMaxPx = 8192
)

func (s Sheet) check() error {
	for _, v := range []int{s.WidthPx, s.HeightPx} {
		if v < sideMinPx || v > sideMaxPx {
			return fmt.Errorf("%w: a sheet of %d x %d pixels; sides go from %d to %d", ErrInput, s.WidthPx, s.HeightPx, sideMinPx, sideMaxPx)
		}
	}
	return nil
}

func (p Piece) check() error {
	if len(p.Faces) == 0 {
		return fmt.Errorf("%w: no facets", ErrInput)
	}
	if p.Element != nil && len(p.Element) != len(p.Faces) {
		return fmt.Errorf("%w: %d element numbers for %d facets", ErrInput, len(p.Element), len(p.Faces))
	}
	n := uint32(min(len(p.Points), math.MaxUint32))
	for i, f := range p.Faces {
		if f[0] >= n || f[1] >= n || f[2] >= n {
			return fmt.Errorf("%w: facet %d names a point beyond the last, %d", ErrInput, i, len(p.Points))
		}
	}
	for _, v := range p.Site {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: the matrix to full size is not finite", ErrInput)
		}
	}
	return nil
}

func checkAll(p Piece, s Sheet) error {
	if err := s.check(); err != nil {
		return err
	}
	return p.check()
}

// checkSize refuses what has no extent or one that no piece of metal has.
func checkSize(b box) error {
	const sizeMaxMM = 1e9
	for k := range 3 {
		if b.isEmpty() || !(b.lo[k] > -sizeMaxMM) || !(b.hi[k] < sizeMaxMM) {
			return fmt.Errorf("%w: the piece has no size, or is more than 1000 km from its origin at full size", ErrInput)
		}
	}
	return nil
}

// PNG encodes img; the same pixels give the same bytes.
func PNG(img image.Image) ([]byte, error) {
	var b bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := enc.Encode(&b, img); err != nil {
		return nil, fmt.Errorf("picture: %w", err)
	}
	return b.Bytes(), nil
}
