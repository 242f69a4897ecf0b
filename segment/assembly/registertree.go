package assembly

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/primitive"
)

// facetTree finds the facet of a patch whose centre is nearest: a tree whose nodes are the
// middles of ranges of order, parted along x, y, z in turn.
type facetTree struct {
	patch      *primitive.Patch
	order      []int32
	centre     r3.Vec
	size, edge float64
}

func newFacetTree(p *primitive.Patch) *facetTree {
	t := &facetTree{patch: p, centre: p.OriginMM, size: p.SizeMM, edge: p.EdgeMM}
	for i := range p.FacetC {
		if r3.Norm(p.FacetN[i]) > 0.5 {
			t.order = append(t.order, int32(i))
		}
	}
	t.part(0, len(t.order), 0)
	return t
}

func (t *facetTree) point(v int32) r3.Vec  { return r3.Add(t.patch.OriginMM, t.patch.FacetC[v]) }
func (t *facetTree) normal(v int32) r3.Vec { return t.patch.FacetN[v] }

func axisOf(q r3.Vec, k int) float64 {
	switch k % 3 {
	case 0:
		return q.X
	case 1:
		return q.Y
	}
	return q.Z
}

func (t *facetTree) part(from, to, depth int) {
	if to-from < 2 {
		return
	}
	slices.SortFunc(t.order[from:to], func(a, b int32) int {
		return cmp.Or(cmp.Compare(axisOf(t.patch.FacetC[a], depth), axisOf(t.patch.FacetC[b], depth)), int(a-b))
	})
	mid := (from + to) / 2
	t.part(from, mid, depth+1)
	t.part(mid+1, to, depth+1)
}

// nearest is the facet whose centre is nearest to p and how far it is.
func (t *facetTree) nearest(p r3.Vec) (int32, float64) {
	q := r3.Sub(p, t.patch.OriginMM)
	best, least := int32(-1), math.Inf(1)
	var look func(from, to, depth int)
	look = func(from, to, depth int) {
		if from >= to {
			return
		}
		mid := (from + to) / 2
		v := t.order[mid]
		if d := r3.Norm2(r3.Sub(q, t.patch.FacetC[v])); d < least || d == least && v < best {
			best, least = v, d
		}
		d := axisOf(q, depth) - axisOf(t.patch.FacetC[v], depth)
		if d < 0 {
			look(from, mid, depth+1)
			if d*d <= least {
				look(mid+1, to, depth+1)
			}
		} else {
			look(mid+1, to, depth+1)
			if d*d <= least {
				look(from, mid, depth+1)
			}
		}
	}
	look(0, len(t.order), 0)
	return best, math.Sqrt(least)
}
