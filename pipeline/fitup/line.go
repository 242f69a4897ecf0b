package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// line is a centreline in a part's own frame, run by its length s, mm. It runs on
// past the ends of the metal, as a longer piece would.
type line interface {
	at(s float64) (p, t r3.Vec) // a place and the unit direction there
	foot(q r3.Vec) float64      // s of the place nearest to q
}

// straight is the axis, from the origin.
type straight struct{}

func (straight) at(s float64) (p, t r3.Vec) { return r3.Vec{Z: s}, r3.Vec{Z: 1} }
func (straight) foot(q r3.Vec) float64      { return q.Z }

// circle lies about the axis at height 0, from the angle mid (rad) on.
type circle struct{ r, mid float64 }

func (c circle) at(s float64) (p, t r3.Vec) {
	sin, cos := math.Sincos(c.mid + s/c.r)
	return r3.Vec{X: c.r * cos, Y: c.r * sin}, r3.Vec{X: -sin, Y: cos}
}

func (c circle) foot(q r3.Vec) float64 {
	return c.r * math.Remainder(math.Atan2(q.Y, q.X)-c.mid, 2*math.Pi)
}

// helix climbs rise a radian from the angle start at height 0, counter-clockwise
// for hand 1.
type helix struct{ r, rise, start, hand float64 }

func (h helix) speed() float64 { return math.Hypot(h.r, h.rise) }

func (h helix) at(s float64) (p, t r3.Vec) {
	l := h.speed()
	a := s / l
	sin, cos := math.Sincos(h.start + h.hand*a)
	return r3.Vec{X: h.r * cos, Y: h.r * sin, Z: h.rise * a}, r3.Vec{X: -h.hand * h.r / l * sin, Y: h.hand * h.r / l * cos, Z: h.rise / l}
}

// foot tries the turns next to the height of q, each by Newton's method on the
// derivative of the squared distance.
func (h helix) foot(q r3.Vec) float64 {
	a := h.hand * (math.Atan2(q.Y, q.X) - h.start)
	turn := math.Round((q.Z/h.rise - a) / (2 * math.Pi))
	best, least := 0.0, math.Inf(1)
	l := h.speed()
	for k := turn - 1; k <= turn+1; k++ {
		s := (a + 2*math.Pi*k) * l
		for range 4 {
			p, t := h.at(s)
			w := r3.Sub(p, q)
			curve := 1 - (p.X*w.X+p.Y*w.Y)/(l*l)
			s -= r3.Dot(w, t) / max(curve, 0.2)
		}
		if p, _ := h.at(s); r3.Norm2(r3.Sub(p, q)) < least {
			best, least = s, r3.Norm2(r3.Sub(p, q))
		}
	}
	return best
}

// leg is a part of a compound bend in the frame where it starts: z along it, x
// towards the centre of its arc; r is 0 for a straight.
type leg struct {
	from    pose
	r       float64
	s0, len float64
	open    [2]bool // first or last of all: it runs on
}

// legs run one after the other without a kink.
type legs []leg

// newLegs strings legs together: lengths mm (of an arc along its centreline),
// radii mm, turns rad about the run before each.
func newLegs(length, radius, turn []float64) legs {
	at := pose{r3.Vec{}, r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}}
	var out legs
	s := 0.0
	for i := range length {
		sin, cos := math.Sincos(turn[i])
		at = newPose(at.at, at.z, at.dir(r3.Vec{X: cos, Y: sin}))
		l := leg{from: at, r: radius[i], s0: s, len: length[i], open: [2]bool{i == 0, i == len(length)-1}}
		p, t := l.along(l.len)
		x := at.x
		if l.r > 0 {
			sin, cos := math.Sincos(l.len / l.r)
			x = at.dir(r3.Vec{X: cos, Z: -sin})
		}
		out = append(out, l)
		at = newPose(p, t, x)
		s += l.len
	}
	return out
}

// along is the place and direction at a length from the leg's start.
func (l leg) along(s float64) (p, t r3.Vec) {
	if l.r == 0 {
		return l.from.point(r3.Vec{Z: s}), l.from.z
	}
	sin, cos := math.Sincos(s / l.r)
	return l.from.point(r3.Vec{X: l.r * (1 - cos), Z: l.r * sin}), l.from.dir(r3.Vec{X: sin, Z: cos})
}

// near is the length from the leg's start of its place nearest to q.
func (l leg) near(q r3.Vec) float64 {
	w := l.from.local(q)
	s := w.Z
	if l.r > 0 {
		mid := l.len / l.r / 2
		s = l.r * (mid + math.Remainder(math.Atan2(w.Z, l.r-w.X)-mid, 2*math.Pi))
	}
	if !l.open[0] {
		s = max(s, 0)
	}
	if !l.open[1] {
		s = min(s, l.len)
	}
	return s
}

func (c legs) at(s float64) (p, t r3.Vec) {
	i := 0
	for i < len(c)-1 && s > c[i].s0+c[i].len {
		i++
	}
	return c[i].along(s - c[i].s0)
}

func (c legs) foot(q r3.Vec) float64 {
	best, least := 0.0, math.Inf(1)
	for _, l := range c {
		s := l.near(q)
		if p, _ := l.along(s); r3.Norm2(r3.Sub(p, q)) < least {
			best, least = s+l.s0, r3.Norm2(r3.Sub(p, q))
		}
	}
	return best
}

// placed is the same run seen from another frame: f takes its places there.
func (c legs) placed(f pose) legs {
	out := make(legs, len(c))
	for i, l := range c {
		l.from = newPose(f.point(l.from.at), f.dir(l.from.z), f.dir(l.from.x))
		out[i] = l
	}
	return out
}
