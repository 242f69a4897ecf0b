package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Survey measures a freeform for whoever must make it without a primitive to go
// by: thickness, surface area, volume where the scan is closed, section outlines,
// and in a note which kind came nearest. Other kinds are left as they are. The
// cost is that of a tree over all facets; it is asked for once a piece is settled.
func (e *Element) Survey(p *Patch, opt Options) {
	if e.Kind != "freeform" || len(p.Facet) == 0 || e.Frame.Axis == (r3.Vec{}) {
		return
	}
	e.thickness(p)
	e.volume(p)
	e.Sections = sectionsOf(p, e.Frame, e.dimension("length_mm").Value)
	if !e.Whole { // a note says already what it is
		e.Notes = append(e.Notes, whyFreeform(p, opt))
	}
}

// rayMost is how many rays measure the thickness: its 5 % quantile then lies
// within one percent point.
const rayMost = 2000

// thickness is measured by rays from facets spread evenly over the surface,
// against their outward normal, to the first facet that they leave the metal
// through. Rays that leave through no facet (an open scan) do not count; where
// they are over two thirds, the thickness is hidden.
func (e *Element) thickness(p *Patch) {
	keys := []string{"thickness_median_mm", "thickness_p5_mm", "thickness_p95_mm"}
	tree := newFacetTree(p)
	least := 1e-6*p.SizeMM + 0.02*p.EdgeMM
	var depth []float64
	rays := 0
	step, next := p.TotalMM2/rayMost, 0.0
	next = step / 2
	sum := 0.0
	for f := range p.Facet {
		sum += p.FacetMM2[f]
		if sum < next {
			continue
		}
		for next <= sum {
			next += step
		}
		if norm(p.FacetS[f]) < 0.5 {
			continue
		}
		rays++
		if d := tree.exit(p.FacetC[f], r3.Scale(-1, p.FacetS[f]), int32(f), least); !math.IsInf(d, 1) {
			depth = append(depth, d)
		}
	}
	if len(depth) < 20 || 3*len(depth) < rays {
		e.hide(keys...)
		return
	}
	slices.Sort(depth)
	at := func(q float64) float64 { return quantile(depth, math.Min(math.Max(q, 0), 1)) }
	for i, q := range []float64{0.5, 0.05, 0.95} {
		s := 1.96 * math.Sqrt(q*(1-q)/float64(len(depth)))
		u := (at(q+s) - at(q-s)) / 2
		noise := 1.96 * p.NoiseMM * math.Sqrt(2./3) // of two facets' centres
		if i == 0 {
			noise /= math.Sqrt(float64(len(depth)))
		}
		e.add(keys[i], at(q), hypot(u, noise)+1e-6*p.SizeMM)
	}
}

// volume is that within the facets (divergence theorem), where they are closed.
// Noise moves it by that of each vertex times the area round it; it adds to the
// area itself, by about its square over that of an edge.
func (e *Element) volume(p *Patch) {
	v, ss := 0.0, 0.0
	for _, t := range p.Facet {
		v += r3.Dot(p.P[t[0]], r3.Cross(p.P[t[1]], p.P[t[2]])) / 6
	}
	for _, a := range p.AreaMM2 {
		ss += a * a
	}
	rough := p.NoiseMM / max(p.EdgeMM, 1e-9)
	e.add("surface_area_mm2", p.TotalMM2, p.TotalMM2*(2*rough*rough+1e-6))
	if p.OpenEdges > 0 || v <= 0 {
		e.hide("volume_mm3")
		return
	}
	e.add("volume_mm3", v, 1.96*p.NoiseMM*math.Sqrt(ss)+1e-6*v)
}
