package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// coil is a round bar or tube wound on a helix. Its surfaces are those of a
// bend. The centreline is C + rc (cos φ E1 + sin φ E2) + lead φ D; the frame
// turns so that φ = 0 lies on E1 and the centreline passes the origin's height
// there.
type coil struct {
	f                frame
	rc, rs, rb, lead float64
	ends             arcEnds

	trial struct {
		ax                  axial
		f                   frame
		h, rc, rs, rb, lead float64
	}
}

func (c *coil) own() int {
	if c.rb > 0 {
		return axialParams + 5
	}
	return axialParams + 4
}

func (c *coil) params() int   { return c.own() + c.ends.params() }
func (c *coil) surfaces() int { return 4 }

func (c *coil) prepare(x []float64) {
	t := &c.trial
	t.ax.set(c.f, x)
	t.f = t.ax.frame()
	t.h, t.rc, t.rs, t.lead, t.rb = x[4], c.rc+x[5], c.rs+x[6], c.lead+x[7], c.rb
	t.f.C = t.f.at(0, 0, t.h)
	if c.rb > 0 {
		t.rb += x[8]
	}
	c.ends.prepare(x, c.own())
}

// nearest is the angle at which the centreline is nearest to p: the turn by
// height, then Newton's method, of which a step under 1e-7 leaves 1e-14.
func nearest(f *frame, rc, lead float64, p r3.Vec) angle {
	u, v, h := f.local(p)
	rho, theta := hypot(u, v), math.Atan2(v, u)
	turn := theta + 2*math.Pi*math.Round((h/lead-theta)/(2*math.Pi))
	psi, sin, cos := 0.0, 0.0, 1.0 // of phi - turn
	for range 12 {
		g := rho*rc*sin + lead*(lead*(turn+psi)-h) // half the derivative of the distance squared
		d := rho*rc*cos + lead*lead
		if d <= 0 {
			break
		}
		step := g / d
		psi -= step
		if math.Abs(step) > 1e-4 {
			sin, cos = math.Sincos(psi)
			continue
		}
		ds, dc := step*(1-step*step/6), 1-step*step/2 // of the step, to the last digit
		sin, cos = sin*dc-cos*ds, cos*dc+sin*ds
		if math.Abs(step) < 1e-7 {
			break
		}
	}
	if rho > 0 {
		u, v = u/rho, v/rho
	} else {
		u = 1 // as atan2 has it
	}
	return angle{turn + psi, v*cos + u*sin, u*cos - v*sin}
}

func (c *coil) residual(p r3.Vec, s int, grad []float64) float64 {
	if s >= bendStart {
		return c.ends.residual(p, s-bendStart, grad, c.own())
	}
	if s == bendBore && c.rb == 0 {
		return math.Inf(1)
	}
	t := &c.trial
	foot := nearest(&t.f, t.rc, t.lead, p)
	at, _, out := centrelineAt(&t.f, t.rc, t.lead, foot)
	w := r3.Sub(p, at)
	l := norm(w)
	sign, r, i := 1.0, t.rs, 6
	if s == bendBore {
		sign, r, i = -1, t.rb, 8
	}
	if grad == nil {
		return sign * (l - r)
	}
	if l > 0 {
		w = r3.Scale(1/l, w)
	}
	// The foot's own motion does not count (envelope): ∂l = -w·∂centreline.
	q := r3.Sub(at, t.ax.c)
	tilt := func(dd r3.Vec) r3.Vec { // the frame turns by d×dd
		return r3.Cross(r3.Cross(t.f.D, dd), q)
	}
	grad[0] = -sign * r3.Dot(w, c.f.E1)
	grad[1] = -sign * r3.Dot(w, c.f.E2)
	grad[2] = -sign * r3.Dot(w, tilt(t.ax.d2))
	grad[3] = -sign * r3.Dot(w, tilt(t.ax.d3))
	grad[4] = -sign * r3.Dot(w, t.f.D)
	grad[5] = -sign * r3.Dot(w, out)
	grad[7] = -sign * r3.Dot(w, t.f.D) * foot.phi
	grad[i] = -sign
	return sign * (l - r)
}

func (c *coil) accept() {
	t := &c.trial
	c.f, c.rc, c.rs, c.rb, c.lead = t.f, t.rc, t.rs, t.rb, t.lead
	c.ends.lead = c.lead
	c.ends.accept(c.f, c.rc)
}

func (c *coil) squareUp(p *Patch, a *association) bool {
	return c.ends.squareUp(p, a, c, bendStart)
}

func (c *coil) sound() bool {
	return c.rs > 0 && c.rc > c.rs && c.rb >= 0 && c.rb < c.rs && c.ends.phi[1]-c.ends.phi[0] > 0.9*2*math.Pi && c.lead != 0
}

func (c *coil) normal(p r3.Vec, s int) r3.Vec {
	if s >= bendStart {
		return c.ends.normal(s - bendStart)
	}
	at, _, out := centrelineAt(&c.f, c.rc, c.lead, nearest(&c.f, c.rc, c.lead, p))
	w := r3.Sub(p, at)
	l := norm(w)
	if l == 0 {
		return out
	}
	if s == bendBore {
		l = -l
	}
	return r3.Scale(1/l, w)
}

// foot returns the distance from the centreline and, along it, to the nearer
// end, positive between the ends.
func (c *coil) foot(p r3.Vec) (l, within float64) {
	at, t, phi := c.footOf(p)
	return norm(r3.Sub(p, at)), c.within(p, t, phi)
}

// footOf is where the centreline is nearest to p, and how it goes on there.
func (c *coil) footOf(p r3.Vec) (at, t r3.Vec, phi float64) {
	foot := nearest(&c.f, c.rc, c.lead, p)
	at, t, _ = centrelineAt(&c.f, c.rc, c.lead, foot)
	return at, t, foot.phi
}

// within is how far the foot of p at phi, where the centreline goes along t, is from
// the nearer end, positive between the ends.
func (c *coil) within(p, t r3.Vec, phi float64) float64 {
	d := min(phi-c.ends.phi[0], c.ends.phi[1]-phi) * norm(t)
	if math.Abs(d) >= c.rc/2 {
		return d
	}
	k := 0
	if phi-c.ends.phi[0] > c.ends.phi[1]-phi {
		k = 1
	}
	return -c.ends.signed(p, k)
}

func (c *coil) sees(q, n r3.Vec, s int, gate, margin float64) bool {
	if s == bendBore && c.rb == 0 {
		return false
	}
	at, t, phi := c.footOf(q)
	return wallSees(r3.Sub(q, at), n, s, c.rs, c.rb, gate) && c.within(q, t, phi) >= margin
}

func (c *coil) edge(p r3.Vec, s int) float64 {
	l, within := c.foot(p)
	if s < bendStart {
		return within
	}
	if c.rb > 0 {
		return min(c.rs-l, l-c.rb)
	}
	return c.rs - l
}

func (c *coil) distance(p r3.Vec) float64 {
	l, within := c.foot(p)
	d := [3]float64{l - c.rs, -within, math.Inf(-1)}
	if c.rb > 0 {
		d[2] = c.rb - l
	}
	return intersection(d[:])
}

// lengthMM is the length of the centreline.
func (c *coil) lengthMM() float64 {
	return (c.ends.phi[1] - c.ends.phi[0]) * hypot(c.rc, c.lead)
}

func (c *coil) areaMM2() float64 {
	return 2*math.Pi*(c.rs+c.rb)*c.lengthMM() + 2*math.Pi*(c.rs*c.rs-c.rb*c.rb)
}

func proposeCoil(p *Patch, axes []motion) []candidate {
	var out []candidate
	for _, m := range axes {
		if !m.located || m.pitchMM == 0 {
			continue
		}
		if c, ok := startCoil(p, m); ok {
			gate := max(0.25*c.rs, 6*p.NoiseMM)
			if c.rb > 0 {
				gate = max(min(gate, 0.4*(c.rs-c.rb)), 6*p.NoiseMM)
			}
			out = append(out, candidate{sol: c, gateMM: gate, sizeMM: 2 * c.rs, describe: c.describe})
		}
	}
	return out
}

// startCoil unwinds the patch along the motion: every facet's helix meets the
// half-plane φ = 0 in a point of the section, whose centre is found where the
// unwound normals meet.
func startCoil(p *Patch, m motion) (*coil, bool) {
	lead := m.pitchMM / (2 * math.Pi)
	f := m.f
	type facet struct{ rho, z, nr, nz, w float64 }
	var fs []facet
	for i := 0; i < len(p.FacetC); i += p.startStep() {
		u, v, h := f.local(p.FacetC[i])
		rho := hypot(u, v)
		if rho == 0 {
			continue
		}
		n := p.FacetN[i]
		t := unit(f.dir(-v/rho*rho, u/rho*rho, lead))
		if math.Abs(r3.Dot(n, t)) > wallCos {
			continue
		}
		z := math.Remainder(h-lead*math.Atan2(v, u), math.Abs(m.pitchMM))
		fs = append(fs, facet{rho, z, r3.Dot(n, f.dir(u/rho, v/rho, 0)), r3.Dot(n, f.D), p.FacetMM2[i]})
	}
	if len(fs) < 20 {
		return nil, false
	}
	// The mean height is cyclic; then the section is one blob round it.
	var sin, cos float64
	for _, x := range fs {
		s, c := math.Sincos(2 * math.Pi * x.z / math.Abs(m.pitchMM))
		sin, cos = sin+x.w*s, cos+x.w*c
	}
	z0 := math.Atan2(sin, cos) / (2 * math.Pi) * math.Abs(m.pitchMM)
	var q [5]float64
	rc, zc := 0.0, 0.0
	for it := 0; it < 15; it++ {
		q = [5]float64{}
		for i := range fs {
			x := &fs[i]
			x.z = z0 + math.Remainder(x.z-z0, math.Abs(m.pitchMM))
			w := x.w
			if it > 0 {
				w /= 1e-3*p.SizeMM + math.Abs((x.rho-rc)*x.nz-(x.z-zc)*x.nr)
			}
			k := x.rho*x.nz - x.z*x.nr
			q[0] += w * x.nz * x.nz
			q[1] -= w * x.nr * x.nz
			q[2] += w * x.nr * x.nr
			q[3] += w * x.nz * k
			q[4] -= w * x.nr * k
		}
		det := q[0]*q[2] - q[1]*q[1]
		if !(det > 1e-6*(q[0]+q[2])*(q[0]+q[2])) {
			return nil, false
		}
		rc, zc = (q[2]*q[3]-q[1]*q[4])/det, (q[0]*q[4]-q[1]*q[3])/det
	}
	if !(rc > 0) {
		return nil, false
	}
	c := &coil{f: f, rc: rc, lead: lead}
	c.f.C = f.at(0, 0, zc)
	return c, c.startSection(p)
}

// startSection finds section, bore and ends about the centreline.
func (c *coil) startSection(p *Patch) bool {
	var out, in weighted
	var cap [2][]int
	var turned []float64
	phis := make([]float64, len(p.FacetC))
	for i, q := range p.FacetC {
		foot := nearest(&c.f, c.rc, c.lead, q)
		phis[i] = foot.phi
		at, t, _ := centrelineAt(&c.f, c.rc, c.lead, foot)
		w := r3.Sub(q, at)
		n := p.FacetN[i]
		along := r3.Dot(n, unit(t))
		switch {
		case along > 0.8:
			cap[1] = append(cap[1], i)
		case along < -0.8:
			cap[0] = append(cap[0], i)
		case math.Abs(along) < wallCos && r3.Dot(n, w) > 0:
			out.add(norm(w), p.FacetMM2[i])
			turned = append(turned, phis[i])
		case math.Abs(along) < wallCos:
			in.add(norm(w), p.FacetMM2[i])
		}
	}
	c.rs = out.median()
	if !(c.rs > 0) || c.rc <= c.rs || !out.within(c.rs, 0.25*c.rs) {
		return false
	}
	if in.total > 0.02*out.total && len(in.v) >= 6 {
		if rb := in.median(); rb < c.rs && in.within(rb, 0.1*c.rs) {
			c.rb = rb
		}
	}
	c.ends.lead = c.lead
	c.ends.phi = [2]float64{quantile(turned, 0.001), quantile(turned, 0.999)}
	c.ends.find(p, c.f, c.rc, 1.5*c.rs, cap)
	c.prepare(make([]float64, c.params()))
	return true
}

func (c *coil) describe(e *Element, a association, p *Patch) {
	e.Kind, e.Hand = "coil", "right"
	if c.lead < 0 {
		e.Hand = "left"
	}
	one := func(i int, k float64) float64 {
		g := make([]float64, c.params())
		g[i] = k
		return a.u95(g)
	}
	e.add("centreline_diameter_mm", 2*c.rc, one(5, 2))
	e.add("section_diameter_mm", 2*c.rs, one(6, 2))
	if c.rb > 0 {
		e.add("section_bore_mm", 2*c.rb, one(8, 2))
	}
	e.add("pitch_mm", 2*math.Pi*math.Abs(c.lead), one(7, 2*math.Pi))
	turns := func() float64 {
		phi := c.ends.angles(c.trial.f, c.trial.rc)
		return (phi[1] - phi[0]) / (2 * math.Pi)
	}
	ut := a.u95(gradient(c, turns))
	if c.ends.seen[0] && c.ends.seen[1] {
		e.add("turns", turns(), ut)
		e.add("developed_length_mm", c.lengthMM(), a.u95(gradient(c, func() float64 {
			return turns() * 2 * math.Pi * hypot(c.trial.rc, c.trial.lead)
		})))
	} else {
		e.hide("turns", "developed_length_mm")
	}
	e.Ends = c.ends.describe(a, bendStart, 2*c.rs, p)
	mid := c.lead * (c.ends.phi[0] + c.ends.phi[1]) / 2
	if positive(c.f.D) != c.f.D {
		e.Ends[0], e.Ends[1] = e.Ends[1], e.Ends[0]
	}
	e.Frame = axisFrame(p, c.f, mid)
	e.Form = noForm
}
