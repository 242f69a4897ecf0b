package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// tubePath is the centreline of a round rod or tube as nodes in order, about
// half a section's radius apart.
type tubePath struct {
	r       float64
	node    []tubeNode
	wallMM2 float64 // of the facets that it was taken from
}

// tubeNode is a point of the centreline, the way it runs, and how much of the wall
// of a whole slice was there; 0: none, it is a guess across a gap.
type tubeNode struct {
	c, t  r3.Vec
	share float64
}

// pathNodes bounds the length of a centreline in steps.
const pathNodes = 1200

// tracker follows a rod along its facets, which stand in cells of a grid.
type tracker struct {
	p          *Patch
	r          float64
	half, step float64 // half the width of the slice that gives a node; step
	cell       float64
	in         map[[3]int32][]int32
	used       []bool
	near       []int32
}

// followTube follows the rod of section radius s.r both ways from the seed to
// its ends. ok is false where the way closes in itself or crosses itself.
func followTube(p *Patch, s tubeSeed) (tubePath, bool) {
	t := tracker{p: p, r: s.r, used: make([]bool, len(p.FacetC)), in: map[[3]int32][]int32{}}
	t.half = max(0.25*s.r, 0.8*p.spacing())
	t.step = max(0.5*s.r, 0.5*p.spacing())
	t.cell = max(s.r, t.half)
	for i, q := range p.FacetC {
		k := t.key(q)
		t.in[k] = append(t.in[k], int32(i))
	}
	first, ok := t.slice(tubeNode{c: s.c, t: s.t})
	if !ok {
		return tubePath{}, false
	}
	way, ok := t.run([]tubeNode{first})
	if !ok {
		return tubePath{}, false
	}
	for i, j := 0, len(way)-1; i <= j; i, j = i+1, j-1 {
		way[i], way[j] = way[j].reversed(), way[i].reversed()
	}
	way, ok = t.run(way)
	way = slices.DeleteFunc(way, func(n tubeNode) bool { return n.share == 0 })
	out := tubePath{r: t.r, node: t.sharpened(wholeSlices(way))}
	for i, u := range t.used {
		if u {
			out.wallMM2 += p.FacetMM2[i]
		}
	}
	return out, ok
}

// sharpened takes out what the slices' width does to the centres: along a bend
// the mean of a slice lies towards the bend's centre by the mean square distance
// from its middle, a third of half² and, for facets' own chords, a twelfth of the
// edge's, times half the curvature.
func (t *tracker) sharpened(way []tubeNode) []tubeNode {
	out := append([]tubeNode(nil), way...)
	k := t.half*t.half/6 + t.p.EdgeMM*t.p.EdgeMM/24
	for i := 1; i+1 < len(way); i++ {
		a, b := r3.Sub(way[i].c, way[i-1].c), r3.Sub(way[i+1].c, way[i].c)
		if h := (r3.Norm2(a) + r3.Norm2(b)) / 2; h > 0 {
			out[i].c = r3.Sub(way[i].c, r3.Scale(k/h, r3.Sub(b, a)))
		}
	}
	return out
}

// wholeSlices leaves out the nodes at either end of which a good part of the wall
// was missing: an end is near, and the centre is that of what was there.
func wholeSlices(way []tubeNode) []tubeNode {
	var shares []float64
	for _, n := range way {
		shares = append(shares, n.share)
	}
	least := 0.8 * median(shares)
	for range 4 { // two radii: as far as an end reaches
		if len(way) > 0 && way[0].share < least {
			way = way[1:]
		}
		if len(way) > 0 && way[len(way)-1].share < least {
			way = way[:len(way)-1]
		}
	}
	return way
}

func (n tubeNode) reversed() tubeNode { return tubeNode{n.c, r3.Scale(-1, n.t), n.share} }

func (t *tracker) key(q r3.Vec) [3]int32 {
	f := func(x float64) int32 { return int32(math.Floor(x / t.cell)) }
	return [3]int32{f(q.X), f(q.Y), f(q.Z)}
}

// run goes on from the last node until nothing is there; it bridges gaps of
// three section radii.
func (t *tracker) run(way []tubeNode) ([]tubeNode, bool) {
	misses := 0
	for len(way) < pathNodes {
		n := len(way)
		guess := way[n-1]
		switch {
		case misses > 0: // as the stretch before the gap, whose last slices are not whole
			guess.t = unit(r3.Add(guess.t, bendOf(way[:max(n-misses-1, 1)])))
		case n > 2: // bend on as before
			guess.t = unit(r3.Add(guess.t, r3.Scale(0.5, r3.Sub(way[n-1].t, way[n-3].t))))
		}
		guess.c = r3.Add(guess.c, r3.Scale(t.step, unit(r3.Add(guess.t, way[n-1].t))))
		next, ok := t.slice(guess)
		if !ok {
			if misses++; float64(misses)*t.step > 3*t.r {
				return way[:n-misses+1], true
			}
			guess.share = 0
			way = append(way, guess)
			continue
		}
		if r3.Dot(r3.Sub(next.c, way[n-1].c), way[n-1].t) < 0.2*t.step {
			return way[:n-misses], true // no way on: an end or a knot
		}
		misses = 0
		for _, o := range way[:max(0, n-int(3*t.r/t.step))] {
			if norm(r3.Sub(o.c, next.c)) < t.r {
				return nil, false
			}
		}
		way = append(way, next)
	}
	return nil, false
}

// bendOf is how much the way turns from node to node at its end, by the last six.
func bendOf(way []tubeNode) r3.Vec {
	n := min(len(way)-1, 6)
	if n < 1 {
		return r3.Vec{}
	}
	return r3.Scale(1/float64(n), r3.Sub(way[len(way)-1].t, way[len(way)-1-n].t))
}

// slice improves a guess of a node from the wall round it: the centre by Gauss
// and Newton's method on distances from the known radius, the way from the
// normals. ok is false where too little wall is there.
func (t *tracker) slice(g tubeNode) (tubeNode, bool) {
	t.gather(g.c)
	const rounds = 4
	for it := range rounds {
		w := t.wall(g, it == rounds-1)
		axis, mid := middleEigen(w.normals)
		g.share = w.areaMM2 / (2 * math.Pi * t.r * 2 * t.half)
		if g.share < 0.12 || mid < 0.12*w.areaMM2 {
			return g, false
		}
		a := w.square
		det := a[0]*a[2] - a[1]*a[1]
		if !(det > 1e-4*(a[0]+a[2])*(a[0]+a[2])) {
			return g, false
		}
		if it == rounds-1 {
			break
		}
		g.c = w.f.at((a[2]*a[3]-a[1]*a[4])/det, (a[0]*a[4]-a[1]*a[3])/det, 0)
		if r3.Dot(axis, g.t) < 0 {
			axis = r3.Scale(-1, axis)
		}
		if r3.Dot(axis, g.t) > 0.7 {
			g.t = axis
		}
	}
	return g, true
}

// slicedWall is what a slice of the outer wall says: its area, the second moments
// of its normals, and the normal equations of a shift of the centre.
type slicedWall struct {
	f       frame
	areaMM2 float64
	normals [6]float64
	square  [5]float64
}

func (t *tracker) wall(g tubeNode, final bool) slicedWall {
	p := t.p
	s := slicedWall{f: newFrame(g.c, g.t)}
	for _, i := range t.near {
		u, v, h := s.f.local(p.FacetC[i])
		rho := hypot(u, v)
		n := p.FacetS[i]
		if math.Abs(h) > t.half || rho < 0.5*t.r || rho > 1.5*t.r || math.Abs(r3.Dot(n, g.t)) > 0.6 {
			continue
		}
		u, v = u/rho, v/rho
		if u*r3.Dot(n, s.f.E1)+v*r3.Dot(n, s.f.E2) < 0.6 {
			continue
		}
		w, d := p.FacetMM2[i], rho-t.r
		s.areaMM2 += w
		addOuter(&s.normals, n, w)
		s.square[0] += w * u * u
		s.square[1] += w * u * v
		s.square[2] += w * v * v
		s.square[3] += w * u * d
		s.square[4] += w * v * d
		if final {
			t.used[i] = true
		}
	}
	return s
}

// gather lists the facets that a slice at c can hold.
func (t *tracker) gather(c r3.Vec) {
	t.near = t.near[:0]
	reach := hypot(1.5*t.r, t.half) + 0.5*t.r
	d := r3.Vec{X: reach, Y: reach, Z: reach}
	lo, hi := t.key(r3.Sub(c, d)), t.key(r3.Add(c, d))
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for z := lo[2]; z <= hi[2]; z++ {
				t.near = append(t.near, t.in[[3]int32{x, y, z}]...)
			}
		}
	}
}
