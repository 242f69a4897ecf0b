package fit

import "math"

// Hole is what a hole's outline looks like. Shape is "round", "slot",
// "diamond", "rectangle" or "other".
//
// A slot and a rectangle give length and width over all, a diamond its
// diagonals, other the smallest rectangle. AngleRad is the direction of LongMM,
// in [0, π). A square is a rectangle, with rounded corners too.
type Hole struct {
	Shape           string
	CentreMM        [2]float64
	DiameterMM      float64 // round only
	LongMM, ShortMM float64 // not for round
	AngleRad        float64
	DeviationMM     float64 // largest distance of the outline from the ideal shape
}

// ClassifyHole names the shape of a hole. An outline is a shape where it stays
// within 3 % of the width of it, or within 4 sigma of its points; of two that
// fit, the one with fewer dimensions is taken. Rounded corners of up to a
// quarter of the width are not held against a rectangle or a diamond.
func ClassifyHole(o Outline) Hole {
	r := SmallestRectangle(o)
	other := Hole{Shape: "other", CentreMM: r.CentreMM, LongMM: r.LengthMM, ShortMM: r.WidthMM, AngleRad: r.AngleRad}
	if len(o.Steps) == 0 {
		return other
	}
	if o.Circle {
		return Hole{Shape: "round", CentreMM: o.CentreMM, DiameterMM: 2 * o.RadiusMM}
	}
	allow := math.Max(4*o.SigmaMM, 0.03*r.WidthMM)
	for _, h := range []Hole{holeRound(o), holeQuad(o, r, allow), holeRectangle(o, r), holeSlot(o, r)} {
		if h.Shape != "" && h.DeviationMM <= allow {
			return h
		}
	}
	return other
}

// samples returns points of the outline no farther apart than about a sixteenth
// of a turn on arcs, and the quarters of straight steps.
func (o Outline) samples() [][2]float64 {
	var pts [][2]float64
	for _, e := range o.edges() {
		n := 4
		if e.Arc {
			n = 4 + int(math.Abs(e.Sweep)/0.4)
		}
		for k := 0; k < n; k++ {
			pts = append(pts, e.at(float64(k)/float64(n)))
		}
	}
	return pts
}

func holeRound(o Outline) Hole {
	var m outlineMoments
	for _, e := range o.edges() {
		for k := 0; k < 8; k++ {
			m.add(e.at((float64(k)+0.5)/8), e.length())
		}
	}
	cx, cy, radius, _, ok := m.circle()
	if !ok {
		return Hole{}
	}
	h := Hole{Shape: "round", CentreMM: [2]float64{cx, cy}, DiameterMM: 2 * radius}
	for _, p := range o.samples() {
		h.DeviationMM = math.Max(h.DeviationMM, math.Abs(math.Hypot(p[0]-cx, p[1]-cy)-radius))
	}
	return h
}

func holeSlot(o Outline, r Rectangle) Hole {
	h := Hole{Shape: "slot", CentreMM: r.CentreMM, LongMM: r.LengthMM, ShortMM: r.WidthMM, AngleRad: r.AngleRad}
	s, c := math.Sincos(r.AngleRad)
	half := (r.LengthMM - r.WidthMM) / 2
	for _, p := range o.samples() {
		x, y := p[0]-r.CentreMM[0], p[1]-r.CentreMM[1]
		u, v := x*c+y*s, y*c-x*s
		d := math.Hypot(math.Max(0, math.Abs(u)-half), v) - r.WidthMM/2
		h.DeviationMM = math.Max(h.DeviationMM, math.Abs(d))
	}
	return h
}

// holeQuad tries the four longest straight steps as a rectangle or a diamond.
func holeQuad(o Outline, r Rectangle, allow float64) Hole {
	sides, ok := longestSides(o.edges(), 4)
	if !ok {
		return Hole{}
	}
	var c [4][2]float64
	var quad Outline
	for i := range 4 {
		x, ok := outlineLineLine(sides[(i+3)%4], sides[i])
		if !ok {
			return Hole{}
		}
		c[i] = x
		quad.Steps = append(quad.Steps, Step{To: x})
	}
	// Rounded corners take up to (1-π/4) (2 r)² off; a quarter of the width as
	// radius takes 5.4 % off a square.
	full, area := quad.Area(), o.Area()
	if !(full > 0) || area > full*1.03 || area < full*0.93 {
		return Hole{}
	}
	h := Hole{}
	edges := quad.edges()
	for _, e := range o.edges() {
		if e.Arc || e.length() < 0.25*r.WidthMM {
			continue
		}
		for _, p := range [][2]float64{e.A, e.B} {
			d, _ := outlineDistance(edges, p)
			h.DeviationMM = math.Max(h.DeviationMM, math.Abs(d))
		}
	}
	return nameQuad(h, c, allow)
}

// holeRectangle compares the outline with its smallest rectangle, away from the
// corners: a rectangle whose corners and ends are too small for the points to
// be cut into steps one by one.
func holeRectangle(o Outline, r Rectangle) Hole {
	if o.Area() < 0.93*r.LengthMM*r.WidthMM {
		return Hole{}
	}
	h := Hole{Shape: "rectangle", CentreMM: r.CentreMM, LongMM: r.LengthMM, ShortMM: r.WidthMM, AngleRad: r.AngleRad}
	s, c := math.Sincos(r.AngleRad)
	for _, p := range o.samples() {
		x, y := p[0]-r.CentreMM[0], p[1]-r.CentreMM[1]
		u, v := r.LengthMM/2-math.Abs(x*c+y*s), r.WidthMM/2-math.Abs(y*c-x*s)
		if math.Hypot(u, v) > 0.3*r.WidthMM {
			h.DeviationMM = math.Max(h.DeviationMM, math.Min(u, v))
		}
	}
	return h
}

// nameQuad measures the corners c as a rectangle or a diamond.
func nameQuad(h Hole, c [4][2]float64, allow float64) Hole {
	d := func(i, k int) float64 { return math.Hypot(c[i][0]-c[k][0], c[i][1]-c[k][1]) }
	h.CentreMM = [2]float64{(c[0][0] + c[1][0] + c[2][0] + c[3][0]) / 4, (c[0][1] + c[1][1] + c[2][1] + c[3][1]) / 4}
	a, b := (d(0, 1)+d(2, 3))/2, (d(1, 2)+d(3, 0))/2
	p, q := d(0, 2), d(1, 3)
	along := func(i, k int) float64 { return math.Atan2(c[k][1]-c[i][1], c[k][0]-c[i][0]) }
	skew := math.Max(math.Abs(d(0, 1)-d(2, 3)), math.Abs(d(1, 2)-d(3, 0)))
	switch {
	case skew > 2*allow:
		return Hole{}
	case math.Abs(p-q) <= 2*allow:
		h.Shape, h.LongMM, h.ShortMM, h.AngleRad = "rectangle", a, b, along(0, 1)
		if b > a {
			h.LongMM, h.ShortMM, h.AngleRad = b, a, along(1, 2)
		}
	case math.Abs(a-b) <= 2*allow:
		h.Shape, h.LongMM, h.ShortMM, h.AngleRad = "diamond", p, q, along(0, 2)
		if q > p {
			h.LongMM, h.ShortMM, h.AngleRad = q, p, along(1, 3)
		}
	default:
		return Hole{}
	}
	h.AngleRad = math.Mod(h.AngleRad+2*math.Pi, math.Pi)
	return h
}

// longestSides returns the n longest straight edges in their order, as lines.
func longestSides(edges []outlineEdge, n int) ([]outlineCurve, bool) {
	taken := make([]bool, len(edges))
	for range n {
		at := -1
		for i, e := range edges {
			if !e.Arc && !taken[i] && (at < 0 || e.length() > edges[at].length()) {
				at = i
			}
		}
		if at < 0 {
			return nil, false
		}
		taken[at] = true
	}
	var out []outlineCurve
	for i, e := range edges {
		if taken[i] {
			out = append(out, outlineCurve{Q: e.A, Theta: math.Atan2(e.B[1]-e.A[1], e.B[0]-e.A[0])})
		}
	}
	return out, true
}
