package fit

import (
	"math"
	"math/rand/v2"
)

// truthOutline builds an outline from corners, each with the radius of its
// rounding (0 for sharp); counter-clockwise.
func truthOutline(corners [][2]float64, radius []float64) Outline {
	n := len(corners)
	var o Outline
	for i := range n {
		p, q, r := corners[(i+n-1)%n], corners[i], corners[(i+1)%n]
		if radius == nil || radius[i] == 0 {
			o.Steps = append(o.Steps, Step{To: q})
			continue
		}
		u := truthUnit(p, q)
		v := truthUnit(q, r)
		turn := math.Atan2(u[0]*v[1]-u[1]*v[0], u[0]*v[0]+u[1]*v[1])
		t := radius[i] * math.Tan(math.Abs(turn)/2)
		a := [2]float64{q[0] - t*u[0], q[1] - t*u[1]}
		b := [2]float64{q[0] + t*v[0], q[1] + t*v[1]}
		w := truthUnit([2]float64{}, [2]float64{v[0] - u[0], v[1] - u[1]})
		d := radius[i] * (1/math.Cos(turn/2) - 1)
		o.Steps = append(o.Steps, Step{To: a}, Step{To: b, Via: [2]float64{q[0] + d*w[0], q[1] + d*w[1]}, Arc: true})
	}
	return o
}

func truthUnit(p, q [2]float64) [2]float64 {
	l := math.Hypot(q[0]-p[0], q[1]-p[1])
	return [2]float64{(q[0] - p[0]) / l, (q[1] - p[1]) / l}
}

// scanOutline samples an outline with jittered spacing and gaussian noise. The
// corners between straight steps are rounded by the radius first.
func scanOutline(o Outline, spacing, sigma, rounding float64, rng *rand.Rand) [][2]float64 {
	if rounding > 0 {
		o = roundedOutline(o, rounding)
	}
	var pts [][2]float64
	total, at := o.Perimeter(), rng.Float64()*spacing
	edges := o.edges()
	n := int(math.Max(3, math.Round(total/spacing)))
	step := total / float64(n)
	start, k := 0.0, 0
	for i := range n {
		s := math.Min(total*(1-1e-12), at/spacing*step+(float64(i)+0.3*(rng.Float64()-0.5))*step)
		if s < 0 {
			s = 0
		}
		for k < len(edges)-1 && s > start+edges[k].length() {
			start += edges[k].length()
			k++
		}
		t := math.Min(1, (s-start)/edges[k].length())
		p := edges[k].at(t)
		pts = append(pts, [2]float64{p[0] + sigma*rng.NormFloat64(), p[1] + sigma*rng.NormFloat64()})
	}
	return pts
}

// roundedOutline rounds every corner between two straight steps.
func roundedOutline(o Outline, r float64) Outline {
	edges := o.edges()
	var out Outline
	n := len(edges)
	for i, e := range edges {
		f := edges[(i+1)%n]
		if e.Arc || f.Arc {
			out.Steps = append(out.Steps, o.Steps[i])
			continue
		}
		corner := truthOutline([][2]float64{e.A, e.B, f.B}, []float64{0, r, 0})
		out.Steps = append(out.Steps, corner.Steps[1:3]...)
	}
	return out
}

// turned rotates and moves an outline.
func turnedOutline(o Outline, angle float64, by [2]float64) Outline {
	s, c := math.Sincos(angle)
	f := func(p [2]float64) [2]float64 { return [2]float64{c*p[0] - s*p[1] + by[0], s*p[0] + c*p[1] + by[1]} }
	var out Outline
	for _, st := range o.Steps {
		out.Steps = append(out.Steps, Step{To: f(st.To), Via: f(st.Via), Arc: st.Arc})
	}
	return out
}

// truthShape is a named outline drawn with random sizes.
type truthShape struct {
	Name string
	Draw func(*rand.Rand) Outline
}

func between(rng *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }

func truthShapes() []truthShape {
	box := func(l, w float64) [][2]float64 { return [][2]float64{{0, 0}, {l, 0}, {l, w}, {0, w}} }
	return []truthShape{
		{"rectangle", func(r *rand.Rand) Outline { return truthOutline(box(between(r, 20, 90), between(r, 8, 60)), nil) }},
		{"square", func(r *rand.Rand) Outline { l := between(r, 8, 40); return truthOutline(box(l, l), nil) }},
		{"rounded", func(r *rand.Rand) Outline {
			q := between(r, 3, 6)
			return truthOutline(box(between(r, 25, 90), between(r, 20, 60)), []float64{q, q, q, q})
		}},
		{"convex", truthConvex},
		{"star", truthStar},
		{"notched", func(r *rand.Rand) Outline {
			l, w := between(r, 40, 90), between(r, 25, 60)
			a, b, d := l*between(r, 0.2, 0.35), l*between(r, 0.55, 0.8), w*between(r, 0.2, 0.5)
			return truthOutline([][2]float64{{0, 0}, {a, 0}, {a, d}, {b, d}, {b, 0}, {l, 0}, {l, w}, {0, w}}, nil)
		}},
		{"dshape", func(r *rand.Rand) Outline {
			q := between(r, 10, 30)
			h := q * between(r, -0.5, 0.6)
			x := math.Sqrt(q*q - h*h)
			return Outline{Steps: []Step{{To: [2]float64{x, h}}, {To: [2]float64{-x, h}, Via: [2]float64{0, q}, Arc: true}}}
		}},
		{"slot", func(r *rand.Rand) Outline { return truthSlot(between(r, 15, 60), between(r, 8, 14)) }},
		{"circle", func(r *rand.Rand) Outline {
			q := between(r, 6, 30)
			return Outline{Steps: []Step{{To: [2]float64{-q, 0}, Via: [2]float64{0, q}, Arc: true}, {To: [2]float64{q, 0}, Via: [2]float64{0, -q}, Arc: true}}}
		}},
		{"hexagon", func(r *rand.Rand) Outline {
			q := between(r, 8, 20)
			var c [][2]float64
			for i := range 6 {
				s, k := math.Sincos(float64(i) * math.Pi / 3)
				c = append(c, [2]float64{q * k, q * s})
			}
			return truthOutline(c, nil)
		}},
		{"angle", func(r *rand.Rand) Outline {
			a, b, t := between(r, 20, 50), between(r, 20, 50), between(r, 5, 8)
			return truthOutline([][2]float64{{0, 0}, {a, 0}, {a, t}, {t, t}, {t, b}, {0, b}}, nil)
		}},
		{"channel", func(r *rand.Rand) Outline {
			a, b, t := between(r, 20, 40), between(r, 25, 50), between(r, 5, 7)
			return truthOutline([][2]float64{{0, 0}, {a, 0}, {a, t}, {t, t}, {t, b - t}, {a, b - t}, {a, b}, {0, b}}, nil)
		}},
		{"tee", func(r *rand.Rand) Outline {
			a, b, t := between(r, 25, 50), between(r, 25, 50), between(r, 5, 7)
			return truthOutline([][2]float64{{a/2 - t/2, 0}, {a/2 + t/2, 0}, {a/2 + t/2, b - t}, {a, b - t}, {a, b}, {0, b}, {0, b - t}, {a/2 - t/2, b - t}}, nil)
		}},
	}
}

func truthSlot(l, w float64) Outline {
	a, q := (l-w)/2, w/2
	return Outline{Steps: []Step{
		{To: [2]float64{a, -q}}, {To: [2]float64{a, q}, Via: [2]float64{a + q, 0}, Arc: true},
		{To: [2]float64{-a, q}}, {To: [2]float64{-a, -q}, Via: [2]float64{-a - q, 0}, Arc: true}}}
}

// truthConvex is a convex polygon of 4 to 7 corners with edges of at least 8 mm
// and turns of at least 20 degrees.
func truthConvex(r *rand.Rand) Outline {
	for {
		n := 4 + r.IntN(4)
		q := between(r, 18, 40)
		var c [][2]float64
		for i := range n {
			s, k := math.Sincos((float64(i) + 0.6*r.Float64()) * 2 * math.Pi / float64(n))
			c = append(c, [2]float64{q * k * between(r, 0.9, 1.1), q * s})
		}
		if truthFair(c, 20) {
			return truthOutline(c, nil)
		}
	}
}

// truthStar is a polygon with inner corners.
func truthStar(r *rand.Rand) Outline {
	for {
		n := 5 + r.IntN(4)
		q := between(r, 20, 40)
		var c [][2]float64
		for i := range n {
			s, k := math.Sincos((float64(i) + 0.5*r.Float64()) * 2 * math.Pi / float64(n))
			t := q * between(r, 0.5, 1)
			c = append(c, [2]float64{t * k, t * s})
		}
		if truthFair(c, 20) {
			return truthOutline(c, nil)
		}
	}
}

func truthFair(c [][2]float64, turnMin float64) bool {
	n := len(c)
	for i := range n {
		p, q, s := c[(i+n-1)%n], c[i], c[(i+1)%n]
		u, v := truthUnit(p, q), truthUnit(q, s)
		turn := math.Abs(math.Atan2(u[0]*v[1]-u[1]*v[0], u[0]*v[0]+u[1]*v[1])) * 180 / math.Pi
		if math.Hypot(q[0]-p[0], q[1]-p[1]) < 8 || turn < turnMin || turn > 140 {
			return false
		}
	}
	return true
}

// truthBoxLike is the rectangle round truth that lies like the smallest one
// round o: near ties of the area may turn it by a right angle or more.
func truthBoxLike(o, truth Outline) Rectangle {
	edges := truth.edges()
	angle := SmallestRectangle(o).AngleRad
	best := outlineBox{Angle: angle}
	off := 0.03
	for _, a := range append(outlineHullAngles(edges), SmallestRectangle(truth).AngleRad) {
		if d := math.Abs(math.Remainder(a-angle, math.Pi/2)); d < off {
			off, best.Angle = d, a
		}
	}
	return outlineBoxAt(edges, best.Angle).rectangle(edges)
}
