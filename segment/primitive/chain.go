package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// chain is a round bar or tube along straights and arcs that run into each other
// without a kink: a compound bend. Its surfaces are those of a bend. The frame
// stands where the first leg ends and the second starts, D the way the piece
// runs, E1 towards the centre of the first arc; from there the legs follow each
// other forward, and the first goes back. Where the first and last leg end only
// the end planes say.
type chain struct {
	f      frame
	legs   []leg
	rs, rb float64 // section, bore (0: none seen)
	ends   arcEnds
	now    route

	trial struct {
		legs   []leg
		rs, rb float64
		run    route
	}
}

// leg is a straight (radius 0) of lengthMM or an arc. turn is the angle from
// the plane of the arc before to the leg's own, about the way the piece runs.
type leg struct {
	length, radius, sweep, turn float64
}

func (l leg) arc() bool { return l.radius != 0 }

func (l leg) lengthMM() float64 {
	if l.arc() {
		return l.radius * l.sweep
	}
	return l.length
}

// Parameters: the frame's shift along E1, E2, D and its rotation vector in them;
// of each leg what the next one rests on; section and bore; the ends.
const chainRigid = 6

// firstArc is the leg whose plane the frame gives.
func (c *chain) firstArc() int {
	if c.legs[0].arc() {
		return 0
	}
	return 1
}

// inner tells whether the leg ends in another at both ends.
func (c *chain) inner(i int) bool { return i > 0 && i < len(c.legs)-1 }

// width is how many parameters leg i has.
func (c *chain) width(i int) int {
	n := 0
	if c.legs[i].arc() {
		n++
		if i != c.firstArc() {
			n++
		}
	}
	if c.inner(i) {
		n++
	}
	return n
}

// own is the number of parameters before those of the ends; section that of the
// section's radius.
func (c *chain) own() int {
	if c.rb > 0 {
		return c.section() + 2
	}
	return c.section() + 1
}

func (c *chain) section() int {
	n := chainRigid
	for i := range c.legs {
		n += c.width(i)
	}
	return n
}

func (c *chain) params() int   { return c.own() + c.ends.params() }
func (c *chain) surfaces() int { return 4 }

func (c *chain) prepare(x []float64) {
	t := &c.trial
	t.legs = append(t.legs[:0], c.legs...)
	k := chainRigid
	for i := range t.legs {
		l := &t.legs[i]
		if l.arc() {
			l.radius += x[k]
			k++
			if i != c.firstArc() {
				l.turn += x[k]
				k++
			}
			if c.inner(i) {
				l.sweep += x[k]
				k++
			}
		} else if c.inner(i) {
			l.length += x[k]
			k++
		}
	}
	t.rs, t.rb = c.rs+x[k], c.rb
	if c.rb > 0 {
		t.rb += x[k+1]
	}
	t.run.lay(c.f, x[:chainRigid], t.legs, c.firstArc())
	c.ends.prepare(x, c.own())
}

func (c *chain) residual(p r3.Vec, s int, grad []float64) float64 {
	if s >= bendStart {
		return c.ends.residual(p, s-bendStart, grad, c.own())
	}
	if s == bendBore && c.rb == 0 {
		return math.Inf(1)
	}
	t := &c.trial
	at := t.run.nearest(p)
	w := r3.Sub(p, at.p)
	l := norm(w)
	k := c.section()
	sign, r := 1.0, t.rs
	if s == bendBore {
		sign, r, k = -1, t.rb, k+1
	}
	if grad == nil {
		return sign * (l - r)
	}
	if l > 0 {
		w = r3.Scale(1/l, w)
	}
	// The foot's own motion along the chain does not count (envelope theorem).
	t.run.derive(at, r3.Scale(-sign, w), grad)
	grad[k] = -sign
	return sign * (l - r)
}

func (c *chain) accept() {
	t := &c.trial
	copy(c.legs, t.legs)
	for i := range c.legs {
		c.legs[i].turn = math.Remainder(c.legs[i].turn, 2*math.Pi)
	}
	c.rs, c.rb = t.rs, t.rb
	c.f = t.run.start
	reach := c.reach(&t.run)
	for k, i := range c.terminal() {
		if c.legs[i].arc() {
			c.legs[i].sweep = reach[k]
		} else {
			c.legs[i].length = reach[k]
		}
	}
	c.now.lay(c.f, make([]float64, chainRigid), c.legs, c.firstArc())
	for k := range c.ends.f {
		from, e := c.ends.f[k], c.ends.trial[k]
		c.stand(k)
		if c.ends.seen[k] {
			c.ends.e[k] = e.moved(from, c.ends.f[k])
		}
	}
	c.ends.trial = c.ends.e
}

// terminal are the first and the last leg.
func (c *chain) terminal() [2]int { return [2]int{0, len(c.legs) - 1} }

// stand places the frame of end k where its leg ends as it is now.
func (c *chain) stand(k int) {
	i := c.terminal()[k]
	s := c.legs[i].length + c.legs[i].sweep
	if k == 0 {
		s = -s
	}
	at, along := c.now.at(i, s)
	if k == 0 {
		along = r3.Scale(-1, along)
	}
	c.ends.f[k] = newFrame(at, along)
}

// reach is how far the first and last leg go to the trial end planes: mm of a
// straight, radians of an arc. Newton's method from where they stood.
func (c *chain) reach(run *route) [2]float64 {
	var out [2]float64
	for k, i := range c.terminal() {
		f, e := c.ends.f[k], c.ends.trial[k]
		s := c.legs[i].length + c.legs[i].sweep
		most := 2 * c.rs
		if c.legs[i].arc() {
			most = 0.2
		}
		if k == 0 {
			s = -s
		}
		for range 30 {
			at, along := run.at(i, s)
			if run.leg[i].arc() {
				along = r3.Scale(run.leg[i].radius, along)
			}
			u, v, h := f.local(at)
			slope := r3.Dot(along, f.D) - e.tu*r3.Dot(along, f.E1) - e.tv*r3.Dot(along, f.E2)
			if slope == 0 {
				break
			}
			step := min(max((h-e.height(u, v))/slope, -most), most)
			s -= step
			if math.Abs(step) < 1e-14*(1+math.Abs(s)) {
				break
			}
		}
		if k == 0 {
			s = -s
		}
		out[k] = s
	}
	return out
}

func (c *chain) sound() bool {
	if !(c.rs > 0) || c.rb < 0 || c.rb >= c.rs {
		return false
	}
	for _, l := range c.legs {
		if l.arc() && !(l.radius > c.rs && l.sweep > 0 && l.sweep < 2*math.Pi) || !l.arc() && !(l.length > 0) {
			return false
		}
	}
	return true
}

func (c *chain) normal(p r3.Vec, s int) r3.Vec {
	if s >= bendStart {
		return c.ends.normal(s - bendStart)
	}
	w := r3.Sub(p, c.now.nearest(p).p)
	l := norm(w)
	if l == 0 {
		return c.f.E1
	}
	if s == bendBore {
		l = -l
	}
	return r3.Scale(1/l, w)
}

// foot returns the distance from the centreline and, along it, to the nearer
// end, positive between the ends; near an end its plane tells.
func (c *chain) foot(p r3.Vec) (l, within float64) {
	at := c.now.nearest(p)
	return norm(r3.Sub(p, at.p)), c.within(p, at)
}

// within is how far the foot at of p is from the nearer end, positive between the ends;
// near an end its plane tells.
func (c *chain) within(p r3.Vec, at spot) float64 {
	s := c.now.along(at)
	k := 0
	if rest := c.now.length - s; rest < s {
		s, k = rest, 1
	}
	if s < 3*c.rs {
		return -c.ends.signed(p, k)
	}
	return s
}

func (c *chain) sees(q, n r3.Vec, s int, gate, margin float64) bool {
	if s == bendBore && c.rb == 0 {
		return false
	}
	at := c.now.nearest(q)
	return wallSees(r3.Sub(q, at.p), n, s, c.rs, c.rb, gate) && c.within(q, at) >= margin
}

func (c *chain) edge(p r3.Vec, s int) float64 {
	l, within := c.foot(p)
	if s < bendStart {
		return within
	}
	if norm(r3.Sub(p, c.ends.f[s-bendStart].C)) > 3*c.rs {
		return math.Inf(-1)
	}
	if c.rb > 0 {
		return min(c.rs-l, l-c.rb)
	}
	return c.rs - l
}

func (c *chain) distance(p r3.Vec) float64 {
	l, within := c.foot(p)
	d := [3]float64{l - c.rs, -within, math.Inf(-1)}
	if c.rb > 0 {
		d[2] = c.rb - l
	}
	return intersection(d[:])
}

func (c *chain) areaMM2() float64 {
	return 2*math.Pi*(c.rs+c.rb)*c.now.length + 2*math.Pi*(c.rs*c.rs-c.rb*c.rb)
}
