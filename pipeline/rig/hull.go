package rig

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// face is a triangle of a hull, counter-clockwise seen from outside.
type face struct {
	at     [3]int
	normal r3.Vec // unit
	off    float64
}

// outline is a convex hull: its corners and the triangles between them, none where
// all points lie in one plane.
type outline struct {
	points []r3.Vec
	faces  []face
}

// outlineOf is the convex hull of points by adding them one by one, the outermost
// first (J. O'Rourke, Computational Geometry in C, 1998, chapter 4). A point within eps
// of a face counts as on it, eps being 1e-9 of the size, so that flat faces stay
// flat. Where rounding breaks the hull all the same, it is made of points that are
// moved by chance, a little (C. B. Barber, D. P. Dobkin and H. Huhdanpaa, ACM
// Transactions on Mathematical Software 22, 1996, 469), up to 1e-5 of the size.
func outlineOf(points []r3.Vec) outline {
	first, eps, ok := tetrahedron(points)
	if !ok {
		return outline{points: points}
	}
	if h, whole := hullFrom(points, first, eps); whole {
		return h.corners()
	}
	for _, share := range []float64{10, 100, 1000, 10000} {
		if h, whole := hullFrom(shaken(points, share*eps), first, eps/10); whole {
			return h.of(points).corners()
		}
	}
	return outline{points: points}
}

// hullFrom grows the hull of points from four of them; whole tells whether it is
// one.
func hullFrom(points []r3.Vec, first [4]int, eps float64) (h hull, whole bool) {
	h = hull{points: points, eps: eps}
	for _, t := range [][3]int{{0, 1, 2}, {0, 3, 1}, {1, 3, 2}, {2, 3, 0}} {
		h.add(first[t[0]], first[t[1]], first[t[2]])
	}
	return h, h.growAll(0)
}

// growAll adds the points from one on. A closed surface of triangles has 2V - 4 of
// them (Euler); one that has more, or less in the end, was broken by rounding.
func (h *hull) growAll(from int) (whole bool) {
	for i := from; i < len(h.points); i++ {
		if h.grow(i); len(h.faces) > 2*len(h.points) {
			return false
		}
	}
	used := make([]bool, len(h.points))
	n := 0
	for _, f := range h.faces {
		for _, i := range f.at {
			if !used[i] {
				used[i] = true
				n++
			}
		}
	}
	return len(h.faces) == 2*n-4
}

// shaken is points, each moved by up to byMM along each axis; always the same.
func shaken(points []r3.Vec, byMM float64) []r3.Vec {
	chance := rand.New(rand.NewPCG(1, uint64(len(points))))
	step := func() float64 { return byMM * (2*chance.Float64() - 1) }
	out := make([]r3.Vec, len(points))
	for i, p := range points {
		out[i] = r3.Add(p, r3.Vec{X: step(), Y: step(), Z: step()})
	}
	return out
}

// of is the same hull with the points where they really are.
func (h hull) of(points []r3.Vec) hull {
	out := hull{points: points, eps: h.eps}
	for _, f := range h.faces {
		out.add(f.at[0], f.at[1], f.at[2])
	}
	return out
}

// with is the hull of an outline and another.
func (o outline) with(b outline) outline {
	all := append(slices.Clone(o.points), b.points...)
	if o.faces == nil {
		return outlineOf(all)
	}
	size2 := 0.0
	for _, p := range all {
		size2 = max(size2, r3.Norm2(r3.Sub(p, all[0])))
	}
	h := hull{points: all, faces: slices.Clone(o.faces), eps: 1e-9 * math.Sqrt(size2)}
	if !h.growAll(len(o.points)) {
		return outlineOf(all)
	}
	return h.corners()
}

// corners leaves points out that no face has, and those that lie on a flat face or
// a straight edge: such are left behind where the hull grew in its own planes, and
// the hull is made again without them.
func (h hull) corners() outline {
	around := make([][]r3.Vec, len(h.points)) // the directions of faces, up to three
	for _, f := range h.faces {
		for _, i := range f.at {
			if len(around[i]) < 3 && !slices.ContainsFunc(around[i], func(n r3.Vec) bool { return r3.Norm2(r3.Sub(n, f.normal)) < flatRad*flatRad }) {
				around[i] = append(around[i], f.normal)
			}
		}
	}
	var o outline
	used := 0
	number := make([]int, len(h.points))
	for i, p := range h.points {
		if len(around[i]) > 0 {
			used++
		}
		if len(around[i]) == 3 {
			number[i] = len(o.points)
			o.points = append(o.points, p)
		}
	}
	if len(o.points) < used {
		return outlineOf(o.points)
	}
	for _, f := range h.faces {
		f.at = [3]int{number[f.at[0]], number[f.at[1]], number[f.at[2]]}
		o.faces = append(o.faces, f)
	}
	return o
}

// flatRad: faces that differ by less are one plane; what is lost is as small a
// share of the size.
const flatRad = 1e-8

type hull struct {
	points []r3.Vec
	faces  []face
	edges  [][2]int // of the faces taken away
	eps    float64
}

func (h *hull) add(a, b, c int) {
	n := r3.Cross(r3.Sub(h.points[b], h.points[a]), r3.Sub(h.points[c], h.points[a]))
	size := r3.Norm(n)
	if size == 0 { // a sliver without area: it faces nothing, and closes the hull
		h.faces = append(h.faces, face{at: [3]int{a, b, c}})
		return
	}
	n = r3.Scale(1/size, n)
	h.faces = append(h.faces, face{[3]int{a, b, c}, n, r3.Dot(n, h.points[a])})
}

// grow takes away the faces that see a point and joins their border to it.
func (h *hull) grow(i int) {
	p := h.points[i]
	h.edges = h.edges[:0]
	kept := 0
	for n := range h.faces {
		f := &h.faces[n]
		if r3.Dot(f.normal, p)-f.off <= h.eps {
			if kept < n { // of most points nothing is taken away
				h.faces[kept] = *f
			}
			kept++
			continue
		}
		for k := range 3 {
			h.edges = append(h.edges, [2]int{f.at[k], f.at[(k+1)%3]})
		}
	}
	h.faces = h.faces[:kept]
	for _, e := range h.edges {
		if !slices.Contains(h.edges, [2]int{e[1], e[0]}) {
			h.add(e[0], e[1], i)
		}
	}
}

// tetrahedron is four points far apart, turned so that its faces look outwards.
func tetrahedron(points []r3.Vec) (at [4]int, eps float64, ok bool) {
	if len(points) < 4 {
		return at, 0, false
	}
	farthest := func(of func(r3.Vec) float64) (int, float64) {
		best, most := 0, math.Inf(-1)
		for i, p := range points {
			if d := of(p); d > most {
				best, most = i, d
			}
		}
		return best, most
	}
	at[0], _ = farthest(func(p r3.Vec) float64 { return -p.X })
	a := points[at[0]]
	var size float64
	at[1], size = farthest(func(p r3.Vec) float64 { return r3.Norm(r3.Sub(p, a)) })
	if size == 0 {
		return at, 0, false
	}
	eps = 1e-9 * size
	e := r3.Unit(r3.Sub(points[at[1]], a))
	var wide, tall float64
	at[2], wide = farthest(func(p r3.Vec) float64 { return r3.Norm(r3.Cross(r3.Sub(p, a), e)) })
	if wide <= 10*eps {
		return at, eps, false
	}
	n := r3.Unit(r3.Cross(e, r3.Sub(points[at[2]], a)))
	at[3], tall = farthest(func(p r3.Vec) float64 { return math.Abs(r3.Dot(r3.Sub(p, a), n)) })
	if tall <= 10*eps {
		return at, eps, false
	}
	if r3.Dot(r3.Sub(points[at[3]], a), n) > 0 {
		at[1], at[2] = at[2], at[1]
	}
	return at, eps, true
}

// flatHull is the convex line round points of a plane, counter-clockwise, without
// points on its straights (A. M. Andrew, Information Processing Letters 9, 1979,
// 216).
func flatHull(points [][2]float64) [][2]float64 {
	p := slices.Clone(points)
	slices.SortFunc(p, func(a, b [2]float64) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	p = slices.Compact(p)
	if len(p) < 3 {
		return p
	}
	half := func() [][2]float64 {
		var out [][2]float64
		for _, q := range p {
			for len(out) > 1 && turnOf(out[len(out)-2], out[len(out)-1], q) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, q)
		}
		return out[:len(out)-1]
	}
	lower := half()
	slices.Reverse(p)
	return append(lower, half()...)
}

func turnOf(a, b, c [2]float64) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}
