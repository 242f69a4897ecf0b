package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Surfaces of a round.
const (
	outerWall = iota
	innerWall
	lowEnd
	highEnd
)

// round is a straight round piece: a coaxial outer and inner cylinder and two
// ends. With free ends (tube, bar) each end is a plane of its own; otherwise
// (disc, ring) both are square to the axis, which they determine.
type round struct {
	f    frame
	ro   float64
	ri   float64 // 0: no bore
	free bool
	end  [2]endPlane // low, high
	seen [4]bool     // surfaces that the scan shows
	// square ends of a free round are taken for cut square: too little of them is
	// seen to tell their lean.
	square [2]bool

	trial struct {
		ax     axial
		ro, ri float64
		end    [2]endPlane
	}
}

// endPlane is h = z + tu u + tv v in the frame of the piece.
type endPlane struct{ z, tu, tv float64 }

func (e endPlane) height(u, v float64) float64 { return e.z + e.tu*u + e.tv*v }

// at returns the first parameter of surface s, after the axis; -1 if unseen.
func (c *round) at(s int) int {
	i := axialParams
	for k := 0; k < s; k++ {
		if c.seen[k] {
			i += c.width(k)
		}
	}
	return i
}

func (c *round) width(s int) int {
	if s >= lowEnd && c.leans(s-lowEnd) {
		return 3
	}
	return 1
}

// leans tells that end k is a plane of its own.
func (c *round) leans(k int) bool { return c.free && !c.square[k] }

func (c *round) params() int   { return c.at(4) }
func (c *round) surfaces() int { return 4 }

func (c *round) prepare(x []float64) {
	t := &c.trial
	t.ax.set(c.f, x)
	t.ro, t.ri, t.end = c.ro, c.ri, c.end
	for s := outerWall; s <= highEnd; s++ {
		if !c.seen[s] {
			continue
		}
		i := c.at(s)
		switch {
		case s == outerWall:
			t.ro += x[i]
		case s == innerWall:
			t.ri += x[i]
		default:
			e := &t.end[s-lowEnd]
			e.z += x[i]
			if c.leans(s - lowEnd) {
				e.tu += x[i+1]
				e.tv += x[i+2]
			}
		}
	}
}

func (c *round) residual(p r3.Vec, s int, grad []float64) float64 {
	if !c.seen[s] {
		return math.Inf(1)
	}
	if s >= lowEnd && c.leans(s-lowEnd) {
		return c.endResidual(p, s, grad)
	}
	if grad == nil {
		rho, h := c.trial.ax.radial(p)
		switch s {
		case outerWall:
			return rho - c.trial.ro
		case innerWall:
			return c.trial.ri - rho
		}
		return float64(2*(s-lowEnd)-1) * (h - c.trial.end[s-lowEnd].z)
	}
	x := c.trial.ax.place(p)
	rho, h := x.rho, x.h
	dRho, dH := c.trial.ax.slopes(x)
	i := c.at(s)
	switch s {
	case outerWall:
		copy(grad, dRho[:])
		grad[i] = -1
		return rho - c.trial.ro
	case innerWall:
		for k := range dRho {
			grad[k] = -dRho[k]
		}
		grad[i] = 1
		return c.trial.ri - rho
	}
	sign := float64(2*(s-lowEnd) - 1)
	for k := range dH {
		grad[k] = sign * dH[k]
	}
	grad[i] = -sign
	return sign * (h - c.trial.end[s-lowEnd].z)
}

// endResidual is the distance from a free end plane, which stays in the frame
// the fit starts from and so is independent of the axis.
func (c *round) endResidual(p r3.Vec, s int, grad []float64) float64 {
	u, v, h := c.f.local(p)
	e := c.trial.end[s-lowEnd]
	sign := float64(2*(s-lowEnd) - 1)
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

func (c *round) accept() {
	f := c.trial.ax.frame()
	if c.free {
		for k := range c.trial.end {
			if !c.square[k] {
				c.trial.end[k] = c.trial.end[k].moved(c.f, f)
			}
		}
	}
	c.f, c.ro, c.ri, c.end = f, c.trial.ro, c.trial.ri, c.trial.end
}

// moved returns the same plane in another frame.
func (e endPlane) moved(from, to frame) endPlane {
	l := math.Sqrt(1 + e.tu*e.tu + e.tv*e.tv)
	n := r3.Scale(1/l, from.dir(-e.tu, -e.tv, 1))
	p := from.at(0, 0, e.z)
	nu, nv, nh := r3.Dot(n, to.E1), r3.Dot(n, to.E2), r3.Dot(n, to.D)
	pu, pv, ph := to.local(p)
	return endPlane{ph + (nu*pu+nv*pv)/nh, -nu / nh, -nv / nh}
}

func (c *round) normal(p r3.Vec, s int) r3.Vec {
	switch s {
	case outerWall:
		return c.f.outward(p)
	case innerWall:
		return r3.Scale(-1, c.f.outward(p))
	}
	return c.endNormal(s - lowEnd)
}

func (c *round) endNormal(k int) r3.Vec {
	e := c.end[k]
	n := unit(c.f.dir(-e.tu, -e.tv, 1))
	if k == 0 {
		return r3.Scale(-1, n)
	}
	return n
}

func (c *round) edge(p r3.Vec, s int) float64 {
	u, v, h := c.f.local(p)
	if s <= innerWall {
		r := c.ro
		if s == innerWall {
			r = c.ri
		}
		if rho := hypot(u, v); rho > 0 {
			u, v = u*r/rho, v*r/rho
		}
		return min(h-c.end[0].height(u, v), c.end[1].height(u, v)-h)
	}
	rho := hypot(u, v)
	if c.ri > 0 {
		return min(c.ro-rho, rho-c.ri)
	}
	return c.ro - rho
}

func (c *round) distance(p r3.Vec) float64 {
	u, v, h := c.f.local(p)
	rho := hypot(u, v)
	d := [4]float64{rho - c.ro, math.Inf(-1), 0, 0}
	if c.ri > 0 {
		d[innerWall] = c.ri - rho
	}
	for k := 0; k < 2; k++ {
		e := c.end[k]
		d[lowEnd+k] = float64(2*k-1) * (h - e.height(u, v)) / math.Sqrt(1+e.tu*e.tu+e.tv*e.tv)
	}
	return intersection(d[:])
}

// intersection combines the signed distances from the faces of a solid that is
// the intersection of their insides: inside, the nearest face; outside, the
// root sum of squares of those it is outside of, which is exact at square
// edges.
func intersection(d []float64) float64 {
	most, sq := math.Inf(-1), 0.0
	for _, x := range d {
		most = max(most, x)
		if x > 0 {
			sq += x * x
		}
	}
	if sq > 0 {
		return math.Sqrt(sq)
	}
	return most
}

// lengthMM is the length along the axis between the end planes.
func (c *round) lengthMM() float64 { return c.end[1].z - c.end[0].z }

// lengthGrad is its gradient at x = 0.
func (c *round) lengthGrad() []float64 {
	g := make([]float64, c.params())
	for k := 0; k < 2; k++ {
		sign := float64(2*k - 1)
		if !c.seen[lowEnd+k] {
			continue
		}
		g[c.at(lowEnd+k)] = sign
		if c.leans(k) {
			e := c.end[k]
			g[0] += sign * e.tu
			g[1] += sign * e.tv
			g[2] += sign * e.z * e.tu
			g[3] += sign * e.z * e.tv
		}
	}
	return g
}

// grad1 is the gradient of k times the parameter of surface s.
func (c *round) grad1(s int, k float64) []float64 {
	g := make([]float64, c.params())
	if c.seen[s] {
		g[c.at(s)] = k
	}
	return g
}

// tiltDeg is the angle of end k from square.
func (c *round) tiltDeg(k int) float64 {
	return math.Atan(hypot(c.end[k].tu, c.end[k].tv)) * 180 / math.Pi
}

// What an end has to leave open to be taken for square: its place on the axis to
// squareDoubt of the radius, and whether it leans at all.
const squareDoubt = 0.02

// squareUp takes ends whose lean the fit a cannot tell for square, and tells whether
// there were such: a plane through a few facets of the rim says little of where it
// meets the axis, and the trade cuts square.
func (c *round) squareUp(p *Patch, a *association) bool {
	if c.squareEnds(p, a, func(_ int, at *endAt) bool { return at.squarer() }) {
		return true
	}
	found := false // one at a time: the fit knows nothing of what is left without it
	return a.to == measuring && c.squareEnds(p, a, func(k int, _ *endAt) bool {
		found = !found && c.doubtful(k, p, a)
		return found
	})
}

// squareEnds makes those ends square that are found to be.
func (c *round) squareEnds(p *Patch, a *association, square func(k int, at *endAt) bool) (any bool) {
	for k := range c.end {
		s := lowEnd + k
		if !c.seen[s] || !c.leans(k) {
			continue
		}
		at := endPoints(p, c, a, s, func(q r3.Vec) float64 { _, _, z := c.f.local(q); return z })
		if len(at.height.v) == 0 || !square(k, &at) {
			continue
		}
		c.end[k], c.square[k], any = endPlane{z: at.middle()}, true, true
		c.prepare(make([]float64, c.params()))
	}
	return any
}

// doubtful tells that the fit leaves open where end k meets the axis, and whether it
// leans.
func (c *round) doubtful(k int, p *Patch, a *association) bool {
	s := lowEnd + k
	a.weigh(p, c)
	if a.u95(c.grad1(s, 1)) <= squareDoubt*c.ro {
		return false
	}
	g, lean := make([]float64, c.params()), 0.0
	for i, t := range []float64{c.end[k].tu, c.end[k].tv} {
		clear(g)
		g[c.at(s)+1+i] = 1
		lean += t * t / max(math.Pow(a.u95(g), 2), 1e-12)
	}
	return lean <= 1
}

// steepest is the tangent of the most that an end leans, 76 degrees: what leans
// more is the wall.
const steepest = 4

func (c *round) sound() bool {
	for k, e := range c.end {
		if c.free && c.seen[lowEnd+k] && hypot(e.tu, e.tv) > steepest {
			return false
		}
	}
	return c.ro > 0 && c.ri >= 0 && c.ri < c.ro && c.lengthMM() > 0
}

func (c *round) areaMM2() float64 {
	a := 2 * math.Pi * (c.ro + c.ri) * c.lengthMM()
	for _, e := range c.end {
		a += math.Pi * (c.ro*c.ro - c.ri*c.ri) * math.Sqrt(1+e.tu*e.tu+e.tv*e.tv)
	}
	return a
}
