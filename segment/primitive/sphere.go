package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Surfaces of a sphere: the ball, its inside where one was seen, then its flats.
const (
	ballFace = iota
	hollowFace
	firstFlat
)

// sphere is a ball, perhaps hollow, perhaps cut by planes. Holes drilled into it
// take no part in the fit: they are walls.
type sphere struct {
	c      r3.Vec
	ro, ri float64 // ri 0: no inside seen
	flat   []flatCut
	bore   []boreWall

	trial struct {
		c      r3.Vec
		ro, ri float64
	}
}

// flatCut is a plane h = e in its frame, metal below it.
type flatCut struct {
	f        frame
	e, trial endPlane
}

// boreWall is a round hole about the axis of its frame.
type boreWall struct {
	f frame
	r float64
}

func (c *sphere) own() int {
	if c.ri > 0 {
		return 5
	}
	return 4
}

func (c *sphere) params() int   { return c.own() + 3*len(c.flat) }
func (c *sphere) surfaces() int { return firstFlat + len(c.flat) }

func (c *sphere) prepare(x []float64) {
	t := &c.trial
	t.c = r3.Add(c.c, r3.Vec{X: x[0], Y: x[1], Z: x[2]})
	t.ro, t.ri = c.ro+x[3], c.ri
	if c.ri > 0 {
		t.ri += x[4]
	}
	for k := range c.flat {
		y := x[c.own()+3*k:]
		e := c.flat[k].e
		c.flat[k].trial = endPlane{e.z + y[0], e.tu + y[1], e.tv + y[2]}
	}
}

func (c *sphere) residual(p r3.Vec, s int, grad []float64) float64 {
	if s >= firstFlat {
		if grad != nil {
			grad = grad[c.own()+3*(s-firstFlat):]
		}
		return c.flat[s-firstFlat].residual(p, grad)
	}
	if s == hollowFace && c.ri == 0 {
		return math.Inf(1)
	}
	q := r3.Sub(p, c.trial.c)
	rho := norm(q)
	sign, r, at := 1.0, c.trial.ro, 3
	if s == hollowFace {
		sign, r, at = -1, c.trial.ri, 4
	}
	if grad == nil {
		return sign * (rho - r)
	}
	if rho > 0 {
		q = r3.Scale(1/rho, q)
	}
	grad[0], grad[1], grad[2], grad[at] = -sign*q.X, -sign*q.Y, -sign*q.Z, -sign
	return sign * (rho - r)
}

// residual is the signed distance of p from the trial plane, and its derivatives
// by the plane's three parameters.
func (a *flatCut) residual(p r3.Vec, grad []float64) float64 {
	u, v, h := a.f.local(p)
	e := a.trial
	l := math.Sqrt(1 + e.tu*e.tu + e.tv*e.tv)
	d := (h - e.height(u, v)) / l
	if grad != nil {
		grad[0], grad[1], grad[2] = -1/l, -u/l-d*e.tu/(l*l), -v/l-d*e.tv/(l*l)
	}
	return d
}

func (c *sphere) accept() {
	t := &c.trial
	c.c, c.ro, c.ri = t.c, t.ro, t.ri
	for k := range c.flat {
		a := &c.flat[k]
		n := unit(a.f.dir(-a.trial.tu, -a.trial.tv, 1))
		h := r3.Dot(r3.Sub(a.f.at(0, 0, a.trial.z), c.c), n)
		a.f = newFrame(r3.Add(c.c, r3.Scale(h, n)), n)
		a.e, a.trial = endPlane{}, endPlane{}
	}
}

func (c *sphere) normal(p r3.Vec, s int) r3.Vec {
	if s >= firstFlat {
		return c.flat[s-firstFlat].f.D
	}
	q := r3.Sub(p, c.c)
	l := norm(q)
	switch {
	case l == 0:
		return r3.Vec{Z: 1}
	case s == hollowFace:
		return r3.Scale(-1/l, q)
	}
	return r3.Scale(1/l, q)
}

func (c *sphere) edge(p r3.Vec, s int) float64 {
	d := math.Inf(1)
	for k := range c.flat {
		if s != firstFlat+k {
			_, _, h := c.flat[k].f.local(p)
			d = min(d, -h)
		}
	}
	if s >= firstFlat {
		rho := norm(r3.Sub(p, c.c))
		d = min(d, c.ro-rho)
		if c.ri > 0 {
			d = min(d, rho-c.ri)
		}
	}
	for _, b := range c.bore {
		rho, _ := b.f.radial(p)
		d = min(d, rho-b.r)
	}
	return d
}

func (c *sphere) distance(p r3.Vec) float64 {
	rho := norm(r3.Sub(p, c.c))
	d := append(make([]float64, 0, 8), rho-c.ro)
	if c.ri > 0 {
		d = append(d, c.ri-rho)
	}
	for k := range c.flat {
		_, _, h := c.flat[k].f.local(p)
		d = append(d, h)
	}
	for _, b := range c.bore {
		r, _ := b.f.radial(p)
		d = append(d, b.r-r)
	}
	return intersection(d)
}

// wall is the signed distance of p from the wall of the nearest hole, metal
// inside, and the wall's normal.
func (c *sphere) wall(p r3.Vec) (float64, r3.Vec) {
	best, n := math.Inf(1), r3.Vec{}
	for _, b := range c.bore {
		r, _ := b.f.radial(p)
		if d := b.r - r; math.Abs(d) < math.Abs(best) {
			best, n = d, r3.Scale(-1, b.f.outward(p))
		}
	}
	return best, n
}

// leastBall is the share of the whole ball under which what its cuts leave is
// not called a sphere.
const leastBall = 0.15

func (c *sphere) sound() bool {
	return c.ro > 0 && c.ri >= 0 && c.ri < c.ro && c.left(c.ro) > leastBall
}

// left is the share of a sphere of radius r about the centre that the flats and
// holes leave, over 1000 directions spread evenly (spherical Fibonacci lattice:
// Swinbank and Purser, Q. J. R. Meteorol. Soc. 132 (2006) 1769).
func (c *sphere) left(r float64) float64 {
	const n = 1000
	in := 0
	for i := range n {
		z := 1 - (2*float64(i)+1)/n
		w := math.Sqrt(1 - z*z)
		sin, cos := math.Sincos(math.Pi * (3 - math.Sqrt(5)) * float64(i))
		if c.within(r3.Add(c.c, r3.Scale(r, r3.Vec{X: w * cos, Y: w * sin, Z: z})), -1) {
			in++
		}
	}
	return float64(in) / n
}

// within tells whether p is below all flats but one and outside all holes.
func (c *sphere) within(p r3.Vec, but int) bool {
	for k := range c.flat {
		if _, _, h := c.flat[k].f.local(p); k != but && h > 0 {
			return false
		}
	}
	for _, b := range c.bore {
		if r, _ := b.f.radial(p); r < b.r {
			return false
		}
	}
	return true
}

func (c *sphere) areaMM2() float64 {
	area := 4 * math.Pi * c.ro * c.ro * c.left(c.ro)
	if c.ri > 0 {
		area += 4 * math.Pi * c.ri * c.ri * c.left(c.ri)
	}
	for k := range c.flat {
		area += c.flatMM2(k)
	}
	for _, b := range c.bore {
		area += 2 * math.Pi * b.r * b.depthMM(c)
	}
	return area
}

// flatMM2 is the area of flat k, over 400 points spread evenly in its circle.
func (c *sphere) flatMM2(k int) float64 {
	const n = 400
	f := c.flat[k].f
	h := r3.Dot(r3.Sub(f.C, c.c), f.D)
	r2 := c.ro*c.ro - h*h
	if r2 <= 0 {
		return 0
	}
	in := 0
	for i := range n {
		r := math.Sqrt(r2 * (float64(i) + 0.5) / n)
		sin, cos := math.Sincos(math.Pi * (3 - math.Sqrt(5)) * float64(i))
		p := f.at(r*cos, r*sin, 0)
		if norm(r3.Sub(p, c.c)) >= c.ri && c.within(p, k) {
			in++
		}
	}
	return math.Pi * r2 * float64(in) / n
}

// depthMM is the length of the hole's wall inside the ball.
func (b boreWall) depthMM(c *sphere) float64 {
	const n = 200
	_, _, mid := b.f.local(c.c)
	in := 0
	for i := range n {
		p := b.f.at(b.r, 0, mid+c.ro*(2*(float64(i)+0.5)/n-1))
		if rho := norm(r3.Sub(p, c.c)); rho < c.ro && rho > c.ri && c.below(p) {
			in++
		}
	}
	return 2 * c.ro * float64(in) / n
}

func (c *sphere) below(p r3.Vec) bool {
	for k := range c.flat {
		if _, _, h := c.flat[k].f.local(p); h > 0 {
			return false
		}
	}
	return true
}
