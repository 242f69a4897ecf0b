package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// developed unrolls the patch to the flat blank: x across the middle of the
// sweep, y from mid-width up the slope there, z outward from the mid-surface. The
// apex lies at y = apexMM. Facets and links stay.
func (c *coneSection) developed(p *Patch) (q *Patch, apexMM float64) {
	d := *p
	q = &d
	q.full = nil
	apexMM = c.apexMM()
	sin, cos := math.Sincos(c.a)
	flat := func(at, n r3.Vec) (r3.Vec, r3.Vec) {
		x, y, z := c.flatten(at)
		out, up := c.f.outward(at), r3.Dot(n, c.f.D)
		round, away := r3.Dot(n, r3.Cross(c.f.D, out)), r3.Dot(n, out)
		slope, across := up*cos-away*sin, away*cos+up*sin
		sp, cp := math.Sincos(math.Atan2(x, apexMM-y))
		return r3.Vec{X: x, Y: y, Z: z}, r3.Vec{X: round*cp - slope*sp, Y: round*sp + slope*cp, Z: across}
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
	return q, apexMM
}

// apexMM is how far the apex of the blank is from mid-width.
func (c *coneSection) apexMM() float64 { return c.rc() / math.Sin(c.a) }

// flatten is where a point comes to lie on the flat blank.
func (c *coneSection) flatten(p r3.Vec) (x, y, z float64) {
	sin, cos := math.Sincos(c.a)
	u, v, h := c.f.local(p)
	rho := hypot(u, v)
	mid := (c.ends.phi[0] + c.ends.phi[1]) / 2
	sp, cp := math.Sincos(math.Remainder(math.Atan2(v, u)-mid, 2*math.Pi) * sin)
	r := c.apexMM() - (h*cos - rho*sin - (c.y[0]+c.y[1])/2)
	return r * sp, c.apexMM() - r*cp, rho*cos + h*sin - (c.xo+c.xi)/2
}

func (c *coneSection) wall(p r3.Vec) (float64, r3.Vec) { return c.wallAt(p, c.flatten) }

// openings fits the inner walls of the flat blank.
func (c *coneSection) openings(p *Patch, a association) []fittedHole {
	d, _ := c.developed(p)
	return blankOpenings(d, c.thickMM(), nil, a)
}

// holes names the openings on the flat blank. A hole's centre is given along the
// arc of mid-width from the start of the sweep and up the slope from mid-width,
// its angle from that arc, seen from the side that the axis as written points to.
func (c *coneSection) holes(p *Patch, a association) (out []Hole, note string) {
	list, apex := c.openings(p, a), c.apexMM()
	c.pierce(list)
	flip := positive(c.f.D) != c.f.D
	length := c.sweep() * c.rc()
	turn := func(q [2]float64) float64 { return math.Atan2(q[0], apex-q[1]) }
	to := func(q [2]float64) [2]float64 {
		u, v := turn(q)*apex+length/2, apex-hypot(q[0], apex-q[1])
		if flip {
			return [2]float64{length - u, -v}
		}
		return [2]float64{u, v}
	}
	x, y := r3.Vec{X: 1}, r3.Vec{Y: 1}
	for _, h := range list {
		w := holeIn(h, to, false, frame{E1: x, E2: y, D: r3.Vec{Z: 1}}, x, y)
		if w.AcrossMM[0] > 0 {
			w.AngleDeg = math.Mod(w.AngleDeg-turn(h.hole.CentreMM)*180/math.Pi+360, 180)
		}
		out = append(out, w)
	}
	return out, inferredNote(list)
}
