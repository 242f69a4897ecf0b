package draw

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// stroke is a connected line in the plane, or text.
type stroke struct {
	curves []curve
	closed bool
	filled bool
	label  *Label
}

// curve is a straight from a to b (sweep 0) or an arc about a centre, from the
// angle from through the signed sweep.
type curve struct {
	a, b, centre [2]float64
	radius       float64
	from, sweep  float64
}

func (l Line) flat() ([]stroke, bool) {
	c := curve{a: [2]float64{l.A.X, l.A.Y}, b: [2]float64{l.B.X, l.B.Y}}
	return []stroke{{curves: []curve{c}}}, l.A.Z == 0 && l.B.Z == 0
}

func (a Arc) flat() ([]stroke, bool) {
	up := math.Copysign(1, a.Normal.Z)
	c := curve{centre: [2]float64{a.Centre.X, a.Centre.Y}, radius: a.RadiusMM, from: math.Atan2(a.X.Y, a.X.X), sweep: up * math.Min(a.SweepRad, 2*math.Pi)}
	c.a, c.b = c.at(0), c.at(1)
	return []stroke{{curves: []curve{c}, closed: a.SweepRad >= 2*math.Pi}}, a.Centre.Z == 0 && math.Abs(a.Normal.Z) == 1
}

func (c Contour) flat() ([]stroke, bool) {
	return []stroke{{curves: c.curves(), closed: c.Closed, filled: c.Filled}}, true
}

// curves are the contour's straights and arcs in order.
func (c Contour) curves() []curve {
	n := len(c.Vertices)
	last := n - 1
	if c.Closed {
		last = n
	}
	out := make([]curve, 0, n)
	for i := range last {
		out = append(out, between(c.Vertices[i], c.Vertices[(i+1)%n].At))
	}
	return out
}

// between is the straight or arc from v to b: the centre of an arc lies on the
// bisector of its chord, cot(sweep/2) half chords to its left.
func between(v Vertex, b [2]float64) curve {
	c := curve{a: v.At, b: b}
	dx, dy := b[0]-v.At[0], b[1]-v.At[1]
	if v.SweepRad == 0 || dx == 0 && dy == 0 {
		return c
	}
	k := 1 / math.Tan(v.SweepRad/2) / 2
	c.centre = [2]float64{(v.At[0]+b[0])/2 - k*dy, (v.At[1]+b[1])/2 + k*dx}
	c.radius = math.Hypot(v.At[0]-c.centre[0], v.At[1]-c.centre[1])
	c.from, c.sweep = math.Atan2(v.At[1]-c.centre[1], v.At[0]-c.centre[0]), v.SweepRad
	return c
}

// LengthMM is the length along straights and arcs.
func (c Contour) LengthMM() float64 {
	sum := 0.0
	for _, x := range c.curves() {
		sum += x.lengthMM()
	}
	return sum
}

// AreaMM2 is what the closed contour encloses, positive counter-clockwise: its
// polygon and the circular segments on the chords.
func (c Contour) AreaMM2() float64 {
	if len(c.Vertices) == 0 {
		return 0
	}
	sum, o := 0.0, c.Vertices[0].At
	closed := Contour{Vertices: c.Vertices, Closed: true}
	for _, x := range closed.curves() {
		sum += ((x.a[0]-o[0])*(x.b[1]-o[1]) - (x.a[1]-o[1])*(x.b[0]-o[0])) / 2
		sum += x.radius * x.radius / 2 * (x.sweep - math.Sin(x.sweep))
	}
	return sum
}

func (w Wire) flat() ([]stroke, bool) {
	var s stroke
	level := true
	for i, p := range w.Points {
		level = level && p.Z == 0
		if i > 0 {
			s.curves = append(s.curves, level2(w.Points[i-1], p))
		}
	}
	if w.Closed {
		s.curves = append(s.curves, level2(w.Points[len(w.Points)-1], w.Points[0]))
		s.closed = true
	}
	return []stroke{s}, level
}

func level2(a, b r3.Vec) curve { return curve{a: [2]float64{a.X, a.Y}, b: [2]float64{b.X, b.Y}} }

func (t Label) flat() ([]stroke, bool) { return []stroke{{label: &t}}, t.LevelMM == 0 }

func (c curve) lengthMM() float64 {
	if c.sweep == 0 {
		return math.Hypot(c.b[0]-c.a[0], c.b[1]-c.a[1])
	}
	return c.radius * math.Abs(c.sweep)
}

// at is the point at t in 0 … 1.
func (c curve) at(t float64) [2]float64 {
	if c.sweep == 0 {
		return [2]float64{c.a[0] + t*(c.b[0]-c.a[0]), c.a[1] + t*(c.b[1]-c.a[1])}
	}
	sin, cos := math.Sincos(c.from + t*c.sweep)
	return [2]float64{c.centre[0] + c.radius*cos, c.centre[1] + c.radius*sin}
}

// box is a rectangle along the axes.
type box struct{ lo, hi [2]float64 }

func emptyBox() box {
	inf := math.Inf(1)
	return box{[2]float64{inf, inf}, [2]float64{-inf, -inf}}
}

func (b *box) take(p [2]float64) {
	for k := range p {
		b.lo[k], b.hi[k] = min(b.lo[k], p[k]), max(b.hi[k], p[k])
	}
}

func (b box) meets(o box) bool {
	return b.lo[0] <= o.hi[0] && o.lo[0] <= b.hi[0] && b.lo[1] <= o.hi[1] && o.lo[1] <= b.hi[1]
}

// box of a curve: its ends, and the points of an arc farthest along the axes.
func (c curve) box() box {
	b := emptyBox()
	b.take(c.a)
	b.take(c.b)
	if c.sweep == 0 {
		return b
	}
	lo, hi := c.from, c.from+c.sweep
	if lo > hi {
		lo, hi = hi, lo
	}
	for q := math.Ceil(lo / (math.Pi / 2)); q*math.Pi/2 <= hi; q++ {
		sin, cos := math.Sincos(q * math.Pi / 2)
		b.take([2]float64{c.centre[0] + c.radius*cos, c.centre[1] + c.radius*sin})
	}
	return b
}

// letterWide is the width that a letter is reckoned to take at most, as a share
// of the height of capitals; it keeps text within the page.
const letterWide = 0.95

func (t Label) box() box {
	w, h := letterWide*t.HeightMM*float64(len([]rune(t.Text))), t.HeightMM
	left := 0.0
	if t.Middle {
		left = -w / 2
	}
	b := emptyBox()
	sin, cos := math.Sincos(t.TurnRad)
	for _, q := range [4][2]float64{{left, -0.3 * h}, {left + w, -0.3 * h}, {left + w, h}, {left, h}} {
		b.take([2]float64{t.At[0] + q[0]*cos - q[1]*sin, t.At[1] + q[0]*sin + q[1]*cos})
	}
	return b
}

func (s stroke) box() box {
	if s.label != nil {
		return s.label.box()
	}
	b := emptyBox()
	for _, c := range s.curves {
		o := c.box()
		b.take(o.lo)
		b.take(o.hi)
	}
	return b
}

// Chords is the contour's corners and points on its arcs, none of which turn by
// more than stepRad from one to the next; closed ones do not repeat the first.
func (c Contour) Chords(stepRad float64) [][2]float64 {
	var out [][2]float64
	for _, x := range c.curves() {
		n := max(1, int(math.Ceil(math.Abs(x.sweep)/stepRad-1e-9)))
		for k := range n {
			out = append(out, x.at(float64(k)/float64(n)))
		}
	}
	if !c.Closed && len(c.Vertices) > 0 {
		out = append(out, c.Vertices[len(c.Vertices)-1].At)
	}
	return out
}

// Box is the rectangle along the axes round what a shape shows in the plane, arcs
// exactly.
func Box(s Shape) (lo, hi [2]float64) {
	b := emptyBox()
	strokes, _ := s.flat()
	for _, k := range strokes {
		o := k.box()
		b.take(o.lo)
		b.take(o.hi)
	}
	return b.lo, b.hi
}
