package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// cone is a straight round piece that tapers along its axis: an outer cone, an
// inner one parallel to it where one was seen, and two ends (surfaces as those
// of a round). Free ends are planes of their own; otherwise both are square to
// the axis. A pointed one has no upper end: its surface stops at the apex.
type cone struct {
	f       frame
	r0      float64 // outer radius at the frame's origin
	k       float64 // its decrease along the axis
	wall    float64 // square to the surface; 0: no inner surface seen
	free    bool
	pointed bool
	end     [2]endPlane
	seen    [4]bool

	trial struct {
		ax          axial
		r0, k, wall float64
		end         [2]endPlane
	}
}

// at returns the first parameter of surface s, after axis, radius and taper.
func (c *cone) at(s int) int {
	i := axialParams + 2
	for n := innerWall; n < s; n++ {
		switch {
		case !c.seen[n]:
		case n >= lowEnd && c.free:
			i += 3
		default:
			i++
		}
	}
	return i
}

func (c *cone) params() int   { return c.at(highEnd + 1) }
func (c *cone) surfaces() int { return 4 }

func (c *cone) prepare(x []float64) {
	t := &c.trial
	t.ax.set(c.f, x)
	t.r0, t.k, t.wall, t.end = c.r0+x[4], c.k+x[5], c.wall, c.end
	if c.seen[innerWall] {
		t.wall += x[c.at(innerWall)]
	}
	for k := range t.end {
		if !c.seen[lowEnd+k] {
			continue
		}
		i := c.at(lowEnd + k)
		t.end[k].z += x[i]
		if c.free {
			t.end[k].tu += x[i+1]
			t.end[k].tv += x[i+2]
		}
	}
}

func (c *cone) residual(p r3.Vec, s int, grad []float64) float64 {
	if !c.seen[s] {
		return math.Inf(1)
	}
	t := &c.trial
	if s >= lowEnd {
		return c.endResidual(p, s, grad)
	}
	rho, h := t.ax.radial(p)
	g := 1 / math.Sqrt(1+t.k*t.k)
	d := (rho - t.r0 + t.k*h) * g
	sign := 1.0
	if s == innerWall {
		sign = -1
		d += t.wall
	}
	if grad == nil {
		return sign * d
	}
	if s == innerWall {
		grad[c.at(innerWall)] = -1
	}
	dRho, dH := t.ax.slopes(t.ax.place(p))
	for i := range dRho {
		grad[i] = sign * g * (dRho[i] + t.k*dH[i])
	}
	grad[4] = -sign * g
	grad[5] = sign * (h*g - (rho-t.r0+t.k*h)*g*t.k*g*g)
	return sign * d
}

func (c *cone) endResidual(p r3.Vec, s int, grad []float64) float64 {
	t := &c.trial
	sign := float64(2*(s-lowEnd) - 1)
	e := t.end[s-lowEnd]
	if !c.free {
		x := t.ax.place(p)
		if grad != nil {
			_, dH := t.ax.slopes(x)
			for n := range dH {
				grad[n] = sign * dH[n]
			}
			grad[c.at(s)] = -sign
		}
		return sign * (x.h - e.z)
	}
	u, v, h := c.f.local(p)
	l := math.Sqrt(1 + e.tu*e.tu + e.tv*e.tv)
	d := (h - e.height(u, v)) / l
	if grad == nil {
		return sign * d
	}
	i := c.at(s)
	grad[i] = -sign / l
	grad[i+1] = sign * (-u/l - d*e.tu/(l*l))
	grad[i+2] = sign * (-v/l - d*e.tv/(l*l))
	return sign * d
}

func (c *cone) accept() {
	f, t := c.trial.ax.frame(), &c.trial
	for k := range t.end {
		if c.free && c.seen[lowEnd+k] {
			t.end[k] = t.end[k].moved(c.f, f)
		}
	}
	c.f, c.r0, c.k, c.wall, c.end = f, t.r0, t.k, t.wall, t.end
	if c.pointed {
		c.end[1] = endPlane{z: c.r0 / c.k}
	}
}

// gain is the cosine of half the opening angle.
func (c *cone) gain() float64 { return 1 / math.Sqrt(1+c.k*c.k) }

// radius is that of the outer surface at height h.
func (c *cone) radius(h float64) float64 { return c.r0 - c.k*h }

// inside is the radius of the inner surface at height h, 0 where there is none.
func (c *cone) inside(h float64) float64 {
	if c.wall == 0 {
		return 0
	}
	return max(c.radius(h)-c.wall/c.gain(), 0)
}

// foot is the height of the foot of p on the outer surface, and the factor from
// a distance across the axis at p to one on the surface.
func (c *cone) foot(rho, h float64) (footH, scale float64) {
	g := c.gain()
	d := (rho - c.radius(h)) * g
	if rho > 0 {
		scale = max(rho-d*g, 0) / rho
	}
	return h - d*c.k*g, scale
}

func (c *cone) normal(p r3.Vec, s int) r3.Vec {
	if s < lowEnd {
		g := c.gain()
		n := r3.Add(r3.Scale(g, c.f.outward(p)), r3.Scale(g*c.k, c.f.D))
		if s == innerWall {
			return r3.Scale(-1, n)
		}
		return n
	}
	e := c.end[s-lowEnd]
	return r3.Scale(float64(2*(s-lowEnd)-1), unit(c.f.dir(-e.tu, -e.tv, 1)))
}

func (c *cone) edge(p r3.Vec, s int) float64 {
	u, v, h := c.f.local(p)
	rho := hypot(u, v)
	if s < lowEnd {
		z, k := c.foot(rho, h)
		return min(z-c.end[0].height(k*u, k*v), c.end[1].height(k*u, k*v)-z) / c.gain()
	}
	d := c.radius(h) - rho
	if in := c.inside(h); in > 0 {
		d = min(d, rho-in)
	}
	return d
}

func (c *cone) distance(p r3.Vec) float64 {
	u, v, h := c.f.local(p)
	d := make([]float64, 1, 4)
	d[0] = (hypot(u, v) - c.radius(h)) * c.gain()
	if c.wall > 0 {
		d = append(d, -(d[0] + c.wall))
	}
	for k, e := range c.end {
		if k == 1 && c.pointed {
			break
		}
		d = append(d, float64(2*k-1)*(h-e.height(u, v))/math.Sqrt(1+e.tu*e.tu+e.tv*e.tv))
	}
	return intersection(d)
}

func (c *cone) lengthMM() float64 { return c.end[1].z - c.end[0].z }

// Taper under which a cone is no cone: what wear, dents and ovality do to a
// cylinder's diameter. A half angle of over 80 degrees is a dished disc.
const (
	coneShare = 0.03
	coneSlope = 5.7
)

func (c *cone) sound() bool {
	big, small := c.radius(c.end[0].z), c.radius(c.end[1].z)
	return c.k > 0 && c.k < coneSlope && c.lengthMM() > 0 && small > -1e-6*big && big-small > coneShare*big &&
		(!c.seen[innerWall] || c.wall > 0 && c.inside(c.end[0].z) > 0)
}

func (c *cone) areaMM2() float64 {
	side := func(r [2]float64, l float64) float64 {
		return math.Pi * (r[0] + r[1]) * hypot(l, r[0]-r[1])
	}
	out := [2]float64{c.radius(c.end[0].z), max(c.radius(c.end[1].z), 0)}
	in := [2]float64{c.inside(c.end[0].z), c.inside(c.end[1].z)}
	a := side(out, c.lengthMM()) + side(in, (in[0]-in[1])/c.k)
	for k, e := range c.end {
		a += math.Pi * (out[k]*out[k] - in[k]*in[k]) * math.Sqrt(1+e.tu*e.tu+e.tv*e.tv)
	}
	return a
}

// trialEnd is the height of end k along the trial axis.
func (c *cone) trialEnd(k int) float64 {
	t := &c.trial
	switch {
	case k == 1 && c.pointed:
		return t.r0 / t.k
	case c.free && c.seen[lowEnd+k]:
		return t.end[k].moved(c.f, t.ax.frame()).z
	}
	return t.end[k].z
}
