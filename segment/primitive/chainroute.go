package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// route is the centreline of a chain in place, with what its parameters move.
type route struct {
	start  frame
	leg    []leg
	stop   []place
	length float64 // of the whole, mm
	move   []twist
}

// place is where a leg stands. The origin is its start, but the end of the first
// leg; on it t is the way the piece runs, n towards the arc's centre and a the
// arc's axis. middle and round are a ball that holds an inner leg.
type place struct {
	c, t, n, a, o r3.Vec
	before        float64 // length of the legs before, mm
	middle        r3.Vec
	round         float64
}

// twist is the motion v + w×p that a parameter brings to the legs from one on; a
// radius also bends its own leg, counted from 1.
type twist struct {
	w, v r3.Vec
	from int
	own  int
}

// spot is a point on leg i at coordinate s (mm on a straight, radians on an arc).
type spot struct {
	p r3.Vec
	i int
	s float64
}

// lay places the legs from frame f, shifted and turned by x.
func (r *route) lay(f frame, x []float64, legs []leg, firstArc int) {
	r.leg = append(r.leg[:0], legs...)
	r.stop, r.move = r.stop[:0], r.move[:0]
	r.rigid(f, x)
	p := place{c: r.start.C, t: r.start.D, n: r.start.E1}
	for i := range legs {
		l := legs[i]
		if l.arc() && i != firstArc {
			sin, cos := math.Sincos(l.turn)
			p.n = r3.Add(r3.Scale(cos, p.n), r3.Scale(sin, r3.Cross(p.t, p.n)))
		}
		p.a = r3.Cross(p.t, p.n)
		p.o = r3.Add(p.c, r3.Scale(l.radius, p.n))
		r.stop = append(r.stop, p)
		r.moves(i, firstArc)
		if i > 0 {
			p.c, p.n, p.t = r.end(i)
		}
	}
	r.length = 0
	for i, l := range legs {
		q := &r.stop[i]
		q.before = r.length
		r.length += l.lengthMM()
		if i > 0 {
			half, _ := r.at(i, (l.length+l.sweep)/2)
			q.middle, q.round = half, l.lengthMM()/2
		}
	}
}

// rigid moves the frame and notes how each of the six parameters moves all legs.
// The derivative of a rotation vector's rotation is its left Jacobian.
func (r *route) rigid(f frame, x []float64) {
	e := [3]r3.Vec{f.E1, f.E2, f.D}
	shift := r3.Add(r3.Scale(x[0], e[0]), r3.Add(r3.Scale(x[1], e[1]), r3.Scale(x[2], e[2])))
	turn := r3.Add(r3.Scale(x[3], e[0]), r3.Add(r3.Scale(x[4], e[1]), r3.Scale(x[5], e[2])))
	c := r3.Add(f.C, shift)
	angle := norm(turn)
	a, s, v := r3.Vec{}, 1.0, 0.0
	r.start = frame{c, f.E1, f.E2, f.D}
	if angle > 0 {
		a = r3.Scale(1/angle, turn)
		q := r3.NewRotation(angle, a)
		r.start = frame{c, q.Rotate(f.E1), q.Rotate(f.E2), q.Rotate(f.D)}
		sin, cos := math.Sincos(angle)
		s, v = sin/angle, (1-cos)/angle
	}
	for _, d := range e {
		r.move = append(r.move, twist{v: d})
	}
	for _, d := range e {
		w := r3.Add(r3.Scale(s, d), r3.Add(r3.Scale((1-s)*r3.Dot(a, d), a), r3.Scale(v, r3.Cross(a, d))))
		r.move = append(r.move, twist{w: w, v: r3.Cross(c, w)})
	}
}

// moves notes how the parameters of leg i move it and what follows it, in the
// order of chain.prepare.
func (r *route) moves(i, firstArc int) {
	p, l := r.stop[i], r.leg[i]
	inner := i > 0 && i < len(r.leg)-1
	if !l.arc() {
		if inner {
			r.move = append(r.move, twist{v: p.t, from: i + 1})
		}
		return
	}
	m := twist{from: i + 1, own: i + 1}
	if i > 0 {
		m.v = p.grow(l.sweep)
	} else {
		m.from = len(r.leg) // the frame stands at its end: nothing follows
	}
	r.move = append(r.move, m)
	if i != firstArc {
		r.move = append(r.move, twist{w: p.t, v: r3.Cross(p.c, p.t), from: i})
	}
	if inner {
		r.move = append(r.move, twist{w: p.a, v: r3.Cross(p.o, p.a), from: i + 1})
	}
}

// grow is the derivative by the radius of the arc's point at angle s.
func (p *place) grow(s float64) r3.Vec {
	sin, cos := math.Sincos(s)
	return r3.Add(r3.Scale(1-cos, p.n), r3.Scale(sin, p.t))
}

// end returns origin, n and t where leg i ends.
func (r *route) end(i int) (c, n, t r3.Vec) {
	p, l := &r.stop[i], r.leg[i]
	c, t = r.at(i, l.length+l.sweep)
	if !l.arc() {
		return c, p.n, t
	}
	sin, cos := math.Sincos(l.sweep)
	return c, r3.Sub(r3.Scale(cos, p.n), r3.Scale(sin, p.t)), t
}

// at returns the point of leg i at coordinate s and the way the piece runs there.
func (r *route) at(i int, s float64) (at, along r3.Vec) {
	p, l := &r.stop[i], r.leg[i]
	if !l.arc() {
		return r3.Add(p.c, r3.Scale(s, p.t)), p.t
	}
	sin, cos := math.Sincos(s)
	return r3.Add(p.c, r3.Scale(l.radius, p.grow(s))), r3.Add(r3.Scale(cos, p.t), r3.Scale(sin, p.n))
}

// along is the length of the piece up to the spot; the first leg counts from
// where it ends.
func (r *route) along(q spot) float64 {
	s := q.s
	if l := r.leg[q.i]; l.arc() {
		s *= l.radius
	}
	if q.i == 0 {
		return r.leg[0].lengthMM() + s
	}
	return r.stop[q.i].before + s
}

// nearest is the spot nearest to p; the first and last leg have no end.
func (r *route) nearest(p r3.Vec) spot {
	var best spot
	least := math.Inf(1)
	last := len(r.leg) - 1
	for i := range r.leg {
		q, l := &r.stop[i], r.leg[i]
		if i > 0 && i < last {
			if d := norm(r3.Sub(p, q.middle)) - q.round; d > 0 && d*d > least {
				continue
			}
		}
		lo, hi := 0.0, l.length+l.sweep
		if i == 0 {
			lo, hi = -hi, 0
		}
		s, at := q.foot(p, l, lo, hi, i == 0, i == last)
		if d := r3.Norm2(r3.Sub(p, at)); d < least {
			least, best = d, spot{at, i, s}
		}
	}
	return best
}

// foot is the point of a leg from lo to hi that is nearest to p.
func (q *place) foot(p r3.Vec, l leg, lo, hi float64, openLow, openHigh bool) (float64, r3.Vec) {
	var s float64
	d := r3.Sub(p, q.o)
	if l.arc() {
		mid := (lo + hi) / 2
		s = mid + math.Remainder(math.Atan2(r3.Dot(d, q.t), -r3.Dot(d, q.n))-mid, 2*math.Pi)
	} else {
		s = r3.Dot(d, q.t)
	}
	if !openLow {
		s = max(s, lo)
	}
	if !openHigh {
		s = min(s, hi)
	}
	if !l.arc() {
		return s, r3.Add(q.c, r3.Scale(s, q.t))
	}
	sin, cos := math.Sincos(s)
	return s, r3.Add(q.o, r3.Add(r3.Scale(-l.radius*cos, q.n), r3.Scale(l.radius*sin, q.t)))
}

// derive writes to grad how the spot moves along w with each parameter of frame
// and legs.
func (r *route) derive(at spot, w r3.Vec, grad []float64) {
	m := r3.Cross(at.p, w)
	for k := range r.move {
		t := &r.move[k]
		switch {
		case at.i >= t.from:
			grad[k] = r3.Dot(w, t.v) + r3.Dot(m, t.w)
		case at.i == t.own-1:
			grad[k] = r3.Dot(w, r.stop[at.i].grow(at.s))
		default:
			grad[k] = 0
		}
	}
}
