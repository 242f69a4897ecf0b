package primitive

import (
	"gonum.org/v1/gonum/spatial/r3"
)

// simplified takes legs out of the chain, or makes arcs straight, as long as the
// criterion falls: each time the change that lowers it most.
func (f nodeFit) simplified(w tubePath) nodeFit {
	for len(f.c.legs) > 1 {
		best := f
		for i := range f.c.legs {
			for _, c := range []*chain{f.c.straightened(i), f.c.without(i), f.c.joined(i)} {
				if c == nil {
					continue
				}
				if g, ok := fitNodes(c, w); ok && g.score < best.score {
					best = g
				}
			}
		}
		if best.c == f.c {
			break
		}
		f = best
	}
	return f
}

// straightened is the chain with arc i as a straight, joined to straights beside
// it; nil where it is none or no arc is left.
func (c *chain) straightened(i int) *chain {
	if !c.legs[i].arc() {
		return nil
	}
	var legs []leg
	carried := 0.0 // the turn of arcs that are no more
	for k, l := range c.legs {
		if k == i {
			carried = l.turn
			l = leg{length: l.lengthMM()}
		} else if l.arc() {
			l.turn, carried = l.turn+carried, 0
		}
		if n := len(legs); n > 0 && !l.arc() && !legs[n-1].arc() {
			legs[n-1].length += l.length
			continue
		}
		legs = append(legs, l)
	}
	return c.with(legs)
}

// joined is the chain with legs i and i+1 as one straight.
func (c *chain) joined(i int) *chain {
	if i+1 >= len(c.legs) {
		return nil
	}
	d := c.straightened(i + 1)
	if !c.legs[i].arc() || d == nil {
		return nil // straightened does that
	}
	return d.straightened(i)
}

// without is the chain without leg i: half of its length goes to either side.
func (c *chain) without(i int) *chain {
	if len(c.legs) < 2 {
		return nil
	}
	var legs []leg
	carried := 0.0
	share := c.legs[i].lengthMM()
	if c.inner(i) {
		share /= 2
	}
	for k, l := range c.legs {
		if k == i {
			carried = l.turn
			continue
		}
		if k == i-1 || k == i+1 {
			if l.arc() {
				l.sweep += share / l.radius
			} else {
				l.length += share
			}
		}
		if l.arc() {
			l.turn, carried = l.turn+carried, 0
		}
		if n := len(legs); n > 0 && !l.arc() && !legs[n-1].arc() {
			legs[n-1].length += l.length
			continue
		}
		legs = append(legs, l)
	}
	return c.with(legs)
}

// with is a chain of other legs that starts where c does.
func (c *chain) with(legs []leg) *chain {
	d := &chain{legs: legs, rs: c.rs}
	first := -1
	for i, l := range legs {
		if l.arc() && first < 0 {
			first = i
			legs[i].turn = 0
		}
	}
	if first < 0 || first > 1 {
		return nil
	}
	d.f = c.f
	d.ready()
	if !d.sound() {
		return nil
	}
	// Where the first leg ends moves along c; the plane is that of c there.
	s := d.legs[0].lengthMM()
	ahead := d.legs[first].lengthMM() / 2
	if first == 0 {
		ahead = -ahead
	}
	d.f = c.frameAt(s, ahead)
	d.ready()
	return d
}

// frameAt stands s mm from the start of the centreline, E1 towards the centre of
// the bend that is found over the next ahead mm, or, negative, those before.
func (c *chain) frameAt(s, ahead float64) frame {
	at, t := c.now.atMM(s)
	next, _ := c.now.atMM(s + ahead)
	f := newFrame(at, t)
	d := r3.Sub(next, at)
	d = r3.Sub(d, r3.Scale(r3.Dot(d, t), t))
	if l := norm(d); l > 0 {
		f.E1 = r3.Scale(1/l, d)
		f.E2 = r3.Cross(f.D, f.E1)
	}
	return f
}

// atMM returns the point s mm from the start and the way the piece runs there.
func (r *route) atMM(s float64) (at, along r3.Vec) {
	last := len(r.leg) - 1
	i := 0
	for i < last && s > r.stop[i].before+r.leg[i].lengthMM() {
		i++
	}
	s -= r.stop[i].before
	if i == 0 {
		s -= r.leg[0].lengthMM()
	}
	if l := r.leg[i]; l.arc() {
		s /= l.radius
	}
	return r.at(i, s)
}
