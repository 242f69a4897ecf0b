package scanfile

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"

	"golang.org/x/sync/errgroup"

	"pointup/mesh"
)

// Labelled is a scan with what was found on it.
//
// Shapes: Element and Role have one entry a facet of the soup, in file order;
// DeviationMM one a row of Soup.Points. Row, unless nil, has one entry a point of
// the file, in its order: the row of Soup.Points that it is.
type Labelled struct {
	Soup        mesh.Soup
	Row         []uint32
	Element     []uint32  // 0 for none, else the number in the element's id
	Role        []uint8   // 0 none, 1 piece, 2 weld, 3 dust; nil: 1 where there is an element, else 0
	DeviationMM []float32 // at full size, + outside; NaN where there is none
}

const (
	plyVertexBytes = 16
	plyFaceBytes   = 18
	writeBytes     = 1 << 20
)

// WritePLY writes l as binary little-endian PLY: the points of the soup in its
// units, its facets in file order and number. The same l gives the same bytes.
func WritePLY(w io.Writer, l Labelled) error {
	if err := l.check(); err != nil {
		return err
	}
	head := fmt.Sprintf(`ply
format binary_little_endian 1.0
comment vertices in scan units; deviation in mm at full size, + outside, NaN where none
comment facets in file order; element 0 = none; role 0 none, 1 piece, 2 weld, 3 dust
element vertex %d
property float x
property float y
property float z
property float deviation
element face %d
property list uchar uint vertex_indices
property uint element
property uchar role
end_header
`, l.points(), len(l.Soup.Corners))
	if _, err := io.WriteString(w, head); err != nil {
		return err
	}
	return piped(w, l.pack)
}

// points is how many points the file has.
func (l Labelled) points() int {
	if l.Row != nil {
		return len(l.Row)
	}
	return len(l.Soup.Points)
}

func (l Labelled) role(facet int) uint8 {
	switch {
	case l.Role != nil:
		return l.Role[facet]
	case l.Element[facet] != 0:
		return 1
	}
	return 0
}

// pack hands all rows on in blocks of about writeBytes.
func (l Labelled) pack(hand func([]byte) []byte) {
	buf := hand(nil)
	for i := range l.points() {
		row := i
		if l.Row != nil {
			row = int(l.Row[i])
		}
		buf = appendVertex(buf, l.Soup.Points[row], l.DeviationMM[row])
		if len(buf) >= writeBytes {
			buf = hand(buf)
		}
	}
	for i, c := range l.Soup.Corners {
		buf = appendFace(buf, c, l.Element[i], l.role(i))
		if len(buf) >= writeBytes {
			buf = hand(buf)
		}
	}
	hand(buf)
}

// piped writes blocks to w while pack makes the next one. Each block that pack
// hands on is given back empty later; it asks for its first one with nil. Once w
// fails, blocks are taken and not written.
func piped(w io.Writer, pack func(hand func([]byte) []byte)) error {
	const blocks = 3 // one packed, one written, one on the way
	free, full := make(chan []byte, blocks), make(chan []byte, blocks)
	for range blocks {
		free <- make([]byte, 0, writeBytes+max(plyVertexBytes, plyFaceBytes))
	}
	var work errgroup.Group
	work.Go(mesh.Guarded(func() error {
		defer close(full)
		pack(func(b []byte) []byte {
			if b != nil {
				full <- b
			}
			return <-free
		})
		return nil
	}))
	var err error
	for b := range full {
		if err == nil {
			_, err = w.Write(b)
		}
		free <- b[:0]
	}
	return errors.Join(err, work.Wait())
}

// check refuses labels that do not fit the soup.
func (l Labelled) check() error {
	facets, rows := len(l.Soup.Corners), len(l.Soup.Points)
	if len(l.Element) != facets || l.Role != nil && len(l.Role) != facets {
		return fmt.Errorf("%d facets have %d element numbers and %d roles", facets, len(l.Element), len(l.Role))
	}
	if len(l.DeviationMM) != rows {
		return fmt.Errorf("%d points have %d deviations", rows, len(l.DeviationMM))
	}
	for i, r := range l.Row {
		if int(r) >= rows {
			return fmt.Errorf("point %d is row %d of %d", i, r, rows)
		}
	}
	for i, r := range l.Role {
		if r > 3 {
			return fmt.Errorf("facet %d has role %d; roles are 0 to 3", i, r)
		}
	}
	return cornersInRange(l.Soup.Corners, l.points())
}

func cornersInRange(corners [][3]uint32, points int) error {
	for i, c := range corners {
		if uint64(max(c[0], c[1], c[2])) >= uint64(points) {
			return fmt.Errorf("facet %d has corners %v, but there are %d points", i, c, points)
		}
	}
	return nil
}

func appendVertex(b []byte, p [3]float32, deviation float32) []byte {
	b = append32(b, math.Float32bits(p[0]))
	b = append32(b, math.Float32bits(p[1]))
	b = append32(b, math.Float32bits(p[2]))
	v := math.Float32bits(deviation)
	if deviation != deviation {
		v = 0x7fc00000 // one NaN of the many
	}
	return append32(b, v)
}

func appendFace(b []byte, c [3]uint32, element uint32, role uint8) []byte {
	b = append(b, 3)
	b = append32(b, c[0])
	b = append32(b, c[1])
	b = append32(b, c[2])
	b = append32(b, element)
	return append(b, role)
}

func append32(b []byte, v uint32) []byte { return binary.LittleEndian.AppendUint32(b, v) }
