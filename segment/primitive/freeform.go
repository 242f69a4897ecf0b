package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// freeform describes what is none of the kinds by its smallest box: of all boxes
// with a face along a facet's plane of a sample and the best rectangle across it
// (the minimum has a face flush with the hull: O'Rourke, Int. J. Computer and
// Information Sciences 14 (1985) 183, where two are), that of least volume.
//
// The box holds every vertex, noise too, and its direction is that of a sample:
// its sizes are upper bounds, some deviations of the noise too large, and no
// interval about them could be stood by. They have no U95.
func freeform(p *Patch) Element {
	e := Element{Kind: "freeform", Form: noForm}
	if len(p.P) == 0 {
		return e
	}
	scout := p.thin(scoutVertices)
	best, at := math.Inf(1), frame{}
	size := r3.Vec{}
	for _, d := range boxDirections(scout) {
		f, s := boxAbout(scout, d)
		if v := s.X * s.Y * s.Z; v < best {
			best, at, size = v, f, s
		}
	}
	l := []float64{size.X, size.Y, size.Z}
	axes := []r3.Vec{at.E1, at.E2, at.D}
	for i := 0; i < 3; i++ { // length, width, height in falling order
		for j := i + 1; j < 3; j++ {
			if l[j] > l[i] {
				l[i], l[j], axes[i], axes[j] = l[j], l[i], axes[j], axes[i]
			}
		}
	}
	e.add("length_mm", l[0], 0)
	e.add("width_mm", l[1], 0)
	e.add("height_mm", l[2], 0)
	d := positive(axes[2])
	e.Frame = Frame{OriginMM: r3.Add(p.OriginMM, at.C), Axis: d, Ref: axes[0]}
	return e
}

// boxDirections are the principal directions and the normals of a sample of
// facets.
func boxDirections(p *Patch) []r3.Vec {
	out := principalDirections(p)
	step := len(p.FacetS)/60 + 1
	for i := 0; i < len(p.FacetS); i += step {
		if n := p.FacetS[i]; norm(n) > 0.5 && !parallel(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// boxAbout is the smallest box with a side along d: the sides across it turn in
// steps of a degree, then of a thirtieth.
func boxAbout(p *Patch, d r3.Vec) (frame, r3.Vec) {
	f := newFrame(r3.Vec{}, d)
	flat := make([][3]float64, len(p.P))
	for i, q := range p.P {
		u, v, h := f.local(q)
		flat[i] = [3]float64{u, v, h}
	}
	extent := func(angle float64) (lo, hi [3]float64) {
		sin, cos := math.Sincos(angle)
		lo, hi = [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}, [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
		for _, q := range flat {
			r := [3]float64{q[0]*cos + q[1]*sin, q[1]*cos - q[0]*sin, q[2]}
			for k := range r {
				lo[k], hi[k] = min(lo[k], r[k]), max(hi[k], r[k])
			}
		}
		return lo, hi
	}
	area := func(angle float64) float64 {
		lo, hi := extent(angle)
		return (hi[0] - lo[0]) * (hi[1] - lo[1])
	}
	const deg = math.Pi / 180
	best, least := 0.0, math.Inf(1)
	for k := 0; k < 90; k += 3 {
		if a := area(float64(k) * deg); a < least {
			least, best = a, float64(k)*deg
		}
	}
	for step := deg; step > 0.01*deg; step /= 3 {
		for _, a := range []float64{best - step, best + step} {
			if x := area(a); x < least {
				least, best = x, a
			}
		}
	}
	lo, hi := extent(best)
	sin, cos := math.Sincos(best)
	g := frame{E1: f.dir(cos, sin, 0), E2: f.dir(-sin, cos, 0), D: f.D}
	g.C = g.at((lo[0]+hi[0])/2, (lo[1]+hi[1])/2, (lo[2]+hi[2])/2)
	return g, r3.Vec{X: hi[0] - lo[0], Y: hi[1] - lo[1], Z: hi[2] - lo[2]}
}
