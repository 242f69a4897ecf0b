package synthetic

import (
	"cmp"
	"container/heap"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// decimated returns s with about the given share of its facets, by collapsing
// edges in order of how far that moves the surface (M. Garland, P. Heckbert,
// Surface simplification using quadric error metrics, SIGGRAPH 1997), to
// whichever of the edge's ends and middle costs least. It stays closed.
func decimated(s Shell, share float64) Shell {
	if share == 1 {
		return s
	}
	d := newDecimator(s)
	for live := len(s.Faces); float64(live) > share*float64(len(s.Faces)) && d.queue.Len() > 0; {
		c := heap.Pop(&d.queue).(collapse)
		if c.stamp == d.stamp[c.a]+d.stamp[c.b] && d.apply(c) {
			live -= 2
		}
	}
	return d.shell()
}

// quadric is the sum of area × squared distance from planes, as the upper
// triangle of a symmetric 4 × 4 matrix.
type quadric [10]float64

func (q quadric) plus(o quadric) quadric {
	for i := range q {
		q[i] += o[i]
	}
	return q
}

func (q quadric) at(p r3.Vec) float64 {
	return q[0]*p.X*p.X + q[4]*p.Y*p.Y + q[7]*p.Z*p.Z + q[9] +
		2*(q[1]*p.X*p.Y+q[2]*p.X*p.Z+q[5]*p.Y*p.Z+q[3]*p.X+q[6]*p.Y+q[8]*p.Z)
}

// planeQuadric is that of the plane through p with area vector n.
func planeQuadric(n, p r3.Vec) quadric {
	area := r3.Norm(n)
	if area == 0 {
		return quadric{}
	}
	n = r3.Scale(1/area, n)
	d := -r3.Dot(n, p)
	return quadric{
		area * n.X * n.X, area * n.X * n.Y, area * n.X * n.Z, area * n.X * d,
		area * n.Y * n.Y, area * n.Y * n.Z, area * n.Y * d,
		area * n.Z * n.Z, area * n.Z * d, area * d * d,
	}
}

// collapse is an edge that may become the point to.
type collapse struct {
	cost  float64
	a, b  uint32
	to    r3.Vec
	stamp uint32 // sum of both vertices' stamps when the cost was worked out
}

type collapses []collapse

func (c collapses) Len() int      { return len(c) }
func (c collapses) Swap(i, j int) { c[i], c[j] = c[j], c[i] }
func (c *collapses) Push(x any)   { *c = append(*c, x.(collapse)) }

func (c collapses) Less(i, j int) bool {
	return cmp.Or(cmp.Compare(c[i].cost, c[j].cost), cmp.Compare(c[i].a, c[j].a), cmp.Compare(c[i].b, c[j].b)) < 0
}

func (c *collapses) Pop() any {
	last := (*c)[len(*c)-1]
	*c = (*c)[:len(*c)-1]
	return last
}

type decimator struct {
	s     Shell
	q     []quadric
	round [][]uint32 // faces at each vertex, dead ones left out
	stamp []uint32   // how often each vertex has changed
	dead  []bool     // faces
	queue collapses
}

func newDecimator(s Shell) *decimator {
	d := &decimator{s: s, q: make([]quadric, len(s.Points)), round: make([][]uint32, len(s.Points)),
		stamp: make([]uint32, len(s.Points)), dead: make([]bool, len(s.Faces))}
	start, faces := facesAt(s)
	for v := range s.Points {
		d.round[v] = faces[start[v]:start[v+1]:start[v+1]]
		for _, f := range d.round[v] {
			d.q[v] = d.q[v].plus(planeQuadric(s.areaVector(int(f)), s.Points[v]))
		}
	}
	for _, t := range s.Faces {
		for k := range 3 {
			if a, b := t[k], t[(k+1)%3]; a < b {
				d.queue = append(d.queue, d.weigh(a, b))
			}
		}
	}
	heap.Init(&d.queue)
	return d
}

func (d *decimator) weigh(a, b uint32) collapse {
	q := d.q[a].plus(d.q[b])
	p, o := d.s.Points[a], d.s.Points[b]
	best := collapse{cost: q.at(p), a: a, b: b, to: p, stamp: d.stamp[a] + d.stamp[b]}
	for _, to := range [2]r3.Vec{o, r3.Scale(0.5, r3.Add(p, o))} {
		if c := q.at(to); c < best.cost {
			best.cost, best.to = c, to
		}
	}
	return best
}

// apply collapses b into a unless that would pinch the surface or fold a facet.
func (d *decimator) apply(c collapse) bool {
	ring := d.neighbours(c.a)
	other := d.neighbours(c.b)
	common := 0
	for _, v := range other {
		if slices.Contains(ring, v) {
			common++
		}
	}
	if common != 2 || len(ring) < 4 || len(other) < 4 || d.folds(c.a, c.b, c.to) || d.folds(c.b, c.a, c.to) {
		return false
	}
	d.s.Points[c.a] = c.to
	d.q[c.a] = d.q[c.a].plus(d.q[c.b])
	d.merge(c.a, c.b)
	d.stamp[c.a]++
	for _, v := range d.neighbours(c.a) {
		heap.Push(&d.queue, d.weigh(min(c.a, v), max(c.a, v)))
	}
	return true
}

// neighbours returns the vertices round v, in the order of its faces.
func (d *decimator) neighbours(v uint32) []uint32 {
	out := make([]uint32, 0, 2*len(d.round[v]))
	for _, f := range d.round[v] {
		for _, u := range d.s.Faces[f] {
			if u != v && !slices.Contains(out, u) {
				out = append(out, u)
			}
		}
	}
	return out
}

// folds says that moving v turns one of its facets that stay by over 75 degrees.
func (d *decimator) folds(v, gone uint32, to r3.Vec) bool {
	for _, f := range d.round[v] {
		t := d.s.Faces[f]
		if slices.Contains(t[:], gone) {
			continue
		}
		var p [3]r3.Vec
		for k, u := range t {
			p[k] = d.s.Points[u]
			if u == v {
				p[k] = to
			}
		}
		now, then := r3.Cross(r3.Sub(p[1], p[0]), r3.Sub(p[2], p[0])), d.s.areaVector(int(f))
		if r3.Dot(now, then) <= 0.26*r3.Norm(now)*r3.Norm(then) {
			return true
		}
	}
	return false
}

// merge gives b's faces to a; the two that had both are dead.
func (d *decimator) merge(a, b uint32) {
	var keep []uint32
	for _, f := range slices.Concat(d.round[a], d.round[b]) {
		t := &d.s.Faces[f]
		if slices.Contains(t[:], a) && slices.Contains(t[:], b) {
			d.dead[f] = true
			for _, v := range t {
				if v != a && v != b {
					d.round[v] = slices.DeleteFunc(slices.Clone(d.round[v]), func(g uint32) bool { return g == f })
				}
			}
			continue
		}
		for k := range t {
			if t[k] == b {
				t[k] = a
			}
		}
		keep = append(keep, f)
	}
	d.round[a], d.round[b] = keep, nil
	d.stamp[b] += 1 << 30 // never equal again
}

// shell returns what is left, its points renumbered in their old order.
func (d *decimator) shell() Shell {
	var out Shell
	number := make([]uint32, len(d.s.Points))
	for v, p := range d.s.Points {
		if len(d.round[v]) > 0 {
			number[v] = uint32(len(out.Points))
			out.Points = append(out.Points, p)
		}
	}
	for f, t := range d.s.Faces {
		if !d.dead[f] {
			out.add(d.s.Patch[f], number[t[0]], number[t[1]], number[t[2]])
		}
	}
	return out
}
