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

func proposeTorus(p *Patch, axes []motion) []candidate {
	var out []candidate
	for _, m := range axes {
		if c, ok := startTorus(p, m); ok {
			out = append(out, candidate{sol: c, gateMM: max(0.3*c.rs, 6*p.NoiseMM), sizeMM: 2 * c.rs, describe: c.describe})
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
	var r weighted
	for i, q := range p.FacetC {
		rho, h := c.f.radial(q)
		r.add(math.Hypot(rho-c.rc, h), p.FacetMM2[i])
	}
	c.rs = r.median()
	return c, c.rs > 0 && c.rc > c.rs && r.spread(c.rs) < 0.3*c.rs
}

// sectionCentre is where the normals meet in the (radius, height) half-plane of
// f: the centre of the round section of a ring or bend. Facets that face along
// the sweep are left out; least absolute distance by reweighting.
func sectionCentre(p *Patch, f frame) (rc, h float64, ok bool) {
	scale := 1e-3 * p.SizeMM
	for it := 0; it < 15; it++ {
		var q [5]float64
		for i, n := range p.FacetN {
			u, v, z := f.local(p.FacetC[i])
			rho := math.Hypot(u, v)
			if rho == 0 || math.Abs(r3.Dot(n, f.dir(-v/rho, u/rho, 0))) > wallCos {
				continue
			}
			nr, nh := r3.Dot(n, f.dir(u/rho, v/rho, 0)), r3.Dot(n, f.D)
			w := p.FacetMM2[i]
			if it > 0 {
				w /= scale + math.Abs((rho-rc)*nh-(z-h)*nr)
			}
			k := rho*nh - z*nr
			q[0] += w * nh * nh
			q[1] -= w * nr * nh
			q[2] += w * nr * nr
			q[3] += w * nh * k
			q[4] -= w * nr * k
		}
		det := q[0]*q[2] - q[1]*q[1]
		if !(det > 1e-6*(q[0]+q[2])*(q[0]+q[2])) {
			return 0, 0, false
		}
		rc = (q[2]*q[3] - q[1]*q[4]) / det
		h = (q[0]*q[4] - q[1]*q[3]) / det
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
	e.Frame = axisFrame(p, c.f, 0)
	e.Form = c.form(a, p)
}

func (c *torus) sound() bool { return c.rs > 0 && c.rc > c.rs }

func (c *torus) areaMM2() float64 { return 4 * math.Pi * math.Pi * c.rc * c.rs }
