package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// outline is a closed loop of lines and arcs in u, v.
type outline struct {
	steps []step
	chain [][2]float64 // its corners and places along its arcs
}

// step is a line from a to b, or an arc about c: counter-clockwise for turn > 0.
type step struct {
	a, b, c [2]float64
	r       float64 // 0 for a line
	from    float64 // angle of a about c
	turn    float64 // rad, signed
}

// arcParts is how many chords stand for a full turn where inside is told from
// outside and where places along an edge are taken.
const arcParts = 72

func newOutline(in []stock.Step) outline {
	var o outline
	for i, s := range in {
		a := in[(i+len(in)-1)%len(in)].To
		x := step{a: a, b: s.To}
		if s.Arc {
			x = arcStep(a, s.Via, s.To)
		}
		if math.Hypot(x.b[0]-x.a[0], x.b[1]-x.a[1]) == 0 && x.r == 0 {
			continue
		}
		o.steps = append(o.steps, x)
		n := max(1, int(math.Ceil(math.Abs(x.turn)/(2*math.Pi)*arcParts)))
		for k := range n {
			o.chain = append(o.chain, x.along(float64(k)/float64(n)))
		}
	}
	return o
}

// roundOutline is a full circle.
func roundOutline(u, v, r float64) outline {
	return newOutline([]stock.Step{{To: [2]float64{u + r, v}, Via: [2]float64{u, v - r}, Arc: true}, {To: [2]float64{u - r, v}, Via: [2]float64{u, v + r}, Arc: true}})
}

func polygon(at ...[2]float64) outline {
	var steps []stock.Step
	for _, q := range at {
		steps = append(steps, stock.Step{To: q})
	}
	return newOutline(steps)
}

// arcStep is the arc from a through v to b; a line where they lie on one.
func arcStep(a, v, b [2]float64) step {
	x1, y1, x2, y2 := v[0]-a[0], v[1]-a[1], b[0]-a[0], b[1]-a[1]
	det := 2 * (x1*y2 - x2*y1)
	if math.Abs(det) <= 1e-9*(x1*x1+y1*y1+x2*x2+y2*y2) {
		return step{a: a, b: b}
	}
	q1, q2 := x1*x1+y1*y1, x2*x2+y2*y2
	cx, cy := (q1*y2-q2*y1)/det, (q2*x1-q1*x2)/det
	s := step{a: a, b: b, c: [2]float64{a[0] + cx, a[1] + cy}, r: math.Hypot(cx, cy)}
	s.from = math.Atan2(-cy, -cx)
	ccw := func(q [2]float64) float64 {
		x := math.Mod(math.Atan2(q[1]-s.c[1], q[0]-s.c[0])-s.from, 2*math.Pi)
		if x < 0 {
			x += 2 * math.Pi
		}
		return x
	}
	s.turn = ccw(b)
	if ccw(v) > s.turn {
		s.turn -= 2 * math.Pi
	}
	return s
}

func (s step) along(t float64) [2]float64 {
	if s.r == 0 {
		return [2]float64{s.a[0] + t*(s.b[0]-s.a[0]), s.a[1] + t*(s.b[1]-s.a[1])}
	}
	sin, cos := math.Sincos(s.from + t*s.turn)
	return [2]float64{s.c[0] + s.r*cos, s.c[1] + s.r*sin}
}

// beyond is the signed distance of a place from the line or circle that a step is
// part of, positive outside of a counter-clockwise loop.
func (s step) beyond(u, v float64) float64 {
	if s.r == 0 {
		du, dv := s.b[0]-s.a[0], s.b[1]-s.a[1]
		return ((u-s.a[0])*dv - (v-s.a[1])*du) / math.Hypot(du, dv)
	}
	return (math.Hypot(u-s.c[0], v-s.c[1]) - s.r) * math.Copysign(1, s.turn)
}

// outwards is the gradient of beyond.
func (s step) outwards(u, v float64) r3.Vec {
	if s.r == 0 {
		return unit(r3.Vec{X: s.b[1] - s.a[1], Y: s.a[0] - s.b[0]})
	}
	return unit(r3.Scale(math.Copysign(1, s.turn), r3.Vec{X: u - s.c[0], Y: v - s.c[1]}))
}

// distance is that of q from the loop, positive outside.
func (o outline) distance(u, v float64) float64 {
	best, sign, inner := math.Inf(1), 1.0, false
	for _, s := range o.steps {
		d, g, in := s.distance(u, v)
		if d < best {
			best, sign, inner = d, g, in
		}
	}
	if !inner { // nearest to a corner
		sign = 1
		if o.inside(u, v) {
			sign = -1
		}
	}
	return sign * best
}

// distance is that of a place from one step, the side on which it lies (1:
// outside of a counter-clockwise loop) and whether its foot is within the step.
func (s step) distance(u, v float64) (d, side float64, inner bool) {
	if s.r == 0 {
		du, dv := s.b[0]-s.a[0], s.b[1]-s.a[1]
		t := ((u-s.a[0])*du + (v-s.a[1])*dv) / (du*du + dv*dv)
		if t > 0 && t < 1 {
			h := s.beyond(u, v)
			return math.Abs(h), math.Copysign(1, h), true
		}
	} else {
		t := math.Mod((math.Atan2(v-s.c[1], u-s.c[0])-s.from)*math.Copysign(1, s.turn), 2*math.Pi)
		if t < 0 {
			t += 2 * math.Pi
		}
		if t > 0 && t < math.Abs(s.turn) {
			h := s.beyond(u, v)
			return math.Abs(h), math.Copysign(1, h), true
		}
	}
	return min(math.Hypot(u-s.a[0], v-s.a[1]), math.Hypot(u-s.b[0], v-s.b[1])), 1, false
}

func (o outline) inside(u, v float64) bool {
	in := false
	for i, q := range o.chain {
		p := o.chain[(i+1)%len(o.chain)]
		if (q[1] > v) != (p[1] > v) && u < q[0]+(v-q[1])/(p[1]-q[1])*(p[0]-q[0]) {
			in = !in
		}
	}
	return in
}

// holeOutline is the edge of a hole.
func holeOutline(h stock.Hole) outline {
	a, b := h.AcrossMM[0]/2, h.AcrossMM[1]/2
	var o []stock.Step
	switch h.Shape {
	case "round":
		return roundOutline(h.CentreMM[0], h.CentreMM[1], h.DiameterMM/2)
	case "diamond":
		o = []stock.Step{{To: [2]float64{a, 0}}, {To: [2]float64{0, b}}, {To: [2]float64{-a, 0}}, {To: [2]float64{0, -b}}}
	case "rectangle":
		o = []stock.Step{{To: [2]float64{-a, -b}}, {To: [2]float64{a, -b}}, {To: [2]float64{a, b}}, {To: [2]float64{-a, b}}}
	case "slot":
		o = []stock.Step{{To: [2]float64{a - b, -b}}, {To: [2]float64{a - b, b}, Via: [2]float64{a, 0}, Arc: true},
			{To: [2]float64{b - a, b}}, {To: [2]float64{b - a, -b}, Via: [2]float64{-a, 0}, Arc: true}}
	default:
		return newOutline(h.Outline)
	}
	sin, cos := math.Sincos(h.AngleDeg * math.Pi / 180)
	turn := func(q [2]float64) [2]float64 {
		return [2]float64{h.CentreMM[0] + q[0]*cos - q[1]*sin, h.CentreMM[1] + q[0]*sin + q[1]*cos}
	}
	for i := range o {
		o[i].To, o[i].Via = turn(o[i].To), turn(o[i].Via)
	}
	return newOutline(o)
}
