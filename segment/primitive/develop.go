package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// developed unrolls the patch about the sector's axis: x along the sweep on the
// mid-surface from its start, y along the axis, z outward from the mid-surface.
// Facets and links stay.
func (c *sector) developed(p *Patch) *Patch {
	q := *p
	q.full = nil
	flat := func(at, n r3.Vec) (r3.Vec, r3.Vec) {
		x, y, z := c.flatten(at)
		out := c.f.outward(at)
		return r3.Vec{X: x, Y: y, Z: z}, r3.Vec{X: r3.Dot(n, r3.Cross(c.f.D, out)), Y: r3.Dot(n, c.f.D), Z: r3.Dot(n, out)}
	}
	q.P, q.N = slices.Clone(p.P), slices.Clone(p.N)
	for i := range q.P {
		q.P[i], q.N[i] = flat(p.P[i], p.N[i])
	}
	q.FacetC, q.FacetN, q.FacetS = slices.Clone(p.FacetC), slices.Clone(p.FacetN), slices.Clone(p.FacetS)
	for i := range q.FacetC {
		q.FacetC[i], q.FacetN[i] = flat(p.FacetC[i], p.FacetN[i])
		_, q.FacetS[i] = flat(p.FacetC[i], p.FacetS[i])
	}
	return &q
}

// flatten is where a point comes to lie on the development.
func (c *sector) flatten(p r3.Vec) (x, y, z float64) {
	u, v, h := c.f.local(p)
	phi := math.Remainder(math.Atan2(v, u)-(c.ends.phi[0]+c.ends.phi[1])/2, 2*math.Pi)
	return (phi + c.sweep()/2) * c.rc(), h, hypot(u, v) - c.rc()
}

func (c *sector) wall(p r3.Vec) (float64, r3.Vec) { return c.wallAt(p, c.flatten) }

// openings fits the inner walls of the development.
func (c *sector) openings(p *Patch, a association) []fittedHole {
	var centre *[2]float64
	if c.ends.seen[0] && c.ends.seen[1] {
		centre = &[2]float64{c.sweep() * c.rc() / 2, 0}
	}
	return blankOpenings(c.developed(p), c.ro-c.ri, centre, a)
}

// holes names the openings of the rolled plate on its development, seen from the
// side that the axis as written points to: u from the start of the sweep, v from
// mid-width.
func (c *sector) holes(p *Patch, a association) (out []Hole, note string) {
	list := c.openings(p, a)
	c.pierce(list)
	flip := positive(c.f.D) != c.f.D
	length := c.sweep() * c.rc()
	to := func(q [2]float64) [2]float64 {
		if flip {
			return [2]float64{length - q[0], -q[1]}
		}
		return q
	}
	x, y := r3.Vec{X: 1}, r3.Vec{Y: 1}
	for _, h := range list {
		out = append(out, holeIn(h, to, false, frame{E1: x, E2: y, D: r3.Vec{Z: 1}}, x, y))
	}
	return out, inferredNote(list)
}
