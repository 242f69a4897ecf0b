package mesh

import (
	"context"
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// openEdge is an edge that one facet uses, in that facet's direction.
type openEdge struct{ from, to, facet uint32 }

func (e openEdge) low() uint32  { return min(e.from, e.to) }
func (e openEdge) high() uint32 { return max(e.from, e.to) }

// edges is what one look at every edge of a mesh gives.
type edges struct {
	count       int
	medianUnits float64 // file units
	mostUnits   float64 // the longest
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
//
// Each band joins what lies in it; pairs with a facet of an earlier band are
// joined in the end. Whatever the order, the lowest facet is the root.
func (m *Mesh) scanEdges(ctx context.Context, parent []uint32, dust []bool) (edges, error) {
	bands := m.bands()
	scans := make([]edgeScan, len(bands))
	failed := make([]error, len(bands))
	eachBand(bands, func(k int, b band) {
		for f := b.lo; f < b.hi; f++ {
			parent[f] = uint32(f)
		}
		scans[k] = edgeScan{parent: parent, dust: dust, low: uint32(b.lo)}
		failed[k] = scans[k].scan(ctx, m, b)
	})
	if err := errors.Join(failed...); err != nil {
		return edges{}, ctx.Err()
	}
	e, lengths := scans[0].edges, scans[0].lengths
	for _, s := range scans[1:] {
		e.add(s.edges)
		lengths.merge(s.lengths)
	}
	for _, s := range scans {
		for _, p := range s.later {
			join(parent, p[0], p[1])
		}
	}
	e.medianUnits, e.mostUnits = lengths.median(), lengths.most
	return e, nil
}

// edgeScan looks at the edges that have their lower vertex in one band.
type edgeScan struct {
	edges
	lengths *lengths
	parent  []uint32
	dust    []bool
	low     uint32      // the band's first facet
	later   [][2]uint32 // facets to join with those of earlier bands
}

func (s *edgeScan) scan(ctx context.Context, m *Mesh, b band) error {
	s.lengths = newLengths()
	var uses []edgeUse
	for v := b.from; v < b.to; v++ {
		if v%stride == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		uses = m.usesAbove(v, uses[:0])
		for lo := 0; lo < len(uses); {
			hi := edgeEnd(uses, lo)
			w := uses[lo].vertex()
			s.count++
			s.lengths.add(math.Sqrt(r3.Norm2(difference(&m.Points[w], &m.Points[v]))))
			if s.dust == nil {
				s.see(v, w, uses[lo:hi])
			} else {
				s.seeApart(v, w, uses[lo:hi])
			}
			lo = hi
		}
	}
	return nil
}

// add takes what was seen on higher vertices.
func (e *edges) add(o edges) {
	e.count += o.count
	e.open = append(e.open, o.open...)
	e.nonmanifold = append(e.nonmanifold, o.nonmanifold...)
	e.disagree = append(e.disagree, o.disagree...)
}

func (s *edgeScan) see(v, w uint32, uses []edgeUse) {
	switch len(uses) {
	case 0:
	case 1:
		o := openEdge{v, w, uses[0].facet()}
		if !uses[0].up() {
			o.from, o.to = w, v
		}
		s.open = append(s.open, o)
	case 2:
		if uses[0].up() == uses[1].up() {
			s.disagree = append(s.disagree, uses[0].facet())
		}
		s.join(uses[0].facet(), uses[1].facet())
	default:
		s.nonmanifold = append(s.nonmanifold, [2]uint32{v, w})
	}
}

// join joins two facets, f the lower, now or, where f is not the band's, later.
func (s *edgeScan) join(f, g uint32) {
	if f < s.low {
		s.later = append(s.later, [2]uint32{f, g})
		return
	}
	join(s.parent, f, g)
}

// seeApart keeps the facets of dust out of what is counted.
func (s *edgeScan) seeApart(v, w uint32, uses []edgeUse) {
	n := 0
	var specks []uint32
	for _, u := range uses {
		if s.dust[u.facet()] {
			specks = append(specks, u.facet())
			continue
		}
		uses[n] = u
		n++
	}
	s.see(v, w, uses[:n])
	if len(specks) == 2 {
		s.join(specks[0], specks[1])
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
	most  float64
}

const lengthBits = 12

func newLengths() *lengths {
	return &lengths{count: make([]uint32, math.Float32bits(math.MaxFloat32)>>lengthBits+1)}
}

func (l *lengths) add(x float64) {
	l.count[math.Float32bits(float32(min(x, math.MaxFloat32)))>>lengthBits]++
	l.total++
	if x > l.most {
		l.most = x
	}
}

func (l *lengths) merge(o *lengths) {
	for b, n := range o.count {
		l.count[b] += n
	}
	l.total += o.total
	l.most = max(l.most, o.most)
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
