package solid

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Thin leaves out points of a mesh, least change first, until it has about the
// given number of triangles: an edge is drawn together into one of its ends where
// the planes of the triangles around stay nearest (quadrics: Garland and
// Heckbert, SIGGRAPH 1997). Points that stay do not move. A closed mesh stays
// closed, and a border stays a border: an edge is left alone where its ends have
// other neighbours in common than the triangles beside it (Dey, Edelsbrunner, Guha
// and Nekhayev, Publ. Inst. Math. 66 (1999) 23), or where a triangle would turn
// over or lose its shape. So the number may not be reached.
func Thin(m Mesh, triangles int) Mesh {
	t := newThinning(m)
	t.queue = make(collapses, 0, 3*len(t.tri)) // each edge has two triangles; as much again for those that come
	for v := range t.around {
		t.offer(uint32(v), uint32(v))
	}
	t.queue.order()
	for left := len(t.tri); left > triangles && len(t.queue) > 0; {
		c := t.queue.pop()
		switch {
		case !t.stands(c):
		case t.allowed(c.from, c.to):
			left -= t.collapse(c.from, c.to)
			if len(t.queue) > 4*left { // of a mesh as it is come 3 to 2 triangles: half are out of date
				t.queue = slices.DeleteFunc(t.queue, func(c collapse) bool { return !t.stands(c) })
				t.queue.order()
			}
		case !c.back:
			t.push(t.reversed(c))
		}
	}
	return t.mesh()
}

// thinning is a mesh while it is thinned; a triangle that went has three equal
// corners.
type thinning struct {
	at     []r3.Vec
	tri    [][3]uint32
	around [][]uint32 // by point: its triangles
	form   []quadric
	age    []uint32 // by point: how often it changed
	border []bool   // by point: on an edge that has not two triangles
	queue  collapses

	met         []uint32 // by point: the last look round a point that came by
	looks       uint32
	round, near []uint32 // held for speed
}

func newThinning(m Mesh) *thinning {
	t := &thinning{at: m.Points, tri: slices.Clone(m.Triangles), around: roomAround(m), form: make([]quadric, len(m.Points)), age: make([]uint32, len(m.Points)), met: make([]uint32, len(m.Points))}
	for i, f := range t.tri {
		q, ok := t.plane(f)
		for _, v := range f {
			t.around[v] = append(t.around[v], uint32(i))
			if ok {
				t.form[v].add(&q)
			}
		}
	}
	t.findBorder()
	return t
}

// roomAround has an empty list for each point with room for the triangles round it, all
// in one piece of memory.
func roomAround(m Mesh) [][]uint32 {
	round := make([]int, len(m.Points))
	for _, f := range m.Triangles {
		for _, v := range f {
			round[v]++
		}
	}
	all, lists := make([]uint32, 3*len(m.Triangles)), make([][]uint32, len(m.Points))
	for v, n := range round {
		lists[v], all = all[:0:n], all[n:]
	}
	return lists
}

// quadric is the sum of squared distances from planes, weighted by area: of
// x'Ax + 2b'x + c its A (xx, xy, xz, yy, yz, zz), b and c.
type quadric [10]float64

func (q *quadric) add(o *quadric) {
	for i := range q {
		q[i] += o[i]
	}
}

func planeQuadric(n r3.Vec, d, weight float64) quadric {
	q := quadric{n.X * n.X, n.X * n.Y, n.X * n.Z, n.Y * n.Y, n.Y * n.Z, n.Z * n.Z, d * n.X, d * n.Y, d * n.Z, d * d}
	for i := range q {
		q[i] *= weight
	}
	return q
}

func (q *quadric) at(p r3.Vec) float64 {
	return q[0]*p.X*p.X + q[3]*p.Y*p.Y + q[5]*p.Z*p.Z + 2*(q[1]*p.X*p.Y+q[2]*p.X*p.Z+q[4]*p.Y*p.Z) + 2*(q[6]*p.X+q[7]*p.Y+q[8]*p.Z) + q[9]
}

func (t *thinning) normal(f [3]uint32) r3.Vec {
	return r3.Cross(r3.Sub(t.at[f[1]], t.at[f[0]]), r3.Sub(t.at[f[2]], t.at[f[0]]))
}

func (t *thinning) plane(f [3]uint32) (quadric, bool) {
	n := t.normal(f)
	l := r3.Norm(n)
	if l == 0 {
		return quadric{}, false
	}
	n = r3.Scale(1/l, n)
	return planeQuadric(n, -r3.Dot(n, t.at[f[0]]), l), true
}

// findBorder marks the points on edges that have not two triangles, and holds those on
// edges that have one.
func (t *thinning) findBorder() {
	t.border = make([]bool, len(t.around))
	beside := make([]uint32, len(t.around)) // by point next to the one that is looked at: triangles with both
	var rim []uint32
	for i := range t.around {
		v := uint32(i)
		for _, f := range t.around[v] {
			x := t.tri[f]
			for k, w := range x {
				if !slices.Contains(x[:k], w) {
					beside[w]++
				}
			}
		}
		rim = rim[:0]
		for _, w := range t.ring(v) {
			t.border[v] = t.border[v] || beside[w] != 2
			if beside[w] == 1 {
				rim = append(rim, w)
			}
			beside[w] = 0
		}
		beside[v] = 0
		slices.Sort(rim)
		for _, w := range rim {
			t.rim(v, w)
		}
	}
}

// rimWeight holds borders in their place.
const rimWeight = 100

// rim adds a plane through a border's edge, square to its triangle.
func (t *thinning) rim(v, w uint32) {
	f := t.beside(v, w)[0]
	along := r3.Sub(t.at[w], t.at[v])
	n := r3.Cross(along, t.normal(t.tri[f]))
	l := r3.Norm(n)
	if l == 0 {
		return
	}
	n = r3.Scale(1/l, n)
	q := planeQuadric(n, -r3.Dot(n, t.at[v]), rimWeight*r3.Norm2(along))
	t.form[v].add(&q)
}

// beside are the triangles with both points; they hold until it is asked again.
func (t *thinning) beside(v, w uint32) []uint32 {
	t.near = t.near[:0]
	for _, f := range t.around[v] {
		if x := t.tri[f]; x[0] == w || x[1] == w || x[2] == w {
			t.near = append(t.near, f)
		}
	}
	return t.near
}

// ring lists the points next to v, in a list that is used again; afterwards they have
// met this look and no other point has.
func (t *thinning) ring(v uint32) []uint32 {
	t.looks++
	t.round = t.round[:0]
	for _, f := range t.around[v] {
		for _, w := range t.tri[f] {
			if w != v && t.met[w] != t.looks {
				t.met[w] = t.looks
				t.round = append(t.round, w)
			}
		}
	}
	return t.round
}

// common counts the points next to both v and w.
func (t *thinning) common(v, w uint32) int {
	t.ring(v)
	before, n := t.looks, 0
	t.looks++
	for _, f := range t.around[w] {
		for _, x := range t.tri[f] {
			if x != w && t.met[x] == before {
				t.met[x] = t.looks
				n++
			}
		}
	}
	return n
}

// offer lists the edges from v to points from least on, each in its cheaper direction.
func (t *thinning) offer(v, least uint32) {
	for _, w := range t.ring(v) {
		if w < least {
			continue
		}
		q := t.form[v]
		q.add(&t.form[w])
		age := t.age[v] + t.age[w]
		c, o := collapse{cost: q.at(t.at[w]), from: v, to: w, age: age}, collapse{cost: q.at(t.at[v]), from: w, to: v, age: age}
		if o.less(&c) {
			c = o
		}
		t.queue = append(t.queue, c)
	}
}

// reversed is the dearer direction of an edge, whose turn comes where the cheaper one
// is not allowed.
func (t *thinning) reversed(c collapse) collapse {
	q := t.form[c.from]
	q.add(&t.form[c.to])
	return collapse{cost: q.at(t.at[c.from]), from: c.to, to: c.from, age: c.age, back: true}
}

func (t *thinning) push(c collapse) {
	t.queue = append(t.queue, c)
	t.queue.rise(len(t.queue) - 1)
}

// shapeLeast is the least share of its size that a triangle's height may have,
// and turnMost the cosine of the most that it may turn.
const (
	shapeLeast = 0.02
	turnMost   = 0.2
)

// allowed says whether from may be drawn into to.
func (t *thinning) allowed(from, to uint32) bool {
	shared := len(t.beside(from, to))
	if shared == 0 || shared > 2 || shared == 2 && t.border[from] {
		return false
	}
	if t.common(from, to) != shared || len(t.around[from]) == 3 && len(t.around[to]) == 3 && shared == 2 { // a tetrahedron
		return false
	}
	for _, f := range t.around[from] {
		old := t.tri[f]
		if old[0] == to || old[1] == to || old[2] == to {
			continue
		}
		now := old
		for k := range now {
			if now[k] == from {
				now[k] = to
			}
		}
		a, b := t.normal(old), t.normal(now)
		longest := 0.0
		for k := range now {
			longest = max(longest, r3.Norm2(r3.Sub(t.at[now[k]], t.at[now[(k+1)%3]])))
		}
		size2, turn := r3.Norm2(b), r3.Dot(a, b)
		if size2 < shapeLeast*shapeLeast*longest*longest || turn < 0 || turn*turn < turnMost*turnMost*r3.Norm2(a)*size2 {
			return false
		}
	}
	return true
}

// stands tells that neither end has changed since the edge was listed.
func (t *thinning) stands(c collapse) bool { return c.age == t.age[c.from]+t.age[c.to] }

// collapse draws from into to and returns how many triangles went.
func (t *thinning) collapse(from, to uint32) int {
	gone := t.beside(from, to)
	for _, f := range gone {
		for _, v := range t.tri[f] {
			t.leave(v, f)
		}
		t.tri[f] = [3]uint32{}
	}
	for _, f := range t.around[from] {
		for k := range t.tri[f] {
			if t.tri[f][k] == from {
				t.tri[f][k] = to
			}
		}
	}
	t.around[to] = append(t.around[to], t.around[from]...)
	t.around[from] = nil
	t.form[to].add(&t.form[from])
	t.border[to] = t.border[to] || t.border[from]
	t.age[from]++
	t.age[to]++
	first := len(t.queue)
	t.offer(to, 0)
	for i := first; i < len(t.queue); i++ {
		t.queue.rise(i)
	}
	return len(gone)
}

// leave takes a triangle from those around a point.
func (t *thinning) leave(v, f uint32) {
	l := t.around[v]
	i := slices.Index(l, f)
	l[i] = l[len(l)-1]
	t.around[v] = l[:len(l)-1]
}

// mesh gathers what is left; points keep their order.
func (t *thinning) mesh() Mesh {
	var m Mesh
	number := make([]uint32, len(t.at))
	for v, p := range t.at {
		if len(t.around[v]) > 0 {
			number[v] = m.point(p)
		}
	}
	for _, f := range t.tri {
		if f[0] != f[1] {
			m.triangle(number[f[0]], number[f[1]], number[f[2]])
		}
	}
	return m
}

// collapse is an edge that may be drawn together, with what it costs.
type collapse struct {
	cost     float64
	from, to uint32
	age      uint32
	back     bool // the other direction had its turn
}

// collapses are a heap, cheapest first: item i stands under (i-1)/branches.
type collapses []collapse

// branches of the heap: with four the way down is half as long as with two, and the
// four lie beside one another in memory.
const branches = 4

// less is a strict order of all that are not the same edge, so that a mesh is
// thinned the same way every time.
func (c *collapse) less(o *collapse) bool {
	switch {
	case c.cost != o.cost:
		return c.cost < o.cost
	case c.from != o.from:
		return c.from < o.from
	}
	return c.to < o.to
}

func (l collapses) order() {
	for i := (len(l) - 2) / branches; i >= 0; i-- {
		l.sink(i)
	}
}

func (l *collapses) pop() collapse {
	h := *l
	top, last := h[0], len(h)-1
	h[0] = h[last]
	*l = h[:last]
	l.sink(0)
	return top
}

// rise puts item i among those before it.
func (l collapses) rise(i int) {
	x := l[i]
	for i > 0 && x.less(&l[(i-1)/branches]) {
		l[i] = l[(i-1)/branches]
		i = (i - 1) / branches
	}
	l[i] = x
}

// sink puts item i among those under it.
func (l collapses) sink(i int) {
	if i >= len(l) {
		return
	}
	x := l[i]
	for {
		first := branches*i + 1
		if first >= len(l) {
			break
		}
		k := first
		for o := first + 1; o < min(first+branches, len(l)); o++ {
			if l[o].less(&l[k]) {
				k = o
			}
		}
		if !l[k].less(&x) {
			break
		}
		l[i] = l[k]
		i = k
	}
	l[i] = x
}
