package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Surfaces of a sector.
const (
	convexFace = iota
	concaveFace
	lowEdge
	highEdge
	sectorStart
	sectorEnd
)

// sector is part of a turn of rectangular section: a bar bent the hard way, or
// a plate rolled to part of a cylinder. Both edges are square to the axis.
type sector struct {
	f       frame
	ro, ri  float64
	z       [2]float64 // edges, low and high
	hidden  [2]bool    // edges that nobody sees: there the faces go as far as they are seen
	ends    arcEnds
	pierced // holes, on the development

	trial struct {
		ax     axial
		ro, ri float64
		z      [2]float64
	}
}

// sectorOwn are the parameters of the axis and both radii; each edge that is seen
// has one more, then come the ends.
const sectorOwn = axialParams + 2

// edgeAt is the parameter of edge k, of which there are two at most, or the first
// after all edges'.
func (c *sector) edgeAt(k int) int {
	at := sectorOwn
	for _, h := range c.hidden[:k] {
		if !h {
			at++
		}
	}
	return at
}

func (c *sector) endsAt() int   { return c.edgeAt(len(c.hidden)) }
func (c *sector) params() int   { return c.endsAt() + c.ends.params() }
func (c *sector) surfaces() int { return 6 }
func (c *sector) rc() float64   { return (c.ro + c.ri) / 2 }

func (c *sector) prepare(x []float64) {
	t := &c.trial
	t.ax.setFar(c.f, x)
	t.ro, t.ri = c.ro+x[4], c.ri+x[5]
	t.z = c.z
	for k, h := range c.hidden {
		if !h {
			t.z[k] += x[c.edgeAt(k)]
		}
	}
	c.ends.prepare(x, c.endsAt())
}

func (c *sector) residual(p r3.Vec, s int, grad []float64) float64 {
	if s >= sectorStart {
		return c.ends.residual(p, s-sectorStart, grad, c.endsAt())
	}
	if s >= lowEdge && c.hidden[s-lowEdge] {
		return math.Inf(1)
	}
	t := &c.trial
	x := t.ax.place(p)
	rho, h := x.rho, x.h
	if grad == nil {
		switch s {
		case convexFace:
			return rho - t.ro
		case concaveFace:
			return t.ri - rho
		}
		return float64(2*(s-lowEdge)-1) * (h - t.z[s-lowEdge])
	}
	dRho, dH := t.ax.slopes(x)
	switch s {
	case convexFace:
		copy(grad, dRho[:])
		grad[4] = -1
		return rho - t.ro
	case concaveFace:
		for k := range dRho {
			grad[k] = -dRho[k]
		}
		grad[5] = 1
		return t.ri - rho
	}
	k := s - lowEdge
	sign := float64(2*k - 1)
	for i := range dH {
		grad[i] = sign * dH[i]
	}
	grad[c.edgeAt(k)] = -sign
	return sign * (h - t.z[k])
}

func (c *sector) accept() {
	t := &c.trial
	c.f, c.ro, c.ri, c.z = t.ax.frame(), t.ro, t.ri, t.z
	shift := (c.z[0] + c.z[1]) / 2 // the origin stays at mid-width
	c.f.C = c.f.at(0, 0, shift)
	c.z[0], c.z[1] = c.z[0]-shift, c.z[1]-shift
	c.ends.accept(c.f, c.rc())
}

func (c *sector) sweep() float64 { return c.ends.phi[1] - c.ends.phi[0] }

func (c *sector) squareUp(p *Patch, a *association) bool {
	return c.ends.squareUp(p, a, c, sectorStart)
}

func (c *sector) sound() bool {
	return c.ri > 0 && c.ro > c.ri && c.z[1] > c.z[0] && c.sweep() > leastSweep && c.sweep() < 2*math.Pi
}

// leastSweep is the sweep, rad, from which a bar is bent: under it the rise of the
// arc, an eighth of its length times the sweep, is less than the 0.4 % of its
// length by which EN 10058 lets a straight flat be bowed.
const leastSweep = 0.032

func (c *sector) normal(p r3.Vec, s int) r3.Vec {
	switch s {
	case convexFace:
		return c.f.outward(p)
	case concaveFace:
		return r3.Scale(-1, c.f.outward(p))
	case lowEdge:
		return r3.Scale(-1, c.f.D)
	case highEdge:
		return c.f.D
	}
	return c.ends.normal(s - sectorStart)
}

func (c *sector) edge(p r3.Vec, s int) float64 {
	rho, h := c.f.radial(p)
	across := min(h-c.z[0], c.z[1]-h)
	through := min(c.ro-rho, rho-c.ri)
	along := c.ends.within(p, c.f, c.rc())
	switch s {
	case convexFace, concaveFace:
		return min(across, along)
	case lowEdge, highEdge:
		return min(through, along)
	}
	return min(across, through)
}

func (c *sector) distance(p r3.Vec) float64 {
	rho, h := c.f.radial(p)
	d := [5]float64{rho - c.ro, c.ri - rho, c.z[0] - h, h - c.z[1], -c.ends.within(p, c.f, c.rc())}
	out := intersection(d[:])
	if len(c.inner) > 0 {
		u, v, _ := c.flatten(p)
		out = max(out, c.inHole(u, v))
	}
	return out
}

func (c *sector) widthMM() float64 { return c.z[1] - c.z[0] }

func (c *sector) areaMM2() float64 {
	t, w := c.ro-c.ri, c.widthMM()
	return c.sweep()*(c.ro+c.ri)*(w+t) + 2*t*w + c.addedMM2(t)
}

func proposeSector(p *Patch, axes []motion) []candidate {
	var out []candidate
	for _, m := range axes {
		if c, ok := startSector(p, m.f.D); ok {
			out = append(out, c.candidate(p))
		}
	}
	return out
}

// candidate makes a candidate of the sector: a rolled plate may be pierced, a
// flat arc shows all its faces.
func (c *sector) candidate(p *Patch) candidate {
	t := c.ro - c.ri
	return candidate{sol: c, gateMM: max(0.4*t, 6*p.NoiseMM), sizeMM: max(min(t, c.widthMM()), 0.02*c.ro),
		sheet: t < c.widthMM(), describe: c.describe}
}

// startSector places faces by the medians of their radii, edges by the extent
// of the faces (the walls of holes face the same way as edges), then the ends.
func startSector(p *Patch, d r3.Vec) (*sector, bool) {
	f := newFrame(r3.Vec{}, d)
	cu, cv, ok := meetingPoint(p, f)
	if !ok {
		return nil, false
	}
	f.C = f.at(cu, cv, 0)
	return startSectorAbout(p, f)
}

// startSectorAbout is the same about an axis that is known in place.
func startSectorAbout(p *Patch, f frame) (*sector, bool) {
	var out, in weighted
	var height []float64
	for i, n := range p.FacetN {
		rho, h := f.radial(p.FacetC[i])
		switch k := r3.Dot(n, f.outward(p.FacetC[i])); {
		case k > 0.85:
			out.add(rho, p.FacetMM2[i])
		case k < -0.85:
			in.add(rho, p.FacetMM2[i])
		default:
			continue
		}
		height = append(height, h)
	}
	c := &sector{f: f, ro: out.median(), ri: in.median()}
	if len(out.v) < 6 || len(in.v) < 6 || !(c.ro > c.ri) || !(c.ri > 0) {
		return nil, false
	}
	if t := c.ro - c.ri; !out.within(c.ro, 0.3*t) || !in.within(c.ri, 0.3*t) {
		return nil, false
	}
	c.z = [2]float64{quantile(height, 0.002), quantile(height, 0.998)}
	shift := (c.z[0] + c.z[1]) / 2
	c.f.C = f.at(0, 0, shift)
	c.z[0], c.z[1] = c.z[0]-shift, c.z[1]-shift
	if !(c.z[1] > c.z[0]) {
		return nil, false
	}
	var ok bool
	if c.ends, ok = startEnds(p, c.f, c.rc(), hypot(c.ro-c.ri, c.widthMM()/2)); !ok {
		return nil, false
	}
	c.prepare(make([]float64, c.params()))
	return c, c.sound()
}

func (c *sector) describe(e *Element, a association, p *Patch) {
	one := func(i int, k float64) float64 {
		g := make([]float64, c.params())
		g[i] = k
		return a.u95(g)
	}
	g := make([]float64, c.params())
	g[4], g[5] = 1, -1
	through := a.u95(g)
	across := a.u95(gradient(c, func() float64 { return c.trial.z[1] - c.trial.z[0] }))
	const deg = 180 / math.Pi
	us := a.u95(gradient(c, func() float64 { return c.trialSweep() * deg }))
	sweep := c.ends.seen[0] && c.ends.seen[1]
	if c.ro-c.ri >= c.widthMM() {
		e.Kind, e.Section = "arc", "flat"
		e.add("outside_diameter_mm", 2*c.ro, one(4, 2))
		e.add("inside_diameter_mm", 2*c.ri, one(5, 2))
		c.addAcross(e, "thickness_mm", across)
	} else {
		e.Kind = "rolled_plate"
		e.add("inside_diameter_mm", 2*c.ri, one(5, 2))
		e.add("thickness_mm", c.ro-c.ri, through)
		c.addAcross(e, "width_mm", across)
	}
	if sweep {
		e.add("sweep_deg", c.sweep()*deg, us)
		e.add("developed_length_mm", c.sweep()*c.rc(), a.u95(gradient(c, func() float64 {
			return c.trialSweep() * (c.trial.ro + c.trial.ri) / 2
		})))
	} else {
		e.hide("sweep_deg", "developed_length_mm")
	}
	if e.Kind == "arc" {
		e.Ends = c.ends.describe(a, sectorStart, c.widthMM(), p)
	}
	if e.Kind == "rolled_plate" {
		e.Holes = e.noted(c.holes(p.whole(), a))
		e.count("hole_count", len(e.Holes))
	}
	e.Frame = c.ends.frame(p, c.f, e)
	e.Form = noForm
	e.Form.RoundnessMM = max(roundness(p, c.f, a, convexFace), roundness(p, c.f, a, concaveFace))
}

// addAcross adds the dimension from edge to edge, or hides it where one is hidden.
func (c *sector) addAcross(e *Element, key string, u95 float64) {
	if c.hidden[0] || c.hidden[1] {
		e.hide(key)
		return
	}
	e.add(key, c.widthMM(), u95)
}

// conceal leaves out the edges that no point of the association lies on; false
// where there is none but was left out already.
func (c *sector) conceal(a association) (more bool) {
	var seen [2]bool
	for _, q := range a.Seen {
		if s := int(q.S); s == lowEdge || s == highEdge {
			seen[s-lowEdge] = true
		}
	}
	for k := range seen {
		if !seen[k] && !c.hidden[k] {
			c.hidden[k], more = true, true
		}
	}
	c.prepare(make([]float64, c.params()))
	return more
}

func (c *sector) trialSweep() float64 {
	f := c.trial.ax.frame()
	f.C = f.at(0, 0, (c.trial.z[0]+c.trial.z[1])/2)
	phi := c.ends.angles(f, (c.trial.ro+c.trial.ri)/2)
	return phi[1] - phi[0]
}
