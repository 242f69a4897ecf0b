package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// torus is a ring of round section: one surface.
type torus struct {
	f      frame // origin at the centre
	rc, rs float64

	trial struct {
		ax        axial
		h, rc, rs float64
	}
}

func (c *torus) params() int   { return axialParams + 3 }
func (c *torus) surfaces() int { return 1 }

func (c *torus) prepare(x []float64) {
	c.trial.ax.set(c.f, x)
	c.trial.h, c.trial.rc, c.trial.rs = x[4], c.rc+x[5], c.rs+x[6]
}

func (c *torus) residual(p r3.Vec, _ int, grad []float64) float64 {
	t := &c.trial
	rho, h, dRho, dH := t.ax.coords(p)
	a, b := rho-t.rc, h-t.h
	l := math.Hypot(a, b)
	if l > 0 {
		a, b = a/l, b/l
	}
	for k := range dRho {
		grad[k] = a*dRho[k] + b*dH[k]
	}
	grad[4], grad[5], grad[6] = -b, -a, -1
	return l - t.rs
}

func (c *torus) accept() {
	t := &c.trial
	c.f = t.ax.frame()
	c.f.C = c.f.at(0, 0, t.h)
	c.rc, c.rs = t.rc, t.rs
}

func (c *torus) normal(p r3.Vec, _ int) r3.Vec {
	u, v, h := c.f.local(p)
	rho := math.Hypot(u, v)
	if rho == 0 {
		return c.f.D
	}
	a := rho - c.rc
	l := math.Hypot(a, h)
	if l == 0 {
		return c.f.D
	}
	return c.f.dir(u/rho*a/l, v/rho*a/l, h/l)
}

// edge: a whole torus has none.
func (c *torus) edge(r3.Vec, int) float64 { return math.Inf(1) }

func (c *torus) distance(p r3.Vec) float64 {
	rho, h := c.f.radial(p)
	return math.Hypot(rho-c.rc, h) - c.rs
}

// fitTorus fits a ring of round section about an axis near d.
func fitTorus(p *Patch, d r3.Vec) (candidate, bool) {
	c, ok := startTorus(p, d)
	if !ok {
		return candidate{}, false
	}
	a, err := associate(p, c, max(0.3*c.rs, 6*p.NoiseMM))
	if err != nil || !(c.rs > 0) || !(c.rc > c.rs) {
		return candidate{}, false
	}
	return candidate{sol: c, fit: a, sizeMM: 2 * c.rs, describe: func(e *Element) { c.describe(e, a, p) }}, true
}

// startTorus takes the axis from the middle of the patch's box across d, then
// the circle in the (radius, height) half-plane where the normals meet.
func startTorus(p *Patch, d r3.Vec) (*torus, bool) {
	f := newFrame(r3.Vec{}, d)
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, q := range p.P {
		u, v, _ := f.local(q)
		lo = [2]float64{min(lo[0], u), min(lo[1], v)}
		hi = [2]float64{max(hi[0], u), max(hi[1], v)}
	}
	f.C = f.at((lo[0]+hi[0])/2, (lo[1]+hi[1])/2, 0)
	// Normals in the half-plane: (nr, nh); they meet in the section's centre.
	var m [5]float64
	for i, n := range p.FacetN {
		rho, h := f.radial(p.FacetC[i])
		nr, nh := r3.Dot(n, f.outward(p.FacetC[i])), r3.Dot(n, f.D)
		w := p.FacetMM2[i]
		k := rho*nh - h*nr
		m[0] += w * nh * nh
		m[1] -= w * nr * nh
		m[2] += w * nr * nr
		m[3] += w * nh * k
		m[4] -= w * nr * k
	}
	det := m[0]*m[2] - m[1]*m[1]
	if !(det > 1e-6*(m[0]+m[2])*(m[0]+m[2])) {
		return nil, false
	}
	c := &torus{f: f}
	c.rc = (m[2]*m[3] - m[1]*m[4]) / det
	h := (m[0]*m[4] - m[1]*m[3]) / det
	c.f.C = f.at(0, 0, h)
	var r weighted
	for i, q := range p.FacetC {
		rho, h := c.f.radial(q)
		r.add(math.Hypot(rho-c.rc, h), p.FacetMM2[i])
	}
	c.rs = r.median()
	return c, c.rs > 0 && c.rc > c.rs && r.spread(c.rs) < 0.3*c.rs
}

func (c *torus) describe(e *Element, a association, p *Patch) {
	e.Kind, e.Section = "ring", "round"
	g := make([]float64, c.params())
	g[5] = 2
	e.add("centreline_diameter_mm", 2*c.rc, a.u95(g))
	g[5], g[6] = 0, 2
	e.add("section_diameter_mm", 2*c.rs, a.u95(g))
	e.Frame = axisFrame(p, c.f, 0)
	e.Form = c.form(a, p)
}
