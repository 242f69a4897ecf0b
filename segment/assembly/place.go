package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/primitive"
)

// weldNearMM is how far from any ideal piece weld goes to the nearest; what is
// farther off stays with the part that it was found in.
const weldNearMM = 0.5

// placeOf is the piece of one facet of the patch, and whether it is weld there:
// the piece on whose ideal surface it lies, facing its way, where the part that
// it was found in, first, counts as half as far as it is (-1: none). What lies on
// none is weld of the nearest, but for what a freeform had, and what lies inside
// its own ideal piece, which is the wall of a hole or a dent.
func placeOf(p *primitive.Patch, pieces []Piece, first int32, i int) (k int32, isWeld bool) {
	q := r3.Add(p.FacetC[i], p.OriginMM)
	best, at, nearest, any := math.Inf(1), int32(-1), math.Inf(1), max(first, 0)
	for k := range pieces {
		x := &pieces[k]
		if x.Element.Kind == "freeform" || r3.Norm(r3.Sub(q, x.Patch.OriginMM)) > 0.5*x.Patch.SizeMM+3 {
			continue
		}
		d, on := liesAt(p, x, i)
		if d < nearest {
			nearest, any = d, int32(k)
		}
		if int32(k) == first {
			d /= 2
		}
		if on && d < best {
			best, at = d, int32(k)
		}
	}
	switch {
	case at >= 0:
		return at, false
	case first < 0:
		return any, true
	case pieces[first].Element.Kind == "freeform" || pieces[first].Element.DistanceMM(q) < 0:
		return first, false
	case nearest > weldNearMM:
		return first, true
	}
	return any, true
}

// liesAt is a facet's distance from a piece's ideal surface, and whether it lies
// on that and faces its way.
func liesAt(p *primitive.Patch, x *Piece, i int) (mm float64, on bool) {
	q := r3.Add(p.FacetC[i], p.OriginMM)
	mm = math.Abs(x.Element.DistanceMM(q))
	return mm, mm <= onGate(p, x) && r3.Dot(x.Element.Normal(q), p.FacetS[i]) >= onCos
}

// onGate is how far from a piece's ideal surface a facet may lie and be of it,
// onCos the least cosine between their normals.
func onGate(p *primitive.Patch, x *Piece) float64 {
	return max(4*x.Element.RMSMM, 4*p.NoiseMM, 0.01)
}

const onCos = 0.6
