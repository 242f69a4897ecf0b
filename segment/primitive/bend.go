package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Surfaces of a bend.
const (
	bendOuter = iota
	bendBore
	bendStart
	bendEnd
)

// bend is a round bar or tube bent to one arc: part of a torus, a bore if one
// was seen, and two ends.
type bend struct {
	f          frame
	rc, rs, rb float64 // centreline, section, bore (0: none seen)
	ends       arcEnds

	trial struct {
		ax            axial
		h, rc, rs, rb float64
	}
}

func (c *bend) own() int {
	if c.rb > 0 {
		return axialParams + 4
	}
	return axialParams + 3
}

func (c *bend) params() int   { return c.own() + c.ends.params() }
func (c *bend) surfaces() int { return 4 }

func (c *bend) prepare(x []float64) {
	t := &c.trial
	t.ax.setFar(c.f, x)
	t.h, t.rc, t.rs, t.rb = x[4], c.rc+x[5], c.rs+x[6], c.rb
	if c.rb > 0 {
		t.rb += x[7]
	}
	c.ends.prepare(x, c.own())
}

func (c *bend) residual(p r3.Vec, s int, grad []float64) float64 {
	if s >= bendStart {
		return c.ends.residual(p, s-bendStart, grad, c.own())
	}
	if s == bendBore && c.rb == 0 {
		return math.Inf(1)
	}
	t := &c.trial
	rho, h := t.ax.radial(p)
	a, b := rho-t.rc, h-t.h
	l := hypot(a, b)
	sign, r, at := 1.0, t.rs, 6
	if s == bendBore {
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

func (c *bend) accept() {
	t := &c.trial
	c.f = t.ax.frame()
	c.f.C = c.f.at(0, 0, t.h)
	c.rc, c.rs, c.rb = t.rc, t.rs, t.rb
	c.ends.accept(c.f, c.rc)
}

func (c *bend) squareUp(p *Patch, a *association) bool {
	return c.ends.squareUp(p, a, c, bendStart)
}

func (c *bend) sound() bool {
	return c.rs > 0 && c.rc > c.rs && c.rb >= 0 && c.rb < c.rs && c.sweep() > 0 && c.sweep() < 2*math.Pi
}

func (c *bend) sweep() float64 { return c.ends.phi[1] - c.ends.phi[0] }

func (c *bend) normal(p r3.Vec, s int) r3.Vec {
	if s >= bendStart {
		return c.ends.normal(s - bendStart)
	}
	u, v, h := c.f.local(p)
	rho := hypot(u, v)
	a := rho - c.rc
	l := hypot(a, h)
	if l == 0 || rho == 0 {
		return c.f.D
	}
	n := c.f.dir(u/rho*a/l, v/rho*a/l, h/l)
	if s == bendBore {
		return r3.Scale(-1, n)
	}
	return n
}

func (c *bend) edge(p r3.Vec, s int) float64 {
	if s >= bendStart {
		rho, h := c.f.radial(p)
		l := hypot(rho-c.rc, h)
		if c.rb > 0 {
			return min(c.rs-l, l-c.rb)
		}
		return c.rs - l
	}
	return c.inSweep(p)
}

// inSweep is the distance of p from the nearer end, positive between the ends.
// On the far side of the axis the end planes say nothing: there the angle does.
func (c *bend) inSweep(p r3.Vec) float64 { return c.ends.within(p, c.f, c.rc) }

// within is the distance along the centreline to the nearer end, positive in
// the sweep; near an end its plane tells.
func (a *arcEnds) within(p r3.Vec, f frame, rc float64) float64 {
	u, v, _ := f.local(p)
	mid := (a.phi[0] + a.phi[1]) / 2
	phi := math.Remainder(math.Atan2(v, u)-mid, 2*math.Pi)
	half := (a.phi[1] - a.phi[0]) / 2
	d := (half - math.Abs(phi)) * rc
	if math.Abs(d) < rc/2 {
		k := 0
		if phi > 0 {
			k = 1
		}
		return -a.signed(p, k)
	}
	return d
}

func (c *bend) distance(p r3.Vec) float64 {
	rho, h := c.f.radial(p)
	l := hypot(rho-c.rc, h)
	d := [3]float64{l - c.rs, -c.inSweep(p), math.Inf(-1)}
	if c.rb > 0 {
		d[2] = c.rb - l
	}
	return intersection(d[:])
}

func (c *bend) areaMM2() float64 {
	return 2*math.Pi*(c.rs+c.rb)*c.rc*c.sweep() + 2*math.Pi*(c.rs*c.rs-c.rb*c.rb)
}

func proposeBend(p *Patch, axes []motion) []candidate {
	var out []candidate
	for _, m := range axes {
		if !m.located {
			continue
		}
		c, ok := startBend(p, m)
		if ok {
			gate := max(0.25*c.rs, 6*p.NoiseMM)
			if c.rb > 0 {
				gate = max(min(gate, 0.4*(c.rs-c.rb)), 6*p.NoiseMM)
				b := *c
				b.rb = 0
				out = append(out, candidate{sol: &b, gateMM: gate, sizeMM: 2 * c.rs, describe: b.describe})
			}
			out = append(out, candidate{sol: c, gateMM: gate, sizeMM: 2 * c.rs, describe: c.describe})
		}
	}
	return out
}

// startBend finds the section's centre in the (radius, height) half-plane as for
// a torus, with facets that face along the sweep left out, then the ends.
func startBend(p *Patch, m motion) (*bend, bool) {
	rc, h, ok := sectionCentre(p, m.f)
	if !ok || !(rc > 0) {
		return nil, false
	}
	c := &bend{f: m.f, rc: rc}
	c.f.C = m.f.at(0, 0, h)
	var out, in weighted
	for i := 0; i < len(p.FacetC); i += p.startStep() {
		u, v, h := c.f.local(p.FacetC[i])
		rho := hypot(u, v)
		n := p.FacetN[i]
		if rho == 0 || math.Abs(r3.Dot(n, c.f.dir(-v/rho, u/rho, 0))) > wallCos {
			continue
		}
		w := c.f.dir(u/rho*(rho-c.rc), v/rho*(rho-c.rc), h)
		if r3.Dot(n, w) > 0 {
			out.add(norm(w), p.FacetMM2[i])
		} else {
			in.add(norm(w), p.FacetMM2[i])
		}
	}
	c.rs = out.median()
	if in.total > 0.02*out.total && len(in.v) >= 6 {
		if rb := in.median(); rb < c.rs && in.within(rb, 0.1*c.rs) {
			c.rb = rb
		}
	}
	if !out.within(c.rs, 0.25*c.rs) {
		return nil, false
	}
	if c.ends, ok = startEnds(p, c.f, c.rc, 1.5*c.rs); !ok {
		return nil, false
	}
	c.prepare(make([]float64, c.params()))
	return c, c.rs > 0 && c.rc > c.rs
}

func (c *bend) describe(e *Element, a association, p *Patch) {
	e.Kind = "arc"
	g := make([]float64, c.params())
	g[5] = 2
	e.add("centreline_diameter_mm", 2*c.rc, a.u95(g))
	g[5], g[6] = 0, 2
	e.add("section_diameter_mm", 2*c.rs, a.u95(g))
	if c.rb > 0 {
		g[6], g[7] = 0, 2
		e.add("section_bore_mm", 2*c.rb, a.u95(g))
	}
	const deg = 180 / math.Pi
	us := a.u95(gradient(c, func() float64 { return c.trialSweep() * deg }))
	ul := a.u95(gradient(c, func() float64 { return c.trialSweep() * c.trial.rc }))
	if c.ends.seen[0] && c.ends.seen[1] {
		e.add("sweep_deg", c.sweep()*deg, us)
		e.add("developed_length_mm", c.sweep()*c.rc, ul)
	} else {
		e.hide("sweep_deg", "developed_length_mm")
	}
	e.Ends = c.ends.describe(a, bendStart, 2*c.rs, p)
	e.Frame = c.ends.frame(p, c.f, e)
	e.Form = c.form(a, p)
}

func (c *bend) trialSweep() float64 {
	f := c.trial.ax.frame()
	f.C = f.at(0, 0, c.trial.h)
	phi := c.ends.angles(f, c.trial.rc)
	return phi[1] - phi[0]
}

// describe tells the ends in the order of the sweep.
func (a *arcEnds) describe(fit association, first int, sizeMM float64, p *Patch) []End {
	var out []End
	for k := range a.seen {
		tilt := math.Atan(hypot(a.e[k].tu, a.e[k].tv)) * 180 / math.Pi
		rms := fit.surface(first + k).RMSMM
		end := End{Kind: "mitre", AngleDeg: tilt, AtMM: r3.Add(p.OriginMM, a.f[k].at(0, 0, a.e[k].z)), Out: a.normal(k)}
		switch {
		case !a.seen[k]:
			end.Kind, end.AngleDeg = "open", 0
		case rms > max(5*fit.RMSMM, 0.02*sizeMM):
			end.Kind = "irregular"
		case tilt <= squareDeg:
			end.Kind = "square"
		}
		out = append(out, end)
	}
	return out
}

// frame is the contract's frame of a swept piece: origin at the centre of
// curvature, ref to the start of the sweep, counter-clockwise about the axis;
// it turns e.Ends round where the axis is.
func (a *arcEnds) frame(p *Patch, f frame, e *Element) Frame {
	d, start := positive(f.D), a.phi[0]
	if d != f.D {
		start = a.phi[1]
		if len(e.Ends) == 2 {
			e.Ends[0], e.Ends[1] = e.Ends[1], e.Ends[0]
		}
	}
	sin, cos := math.Sincos(start)
	return Frame{OriginMM: r3.Add(p.OriginMM, f.C), Axis: d, Ref: f.dir(cos, sin, 0)}
}

func (c *bend) form(a association, p *Patch) Form {
	f := noForm
	b := newBinned(24)
	for i, q := range a.Seen {
		if q.S == bendOuter {
			u, v, h := c.f.local(p.P[q.V])
			b.add(int((math.Atan2(h, hypot(u, v)-c.rc)+math.Pi)/(2*math.Pi)*24), a.Residual[i])
		}
	}
	f.RoundnessMM = b.rangeMM()
	return f
}
