package mesh

import (
	"context"
	"math"
)

// openEdge is an edge that one facet uses, in that facet's direction.
type openEdge struct{ from, to, facet uint32 }

func (e openEdge) low() uint32  { return min(e.from, e.to) }
func (e openEdge) high() uint32 { return max(e.from, e.to) }

// edges is what one look at every edge of a mesh gives.
type edges struct {
	count       int
	medianUnits float64 // file units
	open        []openEdge
	nonmanifold [][2]uint32 // edges of three facets or more
	disagree    []uint32    // one facet an edge whose two facets run the same way
}

// scanEdges looks at every edge once, in order of its lower and then its higher
// vertex, and joins facets across edges of two. Facets of dust, where dust is
// given, are joined among themselves and not seen by the others.
//
// parent is F long; on return parent[f] <= f, and f is the lowest of its
// component where they are equal.
func (m *Mesh) scanEdges(ctx context.Context, parent []uint32, dust []bool) (edges, error) {
	for f := range parent {
		parent[f] = uint32(f)
	}
	var e edges
	lengths := newLengths()
	var uses []edgeUse
	for v := range uint32(len(m.Points)) {
		if v%stride == 0 && ctx.Err() != nil {
			return e, ctx.Err()
		}
		uses = m.usesAbove(v, uses[:0])
		for lo := 0; lo < len(uses); {
			hi := edgeEnd(uses, lo)
			w := uses[lo].vertex()
			e.count++
			lengths.add(math.Sqrt(squared(difference(m.Points[w], m.Points[v]))))
			if dust == nil {
				e.see(v, w, uses[lo:hi], parent)
			} else {
				e.seeApart(v, w, uses[lo:hi], parent, dust)
			}
			lo = hi
		}
	}
	e.medianUnits = lengths.median()
	return e, nil
}

func (e *edges) see(v, w uint32, uses []edgeUse, parent []uint32) {
	switch len(uses) {
	case 0:
	case 1:
		o := openEdge{v, w, uses[0].facet()}
		if !uses[0].up() {
			o.from, o.to = w, v
		}
		e.open = append(e.open, o)
	case 2:
		if uses[0].up() == uses[1].up() {
			e.disagree = append(e.disagree, uses[0].facet())
		}
		join(parent, uses[0].facet(), uses[1].facet())
	default:
		e.nonmanifold = append(e.nonmanifold, [2]uint32{v, w})
	}
}

// seeApart keeps the facets of dust out of what is counted.
func (e *edges) seeApart(v, w uint32, uses []edgeUse, parent []uint32, dust []bool) {
	n := 0
	var specks []uint32
	for _, u := range uses {
		if dust[u.facet()] {
			specks = append(specks, u.facet())
			continue
		}
		uses[n] = u
		n++
	}
	e.see(v, w, uses[:n], parent)
	if len(specks) == 2 {
		join(parent, specks[0], specks[1])
	}
}

// join makes one component of those of f and g; the lower root stays a root.
func join(parent []uint32, f, g uint32) {
	a, b := root(parent, f), root(parent, g)
	if a < b {
		parent[b] = a
	} else {
		parent[a] = b
	}
}

func root(parent []uint32, f uint32) uint32 {
	for parent[f] != f {
		parent[f] = parent[parent[f]]
		f = parent[f]
	}
	return f
}

// lengths is a histogram of edge lengths over the leading bits of float32: 11
// bits of the mantissa, so a bucket is 0.05 % wide.
type lengths struct {
	count []uint32
	total int
}

const lengthBits = 12

func newLengths() *lengths {
	return &lengths{count: make([]uint32, math.Float32bits(math.MaxFloat32)>>lengthBits+1)}
}

func (l *lengths) add(x float64) {
	l.count[math.Float32bits(float32(min(x, math.MaxFloat32)))>>lengthBits]++
	l.total++
}

// median returns the median length, interpolated within its bucket: within
// 0.05 %, and free of any order.
func (l *lengths) median() float64 {
	rank, before := float64(l.total)/2, 0.0
	for b, n := range l.count {
		if n > 0 && before+float64(n) >= rank {
			lo := float64(math.Float32frombits(uint32(b) << lengthBits))
			hi := min(math.MaxFloat32, float64(math.Float32frombits(uint32(b+1)<<lengthBits)))
			return lo + (hi-lo)*(rank-before)/float64(n)
		}
		before += float64(n)
	}
	return 0
}
