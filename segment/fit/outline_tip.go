package fit

import "math"

// squareTips puts a straight end in place of a half circle between two lines
// where the side points bear it out. A narrow end has too few points on the loop
// to tell a flat from a round one: those on its wall, and above all those at its
// two corners, which the half circle misses by two fifths of its radius, do.
func (f *outlineFitter) squareTips(side []SidePoint) {
	for k := range f.Segs {
		s, a, b := f.Segs[k], f.Segs[f.prev(k)], f.Segs[f.next(k)]
		if !s.Fillet || a.Arc || b.Arc {
			continue
		}
		u, v := a.C.u(), b.C.u()
		if u[0]*v[0]+u[1]*v[1] > -outlineTipCos {
			continue
		}
		l := math.Hypot(u[0]-v[0], u[1]-v[1])
		t := outlineTip{ahead: [2]float64{(u[0] - v[0]) / l, (u[1] - v[1]) / l}, round: s.C, lines: [2]outlineCurve{a.C, b.C}}
		t.gather(side, f.L.Shift)
		if c, ok := t.flat(f.L.Sigma); ok {
			f.Segs[k] = outlineSeg{Lo: s.Lo, Hi: s.Hi, C: c}
		}
	}
}

// outlineTipCos: lines that part by less than 25 degrees run beside each other.
const outlineTipCos = 0.9

// outlineTipPoints is the least number of side points that decide.
const outlineTipPoints = 12

// outlineTip is the end between two lines that run side by side, ahead the way
// out, with the points that face that way.
type outlineTip struct {
	ahead [2]float64
	round outlineCurve
	lines [2]outlineCurve
	pts   []outlinePoint
}

// gather takes the side points past the middle of the round end that face within
// 60 degrees of the way ahead, or, in a notch, against it.
func (t *outlineTip) gather(side []SidePoint, shift [2]float64) {
	c, r := t.round.Centre(), 1/math.Abs(t.round.K)
	for _, s := range side {
		p := [2]float64{s.P[0] - shift[0], s.P[1] - shift[1]}
		x, y := p[0]-c[0], p[1]-c[1]
		facing := math.Copysign(1, t.round.K) * (s.N[0]*t.ahead[0] + s.N[1]*t.ahead[1])
		out := x*t.ahead[0] + y*t.ahead[1]
		if out > 0 && out < 2*r && math.Abs(x*t.ahead[1]-y*t.ahead[0]) < 1.2*r && facing > 0.5*math.Hypot(s.N[0], s.N[1]) {
			t.pts = append(t.pts, outlinePoint{P: p, W: 1, Var: 1})
		}
	}
}

// flat is the line across the end; ok where it explains the points better than
// the half circle, whose one parameter less is worth their logarithm.
func (t *outlineTip) flat(sigma float64) (outlineCurve, bool) {
	if len(t.pts) < outlineTipPoints {
		return outlineCurve{}, false
	}
	sense := math.Copysign(1, t.round.K)
	c, ok := fitOutlineLine(t.pts, [2]float64{-sense * t.ahead[1], sense * t.ahead[0]})
	if !ok {
		return c, false
	}
	round, flat := 0.0, math.Log(float64(len(t.pts)))
	capped := func(d float64) float64 { return math.Min(d*d/(sigma*sigma), outlineMisfitMax) }
	for _, p := range t.pts {
		d := math.Abs(c.Dist(p.P))
		for _, l := range t.lines { // a point at a corner may lie on the side
			d = math.Min(d, math.Abs(l.Dist(p.P)))
		}
		flat += capped(d)
		round += capped(t.round.Dist(p.P))
	}
	return c, flat < round
}
