package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// torus is a ring of round section: its surface, and its bore where one was seen.
type torus struct {
	f          frame   // origin at the centre
	rc, rs, rb float64 // centreline, section, bore (0: none seen)

	trial struct {
		ax            axial
		h, rc, rs, rb float64
	}
}

// Surfaces of a torus.
const (
	torusOuter = iota
	torusBore
)

func (c *torus) params() int {
	if c.rb > 0 {
		return axialParams + 4
	}
	return axialParams + 3
}
func (c *torus) surfaces() int { return 2 }

func (c *torus) prepare(x []float64) {
	c.trial.ax.setFar(c.f, x)
	c.trial.h, c.trial.rc, c.trial.rs, c.trial.rb = x[4], c.rc+x[5], c.rs+x[6], c.rb
	if c.rb > 0 {
		c.trial.rb += x[7]
	}
}

func (c *torus) residual(p r3.Vec, s int, grad []float64) float64 {
	if s == torusBore && c.rb == 0 {
		return math.Inf(1)
	}
	t := &c.trial
	rho, h := t.ax.radial(p)
	a, b := rho-t.rc, h-t.h
	l := hypot(a, b)
	sign, r, at := 1.0, t.rs, 6
	if s == torusBore {
		sign, r, at = -1, t.rb, 7
	}
	if grad == nil {
		return sign * (l - r)
	}
	if l > 0 {
		a, b = a/l, b/l
	}
	dRho, dH := t.ax.slopes(t.ax.place(p))
	for k := range dRho {
		grad[k] = sign * (a*dRho[k] + b*dH[k])
	}
	grad[4], grad[5], grad[at] = -sign*b, -sign*a, -sign
	return sign * (l - r)
}

func (c *torus) accept() {
	t := &c.trial
	c.f = t.ax.frame()
	c.f.C = c.f.at(0, 0, t.h)
	c.rc, c.rs, c.rb = t.rc, t.rs, t.rb
}

func (c *torus) normal(p r3.Vec, s int) r3.Vec {
	u, v, h := c.f.local(p)
	rho := hypot(u, v)
	if rho == 0 {
		return c.f.D
	}
	a := rho - c.rc
	l := hypot(a, h)
	if l == 0 {
		return c.f.D
	}
	if s == torusBore {
		l = -l
	}
	return c.f.dir(u/rho*a/l, v/rho*a/l, h/l)
}

// edge: a whole torus has none.
func (c *torus) edge(r3.Vec, int) float64 { return math.Inf(1) }

func (c *torus) distance(p r3.Vec) float64 {
	rho, h := c.f.radial(p)
	l := hypot(rho-c.rc, h)
	if c.rb > 0 {
		return max(l-c.rs, c.rb-l)
	}
	return l - c.rs
}

func proposeTorus(p *Patch, axes []motion) []candidate {
	var out []candidate
	for _, m := range axes {
		if c, ok := startTorus(p, m); ok {
			gate := max(0.3*c.rs, 6*p.NoiseMM)
			if c.rb > 0 {
				b := *c
				out = append(out, candidate{sol: &b, gateMM: max(min(gate, 0.4*(c.rs-c.rb)), 6*p.NoiseMM), sizeMM: 2 * c.rs, describe: b.describe})
				c.rb = 0
			}
			out = append(out, candidate{sol: c, gateMM: gate, sizeMM: 2 * c.rs, describe: c.describe})
		}
	}
	return out
}

// startTorus takes the axis from the motion, or from the middle of the patch's
// box where only its direction is known, then the section's circle.
func startTorus(p *Patch, m motion) (*torus, bool) {
	f := m.f
	if !m.located {
		f.C = p.middle(f)
	}
	rc, h, ok := sectionCentre(p, f)
	if !ok {
		return nil, false
	}
	c := &torus{f: f, rc: rc}
	c.f.C = f.at(0, 0, h)
	r, in := roomFor(min(len(p.FacetC), startFacets)), weighted{}
	for i := 0; i < len(p.FacetC); i += p.startStep() {
		q := p.FacetC[i]
		rho, h := c.f.radial(q)
		l := hypot(rho-c.rc, h)
		if r3.Dot(p.FacetN[i], c.normal(q, torusOuter)) < -0.5 {
			in.add(l, p.FacetMM2[i])
		} else {
			r.add(l, p.FacetMM2[i])
		}
	}
	if c.rs = r.median(); !(c.rs > 0) || c.rc <= c.rs || !r.within(c.rs, 0.3*c.rs) {
		return nil, false
	}
	if in.total > 0.02*r.total && len(in.v) >= 6 {
		if rb := in.median(); rb < c.rs && in.within(rb, 0.1*c.rs) {
			c.rb = rb
		}
	}
	return c, true
}

// sectionCentre is where the normals meet in the (radius, height) half-plane of
// f: the centre of the round section of a ring or bend. Facets that face along
// the sweep are left out; least absolute distance by reweighting.
func sectionCentre(p *Patch, f frame) (rc, h float64, ok bool) {
	type line struct{ rho, z, nr, nh, w float64 }
	lines := make([]line, 0, min(len(p.FacetN), startFacets))
	for i := 0; i < len(p.FacetN); i += p.startStep() {
		n := p.FacetN[i]
		u, v, z := f.local(p.FacetC[i])
		rho := hypot(u, v)
		if rho == 0 {
			continue
		}
		n1, n2 := r3.Dot(n, f.E1), r3.Dot(n, f.E2)
		if math.Abs(n2*u-n1*v) <= wallCos*rho {
			lines = append(lines, line{rho, z, (n1*u + n2*v) / rho, r3.Dot(n, f.D), p.FacetMM2[i]})
		}
	}
	scale := 1e-3 * p.SizeMM
	for it := range 15 {
		var q [5]float64
		for i := range lines {
			l := &lines[i]
			w := l.w
			if it > 0 {
				w /= scale + math.Abs((l.rho-rc)*l.nh-(l.z-h)*l.nr)
			}
			k := l.rho*l.nh - l.z*l.nr
			q[0] += w * l.nh * l.nh
			q[1] -= w * l.nr * l.nh
			q[2] += w * l.nr * l.nr
			q[3] += w * l.nh * k
			q[4] -= w * l.nr * k
		}
		det := q[0]*q[2] - q[1]*q[1]
		if !(det > 1e-6*(q[0]+q[2])*(q[0]+q[2])) {
			return 0, 0, false
		}
		r, z := (q[2]*q[3]-q[1]*q[4])/det, (q[0]*q[4]-q[1]*q[3])/det
		step := math.Abs(r-rc) + math.Abs(z-h)
		if rc, h = r, z; step < startShare*p.SizeMM {
			break
		}
	}
	return rc, h, true
}

func (c *torus) describe(e *Element, a association, p *Patch) {
	e.Kind, e.Section = "ring", "round"
	g := make([]float64, c.params())
	g[5] = 2
	e.add("centreline_diameter_mm", 2*c.rc, a.u95(g))
	g[5], g[6] = 0, 2
	e.add("section_diameter_mm", 2*c.rs, a.u95(g))
	if c.rb > 0 {
		g[6], g[7] = 0, 2
		e.add("section_bore_mm", 2*c.rb, a.u95(g))
	}
	e.Frame = axisFrame(p, c.f, 0)
	e.Form = c.form(a, p)
}

func (c *torus) sound() bool { return c.rs > 0 && c.rc > c.rs && c.rb >= 0 && c.rb < c.rs }

func (c *torus) areaMM2() float64 { return 4 * math.Pi * math.Pi * c.rc * (c.rs + c.rb) }
