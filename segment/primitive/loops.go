package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// wallLoop is one closed side wall of an extrusion, seen along its direction:
// the outer contour, or that of a hole.
//
// Chain is an ordered closed polyline along one rim of the wall; Point and
// Normal are the wall's own vertices, away from both rims where there are such.
type wallLoop struct {
	Chain   [][2]float64
	Point   [][2]float64
	Normal  [][2]float64
	AreaMM2 float64      // signed area of the chain: counter-clockwise positive
	Hole    bool         // the wall's normals point to its own inside
	WallMM2 float64      // scanned area of the wall
	Edge    [][4]float64 // of an open scan: the wall's facet edges, seen along the direction
	Jump    []bool       // of a wall put together from parts: no wall from chain point i to the next; else nil
}

// wallLoops finds the side walls of the slab: connected facets that face across
// its direction, between its faces. marginMM is how far from a rim its vertices
// are not to be trusted.
func wallLoops(p *Patch, c *slab, marginMM float64) []wallLoop {
	slack := 2*p.EdgeMM + 4*p.NoiseMM
	across := func(f int) bool {
		if math.Abs(r3.Dot(p.FacetS[f], c.f.D)) > 0.6 {
			return false
		}
		_, _, h := c.f.local(p.FacetC[f])
		return h > c.z[0]-slack && h < c.z[1]+slack
	}
	label, area := p.components(across)
	byWall := make([][]int32, len(area))
	for f, l := range label {
		if l >= 0 {
			byWall[l] = append(byWall[l], int32(f))
		}
	}
	var out []wallLoop
	for k, facets := range byWall {
		if len(facets) < 4 {
			continue
		}
		if w, ok := p.wall(c, label, int32(k), facets, marginMM); ok {
			w.WallMM2 = area[k]
			out = append(out, w)
		}
	}
	return out
}

// wall gathers one component.
func (p *Patch) wall(c *slab, label []int32, k int32, facets []int32, marginMM float64) (wallLoop, bool) {
	var w wallLoop
	w.Chain = p.rim(c, label, k, facets)
	if len(w.Chain) < 4 {
		return w, false
	}
	for i, a := range w.Chain {
		b := w.Chain[(i+1)%len(w.Chain)]
		w.AreaMM2 += (a[0]*b[1] - a[1]*b[0]) / 2
	}
	if w.AreaMM2 < 0 {
		for i, j := 0, len(w.Chain)-1; i < j; i, j = i+1, j-1 {
			w.Chain[i], w.Chain[j] = w.Chain[j], w.Chain[i]
		}
		w.AreaMM2 = -w.AreaMM2
	}
	middle := (c.z[0] + c.z[1]) / 2
	half := c.thicknessMM() / 2
	margin := min(max(marginMM, 0.3*p.EdgeMM), 0.5*half)
	seen := map[int32]bool{}
	turn := 0.0
	cu, cv := centroidOf(w.Chain)
	for _, f := range facets {
		n := p.FacetN[f]
		mid, size := p.FacetC[f], p.FacetMM2[f]
		u, v, _ := c.f.local(mid)
		turn += size * ((u-cu)*r3.Dot(n, c.f.E1) + (v-cv)*r3.Dot(n, c.f.E2))
		if p.OpenEdges > 0 {
			w.addEdges(p, c.f, f)
		}
		for _, v := range p.Facet[f] {
			if seen[v] {
				continue
			}
			seen[v] = true
			u, vv, h := c.f.local(p.P[v])
			if math.Abs(h-middle) > half-margin {
				continue
			}
			nu, nv := r3.Dot(p.N[v], c.f.E1), r3.Dot(p.N[v], c.f.E2)
			if l := hypot(nu, nv); l > 0.5 {
				w.Point = append(w.Point, [2]float64{u, vv})
				w.Normal = append(w.Normal, [2]float64{nu / l, nv / l})
			}
		}
	}
	w.Hole = turn < 0
	return w, true
}

// addEdges notes the edges of facet f.
func (w *wallLoop) addEdges(p *Patch, f frame, facet int32) {
	t := p.Facet[facet]
	for k := range t {
		au, av, _ := f.local(p.P[t[k]])
		bu, bv, _ := f.local(p.P[t[(k+1)%3]])
		w.Edge = append(w.Edge, [4]float64{au, av, bu, bv})
	}
}

func centroidOf(chain [][2]float64) (u, v float64) {
	for _, q := range chain {
		u += q[0] / float64(len(chain))
		v += q[1] / float64(len(chain))
	}
	return u, v
}

// rim follows the border of the component along the high face, or along the low
// one where that is longer: chains of border edges, linked end to nearest end
// where the scan has gaps. In an open scan what was taken away leaves borders all
// along the wall; where those beside a face close by themselves, the others say
// nothing of the outline.
func (p *Patch) rim(c *slab, label []int32, k int32, facets []int32) [][2]float64 {
	var all, beside [2]border
	slack := 2*p.EdgeMM + 4*p.NoiseMM
	for _, f := range facets {
		t := p.Facet[f]
		for e := range t {
			if g := p.Next[f][e]; g >= 0 && label[g] == k {
				continue
			}
			a, b := t[e], t[(e+1)%3]
			_, _, ha := c.f.local(p.P[a])
			_, _, hb := c.f.local(p.P[b])
			middle := (c.z[0] + c.z[1]) / 2
			if (ha > middle) != (hb > middle) {
				continue // a border across the wall: a gap in the scan
			}
			side := 0
			if ha+hb > 2*middle {
				side = 1
			}
			all[side].add(a, b)
			if max(math.Abs(ha-c.z[side]), math.Abs(hb-c.z[side])) < slack {
				beside[side].add(a, b)
			}
		}
	}
	if p.OpenEdges > 0 && c.thicknessMM() > 4*slack {
		if loop := p.longest(c, beside); unbroken(loop, p.EdgeMM) {
			return loop
		}
	}
	return p.longest(c, all)
}

// unbroken tells that of a closed polyline hardly any is steps over a gap.
func unbroken(loop [][2]float64, edgeMM float64) bool {
	const most = 0.1
	gaps, all := 0.0, 0.0
	for i, b := range loop {
		a := loop[(i+len(loop)-1)%len(loop)]
		l := hypot(b[0]-a[0], b[1]-a[1])
		if all += l; l > 3*edgeMM {
			gaps += l
		}
	}
	return len(loop) > 3 && gaps <= most*all
}

// border is the border edges a → b of a component.
type border struct {
	next   map[int32]int32
	starts []int32 // in the order of adding
}

func (x *border) add(a, b int32) {
	if x.next == nil {
		x.next = map[int32]int32{}
	}
	if _, twice := x.next[a]; !twice {
		x.next[a] = b
		x.starts = append(x.starts, a)
	}
}

// longest is the longer of two rims, seen along the slab's direction; nil where
// neither has a border.
func (p *Patch) longest(c *slab, borders [2]border) [][2]float64 {
	var best [][2]float64
	long := -1.0
	for side, x := range borders {
		if c.unseen[side] { // the scan's own edge
			continue
		}
		loop := link(p, c.f, follow(x.next, x.starts))
		if l := openLength(loop); l > 1.02*long {
			best, long = loop, l
		}
	}
	return best
}

// follow splits the border edges a → b into chains of vertices; starts fixes
// the order.
func follow(next map[int32]int32, starts []int32) [][]int32 {
	has := map[int32]bool{}
	for _, b := range next {
		has[b] = true
	}
	used := map[int32]bool{}
	var out [][]int32
	run := func(a int32) {
		var chain []int32
		for !used[a] {
			used[a] = true
			chain = append(chain, a)
			b, ok := next[a]
			if !ok {
				break
			}
			a = b
		}
		if len(chain) > 1 {
			out = append(out, chain)
		}
	}
	for _, a := range starts {
		if !has[a] {
			run(a)
		}
	}
	for _, a := range starts {
		run(a)
	}
	return out
}

// link joins chains into one polyline, starting with the longest and always
// going on with the chain whose start is nearest; chains under a tenth of the
// longest are spurs of noise and are left out.
func link(p *Patch, f frame, chains [][]int32) [][2]float64 {
	if len(chains) == 0 {
		return nil
	}
	flat := make([][][2]float64, len(chains))
	longest := 0
	for i, ch := range chains {
		for _, v := range ch {
			u, w, _ := f.local(p.P[v])
			flat[i] = append(flat[i], [2]float64{u, w})
		}
		if len(ch) > len(chains[longest]) {
			longest = i
		}
	}
	used := make([]bool, len(chains))
	used[longest] = true
	out := append([][2]float64(nil), flat[longest]...)
	for {
		end := out[len(out)-1]
		home := hypot(end[0]-out[0][0], end[1]-out[0][1])
		best, near := -1, home
		for i, ch := range flat {
			if used[i] || len(ch) < len(flat[longest])/10 {
				continue
			}
			if d := hypot(end[0]-ch[0][0], end[1]-ch[0][1]); d < near {
				best, near = i, d
			}
		}
		if best < 0 {
			return out
		}
		used[best] = true
		out = append(out, flat[best]...)
	}
}
