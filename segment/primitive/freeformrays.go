package primitive

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// facetTree finds the facets that a ray meets: boxes in boxes, each parted at the
// median of its facets' centres along its longest side.
type facetTree struct {
	p     *Patch
	order []int32
	node  []facetNode
}

// facetNode holds facets order[from:to]; its children stand at left and left+1,
// left is 0 for a leaf.
type facetNode struct {
	lo, hi   r3.Vec
	from, to int32
	left     int32
}

const leafFacets = 6

func newFacetTree(p *Patch) *facetTree {
	t := &facetTree{p: p, order: make([]int32, len(p.Facet))}
	for i := range t.order {
		t.order[i] = int32(i)
	}
	t.node = append(t.node, facetNode{to: int32(len(p.Facet))})
	for k := 0; k < len(t.node); k++ {
		t.part(k)
	}
	return t
}

// part measures node k and gives it children where it holds many facets.
func (t *facetTree) part(k int) {
	n := &t.node[k]
	inf := math.Inf(1)
	n.lo, n.hi = r3.Vec{X: inf, Y: inf, Z: inf}, r3.Vec{X: -inf, Y: -inf, Z: -inf}
	for _, f := range t.order[n.from:n.to] {
		for _, v := range t.p.Facet[f] {
			q := t.p.P[v]
			n.lo = r3.Vec{X: min(n.lo.X, q.X), Y: min(n.lo.Y, q.Y), Z: min(n.lo.Z, q.Z)}
			n.hi = r3.Vec{X: max(n.hi.X, q.X), Y: max(n.hi.Y, q.Y), Z: max(n.hi.Z, q.Z)}
		}
	}
	if n.to-n.from <= leafFacets {
		return
	}
	size := r3.Sub(n.hi, n.lo)
	along := func(q r3.Vec) float64 { return q.X }
	if size.Y > size.X && size.Y >= size.Z {
		along = func(q r3.Vec) float64 { return q.Y }
	} else if size.Z > size.X {
		along = func(q r3.Vec) float64 { return q.Z }
	}
	slices.SortFunc(t.order[n.from:n.to], func(a, b int32) int {
		return cmp.Or(cmp.Compare(along(t.p.FacetC[a]), along(t.p.FacetC[b])), int(a-b))
	})
	mid := (n.from + n.to) / 2
	n.left = int32(len(t.node))
	t.node = append(t.node, facetNode{from: n.from, to: mid}, facetNode{from: mid, to: n.to})
}

// exit is the distance along d from at to the nearest facet that the ray leaves
// the inside through, beyond least and not facet own; infinite where there is
// none.
func (t *facetTree) exit(at, d r3.Vec, own int32, least float64) float64 {
	best, _ := t.exitAt(at, d, own, least)
	return best
}

// exitAt also tells that facet, -1 for none.
func (t *facetTree) exitAt(at, d r3.Vec, own int32, least float64) (best float64, facet int32) {
	best, facet = math.Inf(1), -1
	stack := make([]int32, 1, 64)
	for len(stack) > 0 {
		n := t.node[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		if !n.meets(at, d, best) {
			continue
		}
		if n.left > 0 {
			stack = append(stack, n.left, n.left+1)
			continue
		}
		for _, f := range t.order[n.from:n.to] {
			if f == own || r3.Dot(t.p.FacetN[f], d) <= 0 {
				continue
			}
			if s := t.crossing(f, at, d); s > least && s < best {
				best, facet = s, f
			}
		}
	}
	return best, facet
}

// meets tells whether the ray enters the box before it has gone the distance.
func (n *facetNode) meets(at, d r3.Vec, far float64) bool {
	near := 0.0
	for _, s := range [3][4]float64{{at.X, d.X, n.lo.X, n.hi.X}, {at.Y, d.Y, n.lo.Y, n.hi.Y}, {at.Z, d.Z, n.lo.Z, n.hi.Z}} {
		if s[1] == 0 {
			if s[0] < s[2] || s[0] > s[3] {
				return false
			}
			continue
		}
		a, b := (s[2]-s[0])/s[1], (s[3]-s[0])/s[1]
		near, far = max(near, min(a, b)), min(far, max(a, b))
	}
	return near <= far*(1+1e-12)
}

// crossing is the distance along d at which the ray crosses facet f, -1 where it
// does not (Möller and Trumbore, J. Graphics Tools 2 (1997) 21).
func (t *facetTree) crossing(f int32, at, d r3.Vec) float64 {
	v := t.p.Facet[f]
	a := t.p.P[v[0]]
	e1, e2 := r3.Sub(t.p.P[v[1]], a), r3.Sub(t.p.P[v[2]], a)
	h := r3.Cross(d, e2)
	det := r3.Dot(e1, h)
	if det == 0 {
		return -1
	}
	s := r3.Sub(at, a)
	x := r3.Dot(s, h) / det
	q := r3.Cross(s, e1)
	y := r3.Dot(d, q) / det
	if x < -1e-9 || y < -1e-9 || x+y > 1+1e-9 {
		return -1
	}
	return r3.Dot(e2, q) / det
}
