package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// coneSection is a plate rolled to a part of a cone: a sector (its surfaces are
// named alike) whose section leans. In the half-plane of radius ρ and height h
// the section is a rectangle in x = ρ cos a + h sin a, across the plate, and
// y = h cos a - ρ sin a, along the slope; its edges are square to its faces, as
// they are when a flat blank is rolled.
type coneSection struct {
	f       frame
	a       float64    // lean of the faces; over 0: narrowing along the axis
	xo, xi  float64    // convex and concave face
	y       [2]float64 // edges, wide and narrow
	ends    arcEnds
	pierced // holes, on the flat blank

	trial struct {
		ax        axial
		a, xo, xi float64
		y         [2]float64
		sin, cos  float64
	}
}

const coneSectionParams = axialParams + 5

func (c *coneSection) params() int   { return coneSectionParams + c.ends.params() }
func (c *coneSection) surfaces() int { return 6 }

func (c *coneSection) prepare(x []float64) {
	t := &c.trial
	t.ax.setFar(c.f, x)
	t.a, t.xo, t.xi = c.a+x[4], c.xo+x[5], c.xi+x[6]
	t.y = [2]float64{c.y[0] + x[7], c.y[1] + x[8]}
	t.sin, t.cos = math.Sincos(t.a)
	c.ends.prepare(x, coneSectionParams)
}

func (c *coneSection) residual(p r3.Vec, s int, grad []float64) float64 {
	if s >= sectorStart {
		return c.ends.residual(p, s-sectorStart, grad, coneSectionParams)
	}
	t := &c.trial
	at := t.ax.place(p)
	x, y := at.rho*t.cos+at.h*t.sin, at.h*t.cos-at.rho*t.sin
	var dRho, dH [axialParams]float64
	if grad != nil {
		dRho, dH = t.ax.slopes(at)
	}
	if s == convexFace || s == concaveFace {
		sign, at := 1.0, t.xo
		if s == concaveFace {
			sign, at = -1, t.xi
		}
		if grad == nil {
			return sign * (x - at)
		}
		for k := range dRho {
			grad[k] = sign * (dRho[k]*t.cos + dH[k]*t.sin)
		}
		grad[4], grad[5+s-convexFace] = sign*y, -sign
		return sign * (x - at)
	}
	k := s - lowEdge
	sign := float64(2*k - 1)
	if grad == nil {
		return sign * (y - t.y[k])
	}
	for i := range dRho {
		grad[i] = sign * (dH[i]*t.cos - dRho[i]*t.sin)
	}
	grad[4], grad[7+k] = -sign*x, -sign
	return sign * (y - t.y[k])
}

// at is the radius and height of the point x, y of the section.
func (c *coneSection) at(x, y float64) (rho, h float64) {
	sin, cos := math.Sincos(c.a)
	return x*cos - y*sin, x*sin + y*cos
}

// section are the coordinates of p in the section.
func (c *coneSection) section(p r3.Vec) (x, y float64) {
	rho, h := c.f.radial(p)
	sin, cos := math.Sincos(c.a)
	return rho*cos + h*sin, h*cos - rho*sin
}

func (c *coneSection) accept() {
	t := &c.trial
	c.f, c.a, c.xo, c.xi, c.y = t.ax.frame(), t.a, t.xo, t.xi, t.y
	c.recentre()
	c.ends.accept(c.f, c.rc())
}

// recentre puts the origin at the height of the section's middle.
func (c *coneSection) recentre() {
	_, h := c.at((c.xo+c.xi)/2, (c.y[0]+c.y[1])/2)
	sin, cos := math.Sincos(c.a)
	c.f.C = c.f.at(0, 0, h)
	c.xo, c.xi = c.xo-h*sin, c.xi-h*sin
	c.y[0], c.y[1] = c.y[0]-h*cos, c.y[1]-h*cos
}

// rc is the radius of the section's middle.
func (c *coneSection) rc() float64 {
	rho, _ := c.at((c.xo+c.xi)/2, (c.y[0]+c.y[1])/2)
	return rho
}

func (c *coneSection) sweep() float64   { return c.ends.phi[1] - c.ends.phi[0] }
func (c *coneSection) thickMM() float64 { return c.xo - c.xi }
func (c *coneSection) slantMM() float64 { return c.y[1] - c.y[0] }
func (c *coneSection) inside(k int) float64 {
	rho, _ := c.at(c.xi, c.y[k])
	return rho
}

func (c *coneSection) squareUp(p *Patch, a *association) bool {
	return c.ends.squareUp(p, a, c, sectorStart)
}

func (c *coneSection) sound() bool {
	big, small := c.inside(0), c.inside(1)
	return c.xo > c.xi && c.slantMM() > 0 && small > 0 && big-small > coneShare*big && c.a > 0 && c.a < 1.4 &&
		c.sweep() > 0 && c.sweep() < 2*math.Pi
}

func (c *coneSection) normal(p r3.Vec, s int) r3.Vec {
	if s >= sectorStart {
		return c.ends.normal(s - sectorStart)
	}
	sin, cos := math.Sincos(c.a)
	out := c.f.outward(p)
	switch s {
	case convexFace:
		return r3.Add(r3.Scale(cos, out), r3.Scale(sin, c.f.D))
	case concaveFace:
		return r3.Add(r3.Scale(-cos, out), r3.Scale(-sin, c.f.D))
	case lowEdge:
		return r3.Add(r3.Scale(sin, out), r3.Scale(-cos, c.f.D))
	}
	return r3.Add(r3.Scale(-sin, out), r3.Scale(cos, c.f.D))
}

func (c *coneSection) edge(p r3.Vec, s int) float64 {
	x, y := c.section(p)
	across := min(y-c.y[0], c.y[1]-y)
	through := min(c.xo-x, x-c.xi)
	along := c.ends.within(p, c.f, c.rc())
	switch s {
	case convexFace, concaveFace:
		return min(across, along)
	case lowEdge, highEdge:
		return min(through, along)
	}
	return min(across, through)
}

func (c *coneSection) distance(p r3.Vec) float64 {
	x, y := c.section(p)
	d := [5]float64{x - c.xo, c.xi - x, c.y[0] - y, y - c.y[1], -c.ends.within(p, c.f, c.rc())}
	out := intersection(d[:])
	if len(c.inner) > 0 {
		u, v, _ := c.flatten(p)
		out = max(out, c.inHole(u, v))
	}
	return out
}

func (c *coneSection) areaMM2() float64 {
	t, w := c.thickMM(), c.slantMM()
	return 2*c.sweep()*c.rc()*(w+t) + 2*t*w + c.addedMM2(t)
}
