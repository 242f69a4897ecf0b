package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

func proposeConeSection(p *Patch, axes []motion) []candidate {
	var out []candidate
	for _, m := range axes {
		if !m.located || m.pitchMM != 0 {
			continue
		}
		if c, ok := startConeSection(p, m.f); ok {
			t := c.thickMM()
			out = append(out, candidate{sol: c, gateMM: max(0.4*t, 6*p.NoiseMM), sizeMM: max(min(t, c.slantMM()), 0.02*c.rc()),
				sheet: true, describe: c.describe})
		}
	}
	return out
}

// startConeSection takes the lean that most of the convex area has, faces by the
// median, edges by the extent of the faces, then the ends.
func startConeSection(p *Patch, f frame) (*coneSection, bool) {
	_, _, mid := f.local(r3.Vec{})
	f.C = f.at(0, 0, mid)
	lean, ok := commonLean(p, f)
	if !ok {
		return nil, false
	}
	if lean < 0 {
		f, lean = frame{f.C, f.E1, r3.Scale(-1, f.E2), r3.Scale(-1, f.D)}, -lean
	}
	c := &coneSection{f: f, a: lean}
	var out, in weighted
	var along []float64
	for i, n := range p.FacetS {
		x, y := c.section(p.FacetC[i])
		switch k := r3.Dot(n, c.normal(p.FacetC[i], convexFace)); {
		case k > 0.9:
			out.add(x, p.FacetMM2[i])
		case k < -0.9:
			in.add(x, p.FacetMM2[i])
		default:
			continue
		}
		along = append(along, y)
	}
	if len(out.v) < 6 || len(in.v) < 6 {
		return nil, false
	}
	c.xo, c.xi = out.median(), in.median()
	if t := c.thickMM(); !(t > 0) || !out.within(c.xo, 0.3*t) || !in.within(c.xi, 0.3*t) {
		return nil, false
	}
	c.y = [2]float64{quantile(along, 0.002), quantile(along, 0.998)}
	c.recentre()
	if !(c.slantMM() > c.thickMM()) || !(c.rc() > 0) {
		return nil, false
	}
	reach := hypot(c.thickMM(), c.slantMM()/2)
	if c.ends, ok = startEnds(p, c.f, c.rc(), reach); !ok {
		return nil, false
	}
	c.prepare(make([]float64, c.params()))
	return c, c.sound()
}

// describe writes the plate under the keys of a rolled plate: the diameter of
// the concave face at mid-width and at both edges, the thickness square to the
// plate, the width along the axis and along the slope, and the flat blank: a
// sector of a ring, its radii on the mid-surface.
func (c *coneSection) describe(e *Element, a association, p *Patch) {
	e.Kind = "rolled_plate"
	const deg = 180 / math.Pi
	t := &c.trial
	u := func(value func() float64) float64 { return a.u95(gradient(c, value)) }
	add := func(key string, value func() float64) { e.add(key, value(), u(value)) }
	// Where the section's point x, y of the trial state lies.
	radius := func(x, y float64) float64 { return x*t.cos - y*t.sin }
	mid := func() (x, y float64) { return (t.xo + t.xi) / 2, (t.y[0] + t.y[1]) / 2 }
	c.prepare(make([]float64, c.params()))
	add("inside_diameter_mm", func() float64 { return 2 * radius(t.xi, (t.y[0]+t.y[1])/2) })
	add("thickness_mm", func() float64 { return t.xo - t.xi })
	add("width_mm", func() float64 { return (t.y[1] - t.y[0]) * t.cos })
	if c.ends.seen[0] && c.ends.seen[1] {
		add("sweep_deg", func() float64 { return c.trialSweep() * deg })
		add("developed_sweep_deg", func() float64 { return c.trialSweep() * t.sin * deg })
		add("developed_length_mm", func() float64 { return c.trialSweep() * radius(mid()) })
	} else {
		e.hide("sweep_deg", "developed_sweep_deg", "developed_length_mm")
	}
	add("large_inside_diameter_mm", func() float64 { return 2 * radius(t.xi, t.y[0]) })
	add("small_inside_diameter_mm", func() float64 { return 2 * radius(t.xi, t.y[1]) })
	add("slant_mm", func() float64 { return t.y[1] - t.y[0] })
	add("developed_large_radius_mm", func() float64 { x, _ := mid(); return radius(x, t.y[0]) / t.sin })
	add("developed_small_radius_mm", func() float64 { x, _ := mid(); return radius(x, t.y[1]) / t.sin })
	e.Holes = e.noted(c.holes(p.whole(), a))
	e.count("hole_count", len(e.Holes))
	e.Frame = c.ends.frame(p, c.f, e)
	e.Form = noForm
	e.Form.RoundnessMM = max(roundness(p, c.f, a, convexFace), roundness(p, c.f, a, concaveFace))
}

func (c *coneSection) trialSweep() float64 {
	t := &c.trial
	f := t.ax.frame()
	x, y := (t.xo+t.xi)/2, (t.y[0]+t.y[1])/2
	f.C = f.at(0, 0, x*t.sin+y*t.cos)
	phi := c.ends.angles(f, x*t.cos-y*t.sin)
	return phi[1] - phi[0]
}
