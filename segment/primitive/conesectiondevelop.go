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
	sin, cos := math.Sincos(c.a)
	apexMM = c.rc() / sin
	xm, ym := (c.xo+c.xi)/2, (c.y[0]+c.y[1])/2
	mid := (c.ends.phi[0] + c.ends.phi[1]) / 2
	flat := func(at, n r3.Vec) (r3.Vec, r3.Vec) {
		u, v, h := c.f.local(at)
		rho := math.Hypot(u, v)
		x, y := rho*cos+h*sin, h*cos-rho*sin
		su, cu := 0.0, 1.0
		if rho > 0 {
			su, cu = v/rho, u/rho
		}
		out, round := r3.Dot(n, c.f.dir(cu, su, 0)), r3.Dot(n, c.f.dir(-su, cu, 0))
		up := r3.Dot(n, c.f.D)
		slope, across := up*cos-out*sin, out*cos+up*sin
		sp, cp := math.Sincos(math.Remainder(math.Atan2(v, u)-mid, 2*math.Pi) * sin)
		r := apexMM - (y - ym)
		return r3.Vec{X: r * sp, Y: apexMM - r*cp, Z: x - xm}, r3.Vec{X: round*cp - slope*sp, Y: round*sp + slope*cp, Z: across}
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

// holes finds the openings on the flat blank. A hole's centre is given along the
// arc of mid-width from the start of the sweep and up the slope from mid-width,
// its angle from that arc, seen from the side that the axis as written points to.
func (c *coneSection) holes(p *Patch, a association) []Hole {
	d, apex := c.developed(p)
	t := c.thickMM()
	s := &slab{f: frame{E1: r3.Vec{X: 1}, E2: r3.Vec{Y: 1}, D: r3.Vec{Z: 1}}, z: [2]float64{-t / 2, t / 2}}
	_, inner, ok := sortWalls(wallLoops(d, s, a.MarginMM))
	if !ok {
		return nil
	}
	pl := &plate{}
	pl.slab = *s
	pl.fitHoles(d, inner, a)
	flip := positive(c.f.D) != c.f.D
	length := c.sweep() * c.rc()
	turn := func(q [2]float64) float64 { return math.Atan2(q[0], apex-q[1]) }
	to := func(q [2]float64) [2]float64 {
		u, v := turn(q)*apex+length/2, apex-math.Hypot(q[0], apex-q[1])
		if flip {
			return [2]float64{length - u, -v}
		}
		return [2]float64{u, v}
	}
	var out []Hole
	for _, h := range pl.inner {
		w := holeIn(h, to, false, s.f, s.f.E1, s.f.E2)
		if w.AcrossMM[0] > 0 {
			w.AngleDeg = math.Mod(w.AngleDeg-turn(h.hole.CentreMM)*180/math.Pi+360, 180)
		}
		out = append(out, w)
	}
	return out
}
