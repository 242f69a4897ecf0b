package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// cut is the plane in which a long part ends, in the part's own frame. It may be
// cut anew: slide moves it along the centreline, outwards positive, and the two
// tilts lean it, all in mm (tilts at the section's radius).
type cut struct {
	run     line
	s       float64 // where it cuts the centreline
	dir     float64 // 1 at the high end, -1 at the low one
	out     r3.Vec  // unit normal away from the part, as it was
	radius  float64 // of the section
	slide   float64
	tilt    [2]float64
	planed  bool // its end is a plane (not a saddle, not irregular)
	derived bool // it stood on the length, no end was seen

	known bool // whether the three below are of slide and tilt as they are
	at    r3.Vec
	n     r3.Vec
	way   r3.Vec
}

// place is where the plane cuts the centreline, its outward normal, and the way
// that the centreline leaves there.
func (c *cut) place() (at, out, way r3.Vec) {
	if !c.known {
		c.at, c.n, c.way = c.find()
		c.known = true
	}
	return c.at, c.n, c.way
}

func (c *cut) find() (at, out, way r3.Vec) {
	_, t0 := c.run.at(c.s)
	p, t := c.run.at(c.s + c.dir*c.slide)
	t0, t = r3.Scale(c.dir, t0), r3.Scale(c.dir, t)
	e, f := square(t0)
	n := r3.Add(c.out, r3.Scale(c.tilt[0]/c.radius, e))
	n = unit(r3.Add(n, r3.Scale(c.tilt[1]/c.radius, f)))
	if w := r3.Cross(t0, t); r3.Norm(w) > 1e-12 { // the plane goes round with the bend
		n = rotation(r3.Scale(math.Atan2(r3.Norm(w), r3.Dot(t0, t)), unit(w)))(n)
	}
	return p, n, t
}

// end is the length on the centreline at which the part ends.
func (c *cut) end() float64 { return c.s + c.dir*c.slide }

// nearRadii is how far along the centreline from an end its plane still tells
// inside from outside: a mitre of 60° reaches 1.7 radii.
const nearRadii = 3

// distance is that of q from the plane; far from the end, and so inside or at the
// other end, it is the way along the centreline.
func (c *cut) distance(q r3.Vec) float64 {
	if d, far := c.far(q); far {
		return d
	}
	at, out, _ := c.place()
	return r3.Dot(r3.Sub(q, at), out)
}

// far tells a place well before the end, and how far along the run.
func (c *cut) far(q r3.Vec) (float64, bool) {
	d := (c.run.foot(q) - c.end()) * c.dir
	return d, d < -nearRadii*c.radius
}

// normal is the gradient of the distance.
func (c *cut) normal(q r3.Vec) r3.Vec {
	_, out, _ := c.place()
	if _, far := c.far(q); far {
		_, t := c.run.at(c.run.foot(q))
		return r3.Scale(c.dir, t)
	}
	return out
}

// adjust adds to one of slide (0) and tilts (1, 2).
func (c *cut) adjust(k int, by float64) {
	c.known = false
	if k == 0 {
		c.slide += by
		return
	}
	c.tilt[k-1] += by
}
