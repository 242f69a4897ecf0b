package fit

import (
	"math"
	"slices"
)

// Rectangle is a rectangle round an outline. LengthMM ≥ WidthMM; AngleRad is the
// direction of the length, in [0, π).
type Rectangle struct {
	LengthMM, WidthMM     float64
	LengthSDMM, WidthSDMM float64 // one standard deviation from the noise of the points; 0 where not known
	AngleRad              float64
	CentreMM              [2]float64
}

// outlineBox is the rectangle of an outline at one angle, before its sides are
// told apart.
type outlineBox struct {
	Angle, U, V float64 // direction of U; extents along it and across
}

// outlineHeight is the largest extent of the edges in direction u. Exact for arcs.
func outlineHeight(edges []outlineEdge, u [2]float64) float64 {
	h := math.Inf(-1)
	for i := range edges {
		e := &edges[i]
		h = max(h, e.A[0]*u[0]+e.A[1]*u[1])
		if e.Arc && e.onArc([2]float64{e.C[0] + u[0], e.C[1] + u[1]}) {
			h = max(h, e.C[0]*u[0]+e.C[1]*u[1]+e.R)
		}
	}
	return h
}

func outlineBoxAt(edges []outlineEdge, angle float64) outlineBox {
	s, c := math.Sincos(angle)
	span := func(x, y float64) float64 {
		return outlineHeight(edges, [2]float64{x, y}) + outlineHeight(edges, [2]float64{-x, -y})
	}
	return outlineBox{Angle: angle, U: span(c, s), V: span(-s, c)}
}

func (b outlineBox) area() float64 { return b.U * b.V }

// SmallestRectangle returns the enclosing rectangle of least area.
//
// A side of it lies flush with an edge of the convex hull (Freeman and Shapira
// 1975, CACM 18) or, where an arc is touched, the area is stationary: every
// angle of a hull of points closer than 2 degrees on arcs is looked at, and the
// low ones are refined by golden section on the exact extents. The standard
// deviations follow from the covariance of the steps by differences.
func SmallestRectangle(o Outline) Rectangle {
	edges := o.edges()
	if len(edges) == 0 {
		return Rectangle{}
	}
	box, half := outlineLeastBox(edges)
	r := box.rectangle(edges)
	if o.model == nil || o.layout == nil {
		return r
	}
	flat := outlineFlush(edges, box.Angle)
	r.LengthSDMM, r.WidthSDMM = o.rectangleSD(box, half, flat)
	if box.U < box.V {
		r.LengthSDMM, r.WidthSDMM = r.WidthSDMM, r.LengthSDMM
	}
	return r
}

// rectangle orders the sides and places the centre.
func (b outlineBox) rectangle(edges []outlineEdge) Rectangle {
	s, c := math.Sincos(b.Angle)
	mid := func(x, y float64) float64 {
		return (outlineHeight(edges, [2]float64{x, y}) - outlineHeight(edges, [2]float64{-x, -y})) / 2
	}
	mu, mv := mid(c, s), mid(-s, c)
	r := Rectangle{LengthMM: b.U, WidthMM: b.V, AngleRad: b.Angle, CentreMM: [2]float64{mu*c - mv*s, mu*s + mv*c}}
	if b.V > b.U {
		r.LengthMM, r.WidthMM, r.AngleRad = b.V, b.U, b.Angle+math.Pi/2
	}
	r.AngleRad = math.Mod(r.AngleRad, math.Pi)
	if r.AngleRad < 0 {
		r.AngleRad += math.Pi
	}
	if math.Pi-r.AngleRad < 1e-12 {
		r.AngleRad = 0
	}
	return r
}

// outlineLeastBox returns the least box and how far from its angle no other
// candidate lies. Without arcs no angle between those of the hull's edges is
// better than both.
func outlineLeastBox(edges []outlineEdge) (outlineBox, float64) {
	curved := slices.ContainsFunc(edges, func(e outlineEdge) bool { return e.Arc })
	angles := outlineHullAngles(edges)
	n := len(angles)
	boxes := make([]outlineBox, n)
	least := math.Inf(1)
	for i, a := range angles {
		boxes[i] = outlineBoxAt(edges, a)
		least = math.Min(least, boxes[i].area())
	}
	best, half := outlineBox{U: math.Inf(1), V: 1}, math.Pi/8
	for i, b := range boxes {
		// The chords of arcs are flat within 2e-4 of the radius: only a low
		// angle can lead to the least.
		if b.area() > least*1.003 {
			continue
		}
		lo, hi := angles[(i+n-1)%n], angles[(i+1)%n]
		if i == 0 {
			lo -= math.Pi / 2
		}
		if i == n-1 {
			hi += math.Pi / 2
		}
		g := b
		if curved {
			if r := outlineGolden(edges, lo, hi); r.area()*(1+1e-12) < b.area() {
				g = r
			}
		}
		if g.area() < best.area()*(1-1e-12) {
			best, half = g, math.Max(1e-4, math.Min(hi-g.Angle, g.Angle-lo))
		}
	}
	return best, half
}

// outlineGolden finds the least box between two angles.
func outlineGolden(edges []outlineEdge, lo, hi float64) outlineBox {
	const phi = 0.6180339887498949
	a, b := hi-phi*(hi-lo), lo+phi*(hi-lo)
	x, y := outlineBoxAt(edges, a), outlineBoxAt(edges, b)
	for it := 0; it < 70 && hi-lo > 1e-13; it++ {
		if x.area() <= y.area() {
			hi, y = b, x
			b, a = a, hi-phi*(hi-lo)
			x = outlineBoxAt(edges, a)
		} else {
			lo, x = a, y
			a, b = b, lo+phi*(hi-lo)
			y = outlineBoxAt(edges, b)
		}
	}
	if x.area() <= y.area() {
		return x
	}
	return y
}

// outlineHullAngles returns the directions of the hull's edges modulo a right
// angle, rising, without repeats; straight steps exactly.
func outlineHullAngles(edges []outlineEdge) []float64 {
	var pts [][2]float64
	for _, e := range edges {
		n := 1
		if e.Arc {
			n = 1 + int(math.Abs(e.Sweep)/0.035)
		}
		for k := 0; k < n; k++ {
			pts = append(pts, e.at(float64(k)/float64(n)))
		}
	}
	hull := outlineHull(pts)
	var out []float64
	for i, p := range hull {
		q := hull[(i+1)%len(hull)]
		out = append(out, outlineQuarter(math.Atan2(q[1]-p[1], q[0]-p[0])))
	}
	for _, e := range edges {
		if !e.Arc {
			out = append(out, outlineQuarter(math.Atan2(e.B[1]-e.A[1], e.B[0]-e.A[0])))
		}
	}
	slices.Sort(out)
	return slices.CompactFunc(out, func(a, b float64) bool { return math.Abs(a-b) < 1e-14 })
}

func outlineQuarter(a float64) float64 {
	a = math.Mod(a, math.Pi/2)
	if a < 0 {
		a += math.Pi / 2
	}
	if math.Pi/2-a < 1e-13 {
		a = 0
	}
	return a
}

// outlineHull is the counter-clockwise convex hull (Andrew 1979, IPL 9).
func outlineHull(pts [][2]float64) [][2]float64 {
	p := slices.Clone(pts)
	slices.SortFunc(p, func(a, b [2]float64) int {
		switch {
		case a[0] < b[0] || a[0] == b[0] && a[1] < b[1]:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	var h [][2]float64
	turn := func(q [2]float64) float64 {
		a, b := h[len(h)-2], h[len(h)-1]
		return (b[0]-a[0])*(q[1]-a[1]) - (b[1]-a[1])*(q[0]-a[0])
	}
	half := func(keep int, q [2]float64) {
		for len(h) >= keep+2 && turn(q) <= 0 {
			h = h[:len(h)-1]
		}
		h = append(h, q)
	}
	for _, q := range p {
		half(0, q)
	}
	keep := len(h) - 1
	for i := len(p) - 2; i >= 0; i-- {
		half(keep, p[i])
	}
	return h[:max(1, len(h)-1)]
}

// outlineFlush returns the longest straight edge that lies along the angle or
// square to it, or -1.
func outlineFlush(edges []outlineEdge, angle float64) int {
	best, at := 0.0, -1
	for i, e := range edges {
		if e.Arc {
			continue
		}
		d := math.Remainder(math.Atan2(e.B[1]-e.A[1], e.B[0]-e.A[0])-angle, math.Pi/2)
		if math.Abs(d) < 1e-9 && e.length() > best {
			best, at = e.length(), i
		}
	}
	return at
}

// rectangleSD propagates the covariance of the steps: the box is found again
// for a small change of every parameter, flush with the same edge.
func (o Outline) rectangleSD(box outlineBox, half float64, flush int) (u, v float64) {
	m := o.model
	x := make([]float64, m.N)
	again := func() outlineBox {
		c := Outline{Steps: outlineMoved(o.layout.steps(m.curves(x)), o.shift)}
		edges := c.edges()
		if flush < 0 || flush >= len(edges) || edges[flush].Arc {
			if o.Circle {
				return outlineBoxAt(edges, box.Angle)
			}
			w := math.Min(half, 0.01)
			return outlineGolden(edges, box.Angle-w, box.Angle+w)
		}
		e := edges[flush]
		a := math.Atan2(e.B[1]-e.A[1], e.B[0]-e.A[0])
		return outlineBoxAt(edges, box.Angle+math.Remainder(a-box.Angle, math.Pi/2))
	}
	touching := o.touching(box)
	sum := [2]float64{}
	for _, block := range m.Cov {
		n := len(block.Par)
		gu, gv := make([]float64, n), make([]float64, n)
		for i, p := range block.Par {
			if !touching[p] {
				continue
			}
			h := 0.3 * o.SigmaMM * math.Sqrt(block.M[i*n+i])
			if !(h > 0) || h > 1e3 {
				h = 1e-6
			}
			x[p] = h
			hi := again()
			x[p] = -h
			lo := again()
			x[p] = 0
			gu[i], gv[i] = (hi.U-lo.U)/(2*h), (hi.V-lo.V)/(2*h)
		}
		for i := range n {
			for k := range n {
				sum[0] += gu[i] * gu[k] * block.M[i*n+k]
				sum[1] += gv[i] * gv[k] * block.M[i*n+k]
			}
		}
	}
	return o.SigmaMM * math.Sqrt(math.Max(0, sum[0])), o.SigmaMM * math.Sqrt(math.Max(0, sum[1]))
}

// touching marks the parameters that the box may depend on: those of the steps
// that touch it and of two steps before and after each.
func (o Outline) touching(box outlineBox) []bool {
	m := o.model
	out := make([]bool, m.N)
	edges := o.edges()
	n := len(m.Segs)
	for q := range 4 {
		s, c := math.Sincos(box.Angle + float64(q)*math.Pi/2)
		u := [2]float64{c, s}
		h := outlineHeight(edges, u)
		for i := range edges {
			k := o.layout.Steps[i]
			if outlineHeight(edges[i:i+1], u) < h-1e-3*(box.U+box.V) {
				continue
			}
			if k < 0 {
				k = o.layout.Steps[(i+len(edges)-1)%len(edges)]
			}
			for d := -2; d <= 2; d++ {
				for _, p := range m.Par[((k+d)%n+n)%n] {
					out[p] = true
				}
			}
		}
	}
	return out
}
