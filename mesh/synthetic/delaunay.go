package synthetic

import (
	"cmp"
	"errors"
	"slices"
)

// mesher is a Delaunay triangulation grown point by point inside a large
// triangle, then made to hold given edges.
//
// Points are on an integer lattice, so that every question of side is answered
// exactly; only the in-circle test, which decides quality and not validity, is
// in floating point. Sources: C. L. Lawson, Software for C1 surface
// interpolation, 1977 (flips); S. W. Sloan, A fast algorithm for generating
// constrained Delaunay triangulations, Comput. Struct. 47 (1993) 441-450.
type mesher struct {
	p    [][2]int64
	t    []tri
	at   []int32 // one triangle that each point is a corner of
	last int32   // where the next search starts
}

// tri is a triangle, counter-clockwise; n[i] lies across the edge opposite
// v[i], -1 for none; fixed[i] says that this edge may not be flipped.
type tri struct {
	v, n  [3]int32
	fixed [3]bool
}

// latticeMax bounds the coordinates of points: the outer triangle reaches three
// times as far, a difference twice that, and the sum of two products of
// differences stays under 2^63.
const latticeMax = 1 << 27

var errTouches = errors.New("an outline or hole touches or crosses itself or another; move it or take smaller facets")

// newMesher takes n points, to be inserted next; the corners of the outer
// triangle are n, n+1 and n+2.
func newMesher(points [][2]int64) *mesher {
	n := int32(len(points))
	const f = 3 * latticeMax
	p := append(slices.Clone(points), [2]int64{-f, -f / 2}, [2]int64{f, -f / 2}, [2]int64{0, f})
	m := &mesher{p: p, t: make([]tri, 0, 2*len(p)), at: make([]int32, len(p))}
	m.t = append(m.t, tri{v: [3]int32{n, n + 1, n + 2}, n: [3]int32{-1, -1, -1}})
	return m
}

// side is over 0 where c lies left of a to b, 0 on the line.
func (m *mesher) side(a, b, c int32) int64 {
	p, q, r := m.p[a], m.p[b], m.p[c]
	return (q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0])
}

// inCircle says that d lies clearly inside the circle through a, b, c. The
// margin is some ten roundings of the terms, so that ties never flip.
func (m *mesher) inCircle(a, b, c, d int32) bool {
	o := m.p[d]
	ax, ay := float64(m.p[a][0]-o[0]), float64(m.p[a][1]-o[1])
	bx, by := float64(m.p[b][0]-o[0]), float64(m.p[b][1]-o[1])
	cx, cy := float64(m.p[c][0]-o[0]), float64(m.p[c][1]-o[1])
	a2, b2, c2 := ax*ax+ay*ay, bx*bx+by*by, cx*cx+cy*cy
	return a2*(bx*cy-by*cx)+b2*(cx*ay-cy*ax)+c2*(ax*by-ay*bx) >
		1e-14*(a2*(b2+c2)+b2*c2)
}

// insertAll inserts every point, in the order of a space-filling curve.
func (m *mesher) insertAll() error {
	n := len(m.p) - 3
	key := make([]uint64, n)
	order := make([]int32, n)
	for i := range n {
		order[i] = int32(i)
		key[i] = hilbert(uint32(m.p[i][0]+latticeMax)>>12, uint32(m.p[i][1]+latticeMax)>>12)
	}
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(key[a], key[b]), cmp.Compare(a, b))
	})
	for _, i := range order {
		if err := m.insert(i); err != nil {
			return err
		}
	}
	return nil
}

// hilbert returns the distance along the curve of order 16 of a cell.
func hilbert(x, y uint32) uint64 {
	var d uint64
	for s := uint32(1) << 15; s > 0; s >>= 1 {
		rx, ry := min(x&s, 1), min(y&s, 1)
		d += uint64(s) * uint64(s) * uint64((3*rx)^ry)
		if ry == 0 {
			if rx == 1 {
				x, y = ^x, ^y
			}
			x, y = y, x
		}
	}
	return d
}

// insert adds point i, which must not lie on a point already there.
func (m *mesher) insert(i int32) error {
	t, on, err := m.locate(i)
	if err != nil {
		return err
	}
	if on < 0 {
		m.splitFace(t, i)
		return nil
	}
	m.splitEdge(t, on, i)
	return nil
}

// locate walks to the triangle that holds point i; on is the edge it lies on,
// or -1.
func (m *mesher) locate(i int32) (t int32, on int, err error) {
	t = m.last
	for range 4*len(m.t) + 4 {
		next, on := int32(-1), -1
		for k := range 3 {
			s := m.side(m.t[t].v[(k+1)%3], m.t[t].v[(k+2)%3], i)
			if s < 0 {
				next = m.t[t].n[k]
				break
			}
			if s == 0 {
				if on >= 0 {
					return t, on, errTouches // on two edges: at a corner
				}
				on = k
			}
		}
		if next < 0 {
			return t, on, nil
		}
		t = next
	}
	return t, -1, errTouches
}

// set writes triangle t and tells its corners and neighbours.
func (m *mesher) set(t int32, v, n [3]int32, fixed [3]bool) {
	m.t[t] = tri{v, n, fixed}
	for k := range 3 {
		m.at[v[k]] = t
		m.join(n[k], v[(k+2)%3], v[(k+1)%3], t)
	}
}

// join makes t the neighbour of u across its edge a to b.
func (m *mesher) join(u, a, b, t int32) {
	if u < 0 {
		return
	}
	for k := range 3 {
		if m.t[u].v[(k+1)%3] == a && m.t[u].v[(k+2)%3] == b {
			m.t[u].n[k] = t
		}
	}
}

func (m *mesher) splitFace(t, i int32) {
	o := m.t[t]
	u := int32(len(m.t))
	m.t = append(m.t, tri{}, tri{})
	w := u + 1
	m.set(t, [3]int32{i, o.v[1], o.v[2]}, [3]int32{o.n[0], u, w}, [3]bool{o.fixed[0]})
	m.set(u, [3]int32{i, o.v[2], o.v[0]}, [3]int32{o.n[1], w, t}, [3]bool{o.fixed[1]})
	m.set(w, [3]int32{i, o.v[0], o.v[1]}, [3]int32{o.n[2], t, u}, [3]bool{o.fixed[2]})
	m.last = t
	m.legalise(t, u, w)
}

// splitEdge puts point i on edge k of triangle t.
func (m *mesher) splitEdge(t int32, k int, i int32) {
	a, b, c := m.t[t].v[k], m.t[t].v[(k+1)%3], m.t[t].v[(k+2)%3]
	u := m.t[t].n[k]
	j := m.corner(u, c, b)
	d := m.t[u].v[j]
	nca, nab := m.t[t].n[(k+1)%3], m.t[t].n[(k+2)%3]
	nbd, ndc := m.t[u].n[(j+1)%3], m.t[u].n[(j+2)%3] // u is d, c, b
	x := int32(len(m.t))
	m.t = append(m.t, tri{}, tri{})
	y := x + 1
	none := [3]bool{}
	m.set(t, [3]int32{i, a, b}, [3]int32{nab, y, x}, none)
	m.set(x, [3]int32{i, c, a}, [3]int32{nca, t, u}, none)
	m.set(u, [3]int32{i, d, c}, [3]int32{ndc, x, y}, none)
	m.set(y, [3]int32{i, b, d}, [3]int32{nbd, u, t}, none)
	m.last = t
	m.legalise(t, x, u, y)
}

// corner returns the place in u of the corner opposite its edge a to b.
func (m *mesher) corner(u, a, b int32) int {
	for k := range 3 {
		if m.t[u].v[(k+1)%3] == a && m.t[u].v[(k+2)%3] == b {
			return k
		}
	}
	return 0
}

// legalise flips edges opposite the first corner of each triangle named, and of
// those that arise, until all are Delaunay.
func (m *mesher) legalise(stack ...int32) {
	for len(stack) > 0 {
		t := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		o := m.t[t]
		u := o.n[0]
		if u < 0 || o.fixed[0] {
			continue
		}
		d := m.t[u].v[m.corner(u, o.v[2], o.v[1])]
		if m.inCircle(o.v[0], o.v[1], o.v[2], d) {
			m.flip(t, 0)
			stack = append(stack, t, u)
		}
	}
}

// flip turns the diagonal opposite corner k of t. Afterwards t and its
// neighbour both have that corner first.
func (m *mesher) flip(t int32, k int) {
	o := m.t[t]
	a, b, c := o.v[k], o.v[(k+1)%3], o.v[(k+2)%3]
	u := o.n[k]
	q := m.t[u]
	j := m.corner(u, c, b)
	d := q.v[j] // q is d, c, b: its edge b to d is opposite c
	m.set(t, [3]int32{a, b, d}, [3]int32{q.n[(j+1)%3], u, o.n[(k+2)%3]}, [3]bool{q.fixed[(j+1)%3], false, o.fixed[(k+2)%3]})
	m.set(u, [3]int32{a, d, c}, [3]int32{q.n[(j+2)%3], o.n[(k+1)%3], t}, [3]bool{q.fixed[(j+2)%3], o.fixed[(k+1)%3], false})
}
