package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// seam is the search for the curve where two bodies meet.
//
// Two pieces that touch have no curve in common that noise would leave in
// place: a tube's end on a plate lies a hundredth above or below it. So both are
// grown by growMM, more than their gap; grown pieces cut through each other
// cleanly. Their common curve is found and then followed back along both
// surfaces as the growth is taken away (see seamsettle.go).
type seam struct {
	a, b   *body
	gapMM  float64 // 0 where they overlap
	tolMM  float64
	growMM float64
	cellMM float64
	lo     r3.Vec
	runs   []seamRun
	facing float64 // median cosine between the two outward normals, grown
}

// Cells along the seam: fine enough for a hundred on the way round a usual
// joint, no finer than a seam can mean.
const (
	seamCells     = 110.0
	seamCellMinMM = 0.15
	seamCellMaxMM = 0.6
	seamLeaves    = 60000
)

func newSeam(a, b *body, gapMM, tolMM float64) *seam {
	s := &seam{a: a, b: b, gapMM: gapMM, tolMM: tolMM}
	r := a.box.common(b.box, gapMM+tolMM)
	size := r3.Norm(r3.Sub(r.hi, r.lo))
	s.cellMM = min(max(size/seamCells, min(seamCellMinMM, size/20)), seamCellMaxMM)
	return s
}

// find fills runs, coarser where the curve is too long for the bound on cells.
func (s *seam) find() {
	for range 6 {
		s.growMM = s.gapMM + max(s.tolMM, 0.5*s.cellMM)
		leaves, ok := s.leaves()
		if !ok {
			s.cellMM *= 2
			continue
		}
		chains := s.march(leaves)
		s.settle(chains)
		return
	}
}

// leaves are the cells of side cellMM, by their index from lo, that the grown
// bodies' common curve may cross; false where they are too many.
func (s *seam) leaves() ([][3]int32, bool) {
	r := s.a.box.common(s.b.box, s.growMM+s.cellMM)
	// An odd share of a cell keeps corners off the faces of pieces that lie along
	// the scan's axes.
	s.lo = r3.Sub(r.lo, r3.Scale(s.cellMM, r3.Vec{X: 0.3717, Y: 0.4139, Z: 0.2861}))
	size := max(r.hi.X-s.lo.X, r.hi.Y-s.lo.Y, r.hi.Z-s.lo.Z)
	level := 0
	for s.cellMM*float64(int(1)<<level) < size && level < 20 {
		level++
	}
	cells := [][3]int32{{}}
	for ; ; level-- {
		side := s.cellMM * float64(int(1)<<level)
		half := side * math.Sqrt(3) / 2 * boundSlack
		if level == 0 {
			half *= leafSlack
		}
		kept := cells[:0]
		for _, c := range cells {
			p := r3.Add(s.lo, r3.Scale(side, r3.Vec{X: float64(c[0]) + 0.5, Y: float64(c[1]) + 0.5, Z: float64(c[2]) + 0.5}))
			if math.Abs(s.a.distance(p)-s.growMM) <= half && math.Abs(s.b.distance(p)-s.growMM) <= half {
				kept = append(kept, c)
			}
		}
		if level == 0 || len(kept) == 0 {
			return kept, true
		}
		if len(kept) > seamLeaves {
			return nil, false
		}
		cells = make([][3]int32, 0, 8*len(kept))
		for _, c := range kept {
			for k := int32(0); k < 8; k++ {
				cells = append(cells, [3]int32{2*c[0] + k&1, 2*c[1] + k>>1&1, 2*c[2] + k>>2})
			}
		}
	}
}

// leafSlack keeps leaves beside the curve, which straight-line interpolation
// may lead it through.
const leafSlack = 1.3
