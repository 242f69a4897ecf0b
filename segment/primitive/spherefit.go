package primitive

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// flatsMax and boresMax bound the cuts and holes of a ball.
const (
	flatsMax = 3
	boresMax = 4
)

// openBall is the share of a ball that an open scan must show: less of one may
// as well be spatter, a weld's end or a corner.
const openBall = 0.4

func proposeSphere(p *Patch, _ []motion) []candidate {
	ball, ok := startBall(p)
	if !ok {
		return nil
	}
	var out []candidate
	for _, hollow := range []bool{true, false} { // the inside may be the wall of a hole
		c := &sphere{c: ball.c, ro: ball.ro}
		if hollow {
			if c.ri = ball.ri; c.ri == 0 {
				continue
			}
		}
		c.findFlats(p)
		c.findBores(p.whole())
		c.prepare(make([]float64, c.params()))
		if !c.sound() {
			continue
		}
		gate := 0.08 * c.ro
		if hollow {
			gate = min(gate, 0.4*(c.ro-c.ri))
		}
		out = append(out, candidate{sol: c, gateMM: max(gate, 6*p.NoiseMM), sizeMM: 2 * c.ro, leastSeen: openBall, describe: c.describe})
	}
	return out
}

// startBall places the ball where the normals meet, its radius, and that of its
// inside, by the median.
func startBall(p *Patch) (c sphere, ok bool) {
	centre, ok := meetingOf(p)
	if !ok {
		return c, false
	}
	c.c = centre
	out, in := roomFor(len(p.FacetC)), weighted{}
	for i, q := range p.FacetC {
		d := r3.Sub(q, centre)
		switch k := r3.Dot(d, p.FacetS[i]); {
		case k > 0.8*norm(d):
			out.add(norm(d), p.FacetMM2[i])
		case k < -0.8*norm(d):
			in.add(norm(d), p.FacetMM2[i])
		}
	}
	c.ro = out.median()
	if len(out.v) < 8 || out.total < 0.35*p.TotalMM2 || !(c.ro > 0) || c.ro > 2*p.SizeMM || !out.within(c.ro, 0.05*c.ro) {
		return c, false
	}
	if in.total > 0.02*out.total && len(in.v) >= 6 {
		if ri := in.median(); ri < c.ro && in.within(ri, max(0.03*c.ro, 2*p.NoiseMM)) {
			c.ri = ri
		}
	}
	return c, true
}

// meetingOf is the point nearest to the lines through the facets along their
// normals: least absolute distance by reweighting.
func meetingOf(p *Patch) (r3.Vec, bool) {
	var at r3.Vec
	for it := 0; it < 30; it++ {
		var m [6]float64
		var b r3.Vec
		for i := 0; i < len(p.FacetS); i += p.startStep() {
			n, w := p.FacetS[i], p.FacetMM2[i]
			q := r3.Sub(p.FacetC[i], at)
			across := r3.Sub(q, r3.Scale(r3.Dot(q, n), n))
			if it > 0 {
				w /= 1e-4*p.SizeMM + norm(across)
			}
			m[0] += w * (1 - n.X*n.X)
			m[1] -= w * n.X * n.Y
			m[2] -= w * n.X * n.Z
			m[3] += w * (1 - n.Y*n.Y)
			m[4] -= w * n.Y * n.Z
			m[5] += w * (1 - n.Z*n.Z)
			b = r3.Add(b, r3.Scale(w, across))
		}
		inv := invert([]float64{m[0], m[1], m[2], m[1], m[3], m[4], m[2], m[4], m[5]}, 3)
		step := r3.Vec{
			X: inv[0]*b.X + inv[1]*b.Y + inv[2]*b.Z,
			Y: inv[3]*b.X + inv[4]*b.Y + inv[5]*b.Z,
			Z: inv[6]*b.X + inv[7]*b.Y + inv[8]*b.Z,
		}
		at = r3.Add(at, step)
		if l := norm(at); !(l < 10*p.SizeMM) {
			return at, false
		}
		if it > 0 && norm(step) < 1e-5*p.SizeMM {
			break
		}
	}
	return at, true
}

// onBall tells whether the facet lies on the ball or its inside.
func (c *sphere) onBall(p *Patch, i int) bool {
	d := r3.Sub(p.FacetC[i], c.c)
	rho := norm(d)
	k := r3.Dot(d, p.FacetS[i])
	gate := max(0.04*c.ro, 4*p.NoiseMM)
	return k > 0.8*rho && math.Abs(rho-c.ro) < gate || c.ri > 0 && k < -0.8*rho && math.Abs(rho-c.ri) < gate
}

// findFlats takes the direction in which most of the area that is left faces,
// while there is one with facets at one height.
func (c *sphere) findFlats(p *Patch) {
	var rest []int
	for i := range p.FacetC {
		if !c.onBall(p, i) {
			rest = append(rest, i)
		}
	}
	for len(c.flat) < flatsMax {
		n, area := facing(p, rest)
		if area < 0.015*p.TotalMM2 {
			return
		}
		var h weighted
		var other, level []int
		for _, i := range rest {
			if r3.Dot(p.FacetS[i], n) > 0.9 {
				h.add(r3.Dot(r3.Sub(p.FacetC[i], c.c), n), p.FacetMM2[i])
				level = append(level, i)
			} else {
				other = append(other, i)
			}
		}
		z := h.median()
		if len(h.v) < 4 || math.Abs(z) > 0.99*c.ro || !h.within(z, max(0.02*c.ro, 3*p.NoiseMM)) {
			return
		}
		if full := math.Pi * (c.ro*c.ro - z*z - c.ri*c.ri); h.total < 0.2*full || slender(p, level) {
			return // a dent, the wall or the bottom of a hole
		}
		c.flat = append(c.flat, flatCut{f: newFrame(r3.Add(c.c, r3.Scale(z, n)), n)})
		rest = other
	}
}

// slender tells whether the facets lie in a strip.
func slender(p *Patch, facets []int) bool {
	var mean r3.Vec
	total := 0.0
	for _, i := range facets {
		mean = r3.Add(mean, r3.Scale(p.FacetMM2[i], p.FacetC[i]))
		total += p.FacetMM2[i]
	}
	mean = r3.Scale(1/total, mean)
	var m [6]float64
	for _, i := range facets {
		addOuter(&m, r3.Sub(p.FacetC[i], mean), p.FacetMM2[i])
	}
	d := eigen(m)
	var along [3]float64
	for k := range along {
		for _, i := range facets {
			x := r3.Dot(r3.Sub(p.FacetC[i], mean), d[k])
			along[k] += p.FacetMM2[i] * x * x
		}
	}
	slices.Sort(along[:])
	return along[1] < 0.15*along[2]
}

// facing is the mean direction of the facets about the one that most of their
// area is within 15 degrees of.
func facing(p *Patch, facets []int) (n r3.Vec, areaMM2 float64) {
	step := len(facets)/150 + 1
	for j := 0; j < len(facets); j += step {
		var sum r3.Vec
		area := 0.0
		for _, i := range facets {
			if r3.Dot(p.FacetS[i], p.FacetS[facets[j]]) > 0.966 {
				area += p.FacetMM2[i]
				sum = r3.Add(sum, r3.Scale(p.FacetMM2[i], p.FacetS[i]))
			}
		}
		if area > areaMM2 && norm(sum) > 0 {
			n, areaMM2 = unit(sum), area
		}
	}
	return n, areaMM2
}

// findBores fits a cylinder to each connected part of what is on neither the
// ball nor a flat.
func (c *sphere) findBores(p *Patch) {
	label, area := p.components(func(i int) bool { return !c.onBall(p, i) && !c.onFlat(p, i) })
	for k, a := range area {
		if a < 0.01*p.TotalMM2 || len(c.bore) == boresMax {
			continue
		}
		q := &Patch{NoiseMM: p.NoiseMM, SizeMM: p.SizeMM}
		var m [6]float64
		for i, l := range label {
			if l == int32(k) {
				q.FacetN, q.FacetC = append(q.FacetN, p.FacetS[i]), append(q.FacetC, p.FacetC[i])
				q.FacetMM2 = append(q.FacetMM2, p.FacetMM2[i])
				addOuter(&m, p.FacetS[i], p.FacetMM2[i])
			}
		}
		for _, d := range eigen(m) {
			if b, ok := boreAbout(q, d); ok && b.r < 0.8*c.ro {
				c.bore = append(c.bore, b)
				break
			}
		}
	}
}

func (c *sphere) onFlat(p *Patch, i int) bool {
	for k := range c.flat {
		_, _, h := c.flat[k].f.local(p.FacetC[i])
		if math.Abs(h) < max(0.03*c.ro, 4*p.NoiseMM) && r3.Dot(p.FacetS[i], c.flat[k].f.D) > 0.8 {
			return true
		}
	}
	return false
}

// boreAbout is the cylinder along d that the facets face inward on.
func boreAbout(p *Patch, d r3.Vec) (b boreWall, ok bool) {
	b.f = newFrame(r3.Vec{}, d)
	u, v, ok := meetingPoint(p, b.f)
	if !ok {
		return b, false
	}
	b.f.C = b.f.at(u, v, 0)
	var r weighted
	total := 0.0
	for i, q := range p.FacetC {
		total += p.FacetMM2[i]
		if r3.Dot(p.FacetN[i], b.f.outward(q)) < -0.8 {
			rho, _ := b.f.radial(q)
			r.add(rho, p.FacetMM2[i])
		}
	}
	b.r = r.median()
	return b, r.total > 0.6*total && r.within(b.r, max(0.08*b.r, 2*p.NoiseMM))
}

// describe writes the ball. Its axis is square to its largest flat, upright
// where it has none.
func (c *sphere) describe(e *Element, a association, p *Patch) {
	e.Kind = "sphere"
	g := make([]float64, c.params())
	g[3] = 2
	e.add("diameter_mm", 2*c.ro, a.u95(g))
	if c.ri > 0 {
		g[3], g[4] = 1, -1
		e.add("wall_mm", c.ro-c.ri, a.u95(g))
	}
	for _, b := range c.bore {
		e.Notes = append(e.Notes, fmt.Sprintf("a round hole, about %.1f mm across at the scan's size", 2*b.r))
	}
	f := newFrame(c.c, r3.Vec{Z: 1})
	most := 0.0
	for k := range c.flat {
		if area := c.flatMM2(k); area > 1.0001*most {
			most, f.D = area, c.flat[k].f.D
		}
	}
	e.Frame = axisFrame(p, f, 0)
	e.Form = noForm
	e.Form.RoundnessMM = c.roundness(a, p)
}

// roundness is the range of the ball's residuals over 36 fields of equal area.
func (c *sphere) roundness(a association, p *Patch) float64 {
	b := newBinned(36)
	for i, s := range a.Seen {
		if s.S != ballFace {
			continue
		}
		q := unit(r3.Sub(p.P[s.V], c.c))
		row := min(int((q.Z+1)*2), 3)
		col := min(int((math.Atan2(q.Y, q.X)+math.Pi)/(2*math.Pi)*9), 8)
		b.add(9*row+col, a.Residual[i])
	}
	return b.rangeMM()
}
