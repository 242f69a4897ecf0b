package primitive

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Unrolled is a bent sheet laid flat on its middle surface, seen from the side of
// its larger skin; mm of the maquette.
type Unrolled struct {
	ThicknessMM float64
	Outer       [][2]float64   // counter-clockwise
	Holes       [][][2]float64 // clockwise
	Rulings     []Ruling       // straight lines that stay straight, across the sheet
	// Strain is the greatest stretch that laying it flat asks for, as a share, noise
	// averaged out: 0 for a developable surface. Times SizeMM it bounds the error of
	// any length on the pattern.
	Strain, SizeMM float64
}

// Ruling is one line of bending; RadiusMM is that of the middle surface across it,
// positive where the sheet bends away from the viewer.
type Ruling struct {
	A, B     [2]float64
	RadiusMM float64
}

// What is no sheet, and how far one may have to be stretched.
const (
	skinsShare    = 0.6   // of the surface in two skins
	skinsAlike    = 0.5   // of the larger skin's area in the other
	StrainMost    = 0.005 // above it a surface is not developable: cold stretching, not bending
	unrollPasses  = 40
	strainPasses  = 40
	normalsPasses = 4
)

// ErrUnroll tells a piece that cannot be laid flat.
var ErrUnroll = errors.New("it cannot be developed")

// Unroll develops a thin sheet that is bent about straight lines.
//
// One skin is taken to the middle of the thickness along its normals. Its edges
// are as long as the arcs that they are chords of (turn of the normals), which
// gives each facet a true shape; the facets are laid out from the middle outwards
// and settled as rigidly as they can be together (Liu, Zhang, Xu, Gotsman and
// Gortler, Computer Graphics Forum 27 (2008) 1495). What strain is left, averaged
// over neighbours, is what the surface's Gaussian curvature makes impossible.
//
// Errors: ErrUnroll with what stands against it: no two skins, a strain over
// StrainMost.
func Unroll(p *Patch, thicknessMM float64) (Unrolled, error) {
	u := Unrolled{ThicknessMM: thicknessMM}
	facets, err := largerSkin(p, thicknessMM)
	if err != nil {
		return u, err
	}
	s := newSheet(p, facets, thicknessMM)
	loops := s.loops()
	if len(loops) == 0 {
		return u, fmt.Errorf("%w: its skin is closed in itself", ErrUnroll)
	}
	if !s.layOut() {
		return u, fmt.Errorf("%w: its skin is in parts", ErrUnroll)
	}
	s.settle(unrollPasses)
	lo, hi := s.box()
	u.SizeMM = hypot(hi[0]-lo[0], hi[1]-lo[1])
	if u.Strain = s.strain(strainPasses); !(u.Strain <= StrainMost) {
		return u, fmt.Errorf("%w: laid flat it would be stretched by %.1f %%, over %.1f %%: it is curved both ways", ErrUnroll, 100*u.Strain, 100*StrainMost)
	}
	u.outline(s, loops, max(p.NoiseMM, 5e-4*u.SizeMM))
	u.Rulings = s.rulings(&u)
	return u, nil
}

// outline sorts the borders: the longest way round is the outer one.
func (u *Unrolled) outline(s *bentSheet, loops [][]int32, tolMM float64) {
	var lines [][][2]float64
	for _, l := range loops {
		var line [][2]float64
		for _, v := range l {
			line = append(line, s.flat[v])
		}
		lines = append(lines, line)
	}
	outer := 0
	for i := range lines {
		if math.Abs(polygonAreaMM2(lines[i])) > math.Abs(polygonAreaMM2(lines[outer])) {
			outer = i
		}
	}
	for i, line := range lines {
		if (polygonAreaMM2(line) > 0) != (i == outer) {
			slices.Reverse(line)
		}
		thin := straightened(append(line, line[0]), tolMM)
		thin = thin[:len(thin)-1]
		if i == outer {
			u.Outer = thin
		} else if len(thin) > 2 {
			u.Holes = append(u.Holes, thin)
		}
	}
}

// largerSkin are the facets of the larger of a sheet's two skins: connected, with
// metal as thick as the sheet behind them.
func largerSkin(p *Patch, thicknessMM float64) ([]int, error) {
	tree := newFacetTree(p)
	least := 1e-6*p.SizeMM + 0.02*p.EdgeMM
	thin := make([]bool, len(p.Facet))
	for f := range p.Facet {
		d, to := tree.exitAt(p.FacetC[f], r3.Scale(-1, p.FacetS[f]), int32(f), least)
		thin[f] = d > 0.5*thicknessMM && d < 1.7*thicknessMM && r3.Dot(p.FacetS[f], p.FacetS[to]) < -0.8 // not the edges about a corner
	}
	label, area := p.smoothParts(thin)
	first, second := -1, -1
	for i := range area {
		switch {
		case first < 0 || area[i] > area[first]:
			first, second = i, first
		case second < 0 || area[i] > area[second]:
			second = i
		}
	}
	if second < 0 || area[first]+area[second] < skinsShare*p.TotalMM2 || area[second] < skinsAlike*area[first] {
		return nil, fmt.Errorf("%w: it is no sheet of even thickness with two skins", ErrUnroll)
	}
	var out []int
	for f, l := range label {
		if int(l) == first || l < 0 && p.fillsNotch(f, label, int32(first)) {
			out = append(out, f)
		}
	}
	return out, nil
}

// fillsNotch tells a facet at the border of a part, in its plane, whose ray went
// astray at the rim.
func (p *Patch) fillsNotch(f int, label []int32, part int32) bool {
	for _, g := range p.Next[f] {
		if g >= 0 && label[g] == part && r3.Dot(p.FacetS[f], p.FacetS[g]) > 0.9 {
			return true
		}
	}
	return false
}

// skinTurn is the least cosine between neighbouring facets of one skin: a rim turns
// by a right angle.
const skinTurn = 0.7

// smoothParts labels the facets that are in, joined where they turn little; -1
// elsewhere. area has one entry a part.
func (p *Patch) smoothParts(in []bool) (label []int32, area []float64) {
	label = make([]int32, len(p.Facet))
	for i := range label {
		label[i] = -1
	}
	for i := range p.Facet {
		if label[i] >= 0 || !in[i] {
			continue
		}
		part := int32(len(area))
		area = append(area, 0)
		label[i] = part
		for stack := []int32{int32(i)}; len(stack) > 0; {
			f := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			area[part] += p.FacetMM2[f]
			for _, g := range p.Next[f] {
				if g >= 0 && label[g] < 0 && in[g] && r3.Dot(p.FacetS[f], p.FacetS[g]) > skinTurn {
					label[g] = part
					stack = append(stack, g)
				}
			}
		}
	}
	return label, area
}
