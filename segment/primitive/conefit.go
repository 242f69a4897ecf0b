package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// openCone is the share of a cone that an open scan must show: a weld's fillet
// round a tube is a cone too, but without its ends it shows little of one. One with
// an end, and longer than it is wide there, is no fillet: endCone is enough.
const (
	openCone = 0.5
	endCone  = 0.3
)

func (c *cone) leastSeen() float64 {
	for k := range c.end {
		if c.seen[lowEnd+k] && c.lengthMM() > c.radius(c.end[k].z) {
			return endCone
		}
	}
	return openCone
}

func proposeCone(p *Patch, axes []motion) []candidate {
	var out []candidate
	for _, m := range axes {
		c, ok := startCone(p, m)
		if !ok {
			continue
		}
		big := c.radius(c.end[0].z)
		gate := max(0.08*big, 6*p.NoiseMM)
		if c.seen[innerWall] {
			out = append(out, candidate{sol: c, gateMM: max(min(gate, 0.4*c.wall), 6*p.NoiseMM), sizeMM: 2 * big, leastSeen: c.leastSeen(), describe: c.describe})
			b := *c // the inside may be a trick of a few facets
			c = &b
			c.wall, c.seen[innerWall] = 0, false
		}
		out = append(out, candidate{sol: c, gateMM: gate, sizeMM: 2 * big, leastSeen: c.leastSeen(), describe: c.describe})
	}
	return out
}

// slantDirection is the axis of a cone of which less than a turn may be seen: the
// direction along which the normals of most of the surface lean alike. Ends and weld
// lean otherwise and are left out, round by round.
func slantDirection(p *Patch) (d r3.Vec, ok bool) {
	const rounds, alike = 12, 0.05
	var normal []r3.Vec
	var area []float64
	all := 0.0
	for i := 0; i < len(p.FacetS); i += p.startStep() {
		normal, area = append(normal, p.FacetS[i]), append(area, p.FacetMM2[i])
		all += p.FacetMM2[i]
	}
	weight, lean := slices.Clone(area), roomFor(len(normal))
	for round := range rounds {
		var mean r3.Vec
		total := 0.0
		for i, n := range normal {
			mean = r3.Add(mean, r3.Scale(weight[i], n))
			total += weight[i]
		}
		if total < 0.2*all {
			return d, false
		}
		mean = r3.Scale(1/total, mean)
		var m [6]float64
		for i, n := range normal {
			addOuter(&m, r3.Sub(n, mean), weight[i])
		}
		last := d
		if d = eigen(m)[0]; round > 0 && norm(r3.Cross(d, last)) < startShare {
			break
		}
		lean = weighted{v: lean.v[:0]}
		for i, n := range normal {
			lean.add(r3.Dot(n, d), area[i])
		}
		middle := lean.median()
		spread := max(lean.spread(middle), alike)
		for i, n := range normal {
			x := (r3.Dot(n, d) - middle) / (2 * spread)
			weight[i] = area[i] * max(1-x*x, 0)
		}
	}
	return d, true
}

// startCone places a cone about an axis: the slope that most of the area has,
// the radius at the origin by the median, ends by what faces along the axis.
func startCone(p *Patch, m motion) (*cone, bool) {
	f := m.f
	if !m.located {
		at, ok := turningCentre(p, f)
		if !ok {
			return nil, false
		}
		f.C = at
	}
	_, _, mid := f.local(r3.Vec{})
	f.C = f.at(0, 0, mid)
	lean, ok := commonLean(p, f)
	if !ok {
		return nil, false
	}
	if lean < 0 {
		f, lean = frame{f.C, f.E1, r3.Scale(-1, f.E2), r3.Scale(-1, f.D)}, -lean
	}
	c := &cone{f: f, k: math.Tan(lean)}
	return c, c.placeWalls(p) && c.placeEnds(p, lean)
}

// commonLean is the angle of the outer surface's normals from square to the
// axis: that of most area, of what faces neither along the axis nor inward.
func commonLean(p *Patch, f frame) (lean float64, ok bool) {
	const bins, most = 32, 80 * math.Pi / 180
	var area [bins]float64
	all, step := roomFor(min(len(p.FacetC), startFacets)), p.startStep()
	for i := 0; i < len(p.FacetC); i += step {
		o := r3.Dot(p.FacetS[i], f.outward(p.FacetC[i]))
		if o <= 0 {
			continue
		}
		if a := math.Atan(r3.Dot(p.FacetS[i], f.D) / o); math.Abs(a) < most {
			area[int((a+most)/(2*most)*bins)] += p.FacetMM2[i]
			all.add(a, p.FacetMM2[i])
		}
	}
	best := 0
	for b := range area {
		if area[b] > area[best] {
			best = b
		}
	}
	mid := (float64(best)+0.5)/bins*2*most - most
	w := roomFor(len(all.v))
	for _, y := range all.v {
		if math.Abs(y.x-mid) < 0.2 {
			w.add(y.x, y.w)
		}
	}
	lean = w.median()
	return lean, len(w.v) >= 8 && w.total*float64(step) > 0.2*p.TotalMM2 && math.Abs(lean) > 1e-3
}

// placeWalls finds the outer radius at the origin, the wall and the extent.
func (c *cone) placeWalls(p *Patch) bool {
	out, in := roomFor(len(p.FacetC)), weighted{}
	height := make([]float64, 0, len(p.FacetC))
	g := c.gain()
	for i, q := range p.FacetC {
		rho, h := c.f.radial(q)
		switch k := r3.Dot(p.FacetS[i], c.normal(q, outerWall)); {
		case k > 0.9:
			out.add(rho+c.k*h, p.FacetMM2[i])
			height = append(height, h)
		case k < -0.9:
			in.add(rho+c.k*h, p.FacetMM2[i])
		}
	}
	c.r0 = out.median()
	if len(out.v) < 8 || out.spread(c.r0)*g > max(0.06*p.SizeMM, 3*p.NoiseMM) {
		return false
	}
	c.seen[outerWall] = true
	if in.total > 0.02*out.total && len(in.v) >= 6 {
		if r := in.median(); r < c.r0 && in.spread(r)*g < 0.1*c.r0 {
			c.wall, c.seen[innerWall] = (c.r0-r)*g, true
		}
	}
	c.end[0].z, c.end[1].z = quantile(height, 0.002), quantile(height, 0.998)
	return c.lengthMM() > 0
}

// placeEnds looks for the end planes among the facets that face along the axis
// more than the cone does, and for the apex.
func (c *cone) placeEnds(p *Patch, lean float64) bool {
	least := math.Cos(min(math.Pi/6, (math.Pi/2-lean)/2))
	var cap [2][]int
	for i, n := range p.FacetS {
		switch k := r3.Dot(n, c.f.D); {
		case k > least:
			cap[1] = append(cap[1], i)
		case k < -least:
			cap[0] = append(cap[0], i)
		}
	}
	tip := c.radius(c.end[1].z)
	for k := range cap {
		e, area := startEnd(p, c.f, cap[k])
		r, in := c.radius(c.end[k].z), c.inside(c.end[k].z)
		if full := math.Pi * (r*r - in*in); len(cap[k]) < 3 || area < 0.03*full || r < 0 {
			continue
		}
		if k == 1 && tip < 1.5*p.spacing() || math.Abs(e.z-c.end[k].z) > 0.25*c.lengthMM()+2*p.spacing() {
			continue
		}
		c.end[k], c.seen[lowEnd+k] = e, true
	}
	if !c.seen[highEnd] && tip < max(0.08*c.radius(c.end[0].z), 2.5*p.spacing()) {
		c.pointed = true
		c.end[1] = endPlane{z: c.r0 / c.k}
	}
	c.free = c.lengthMM() > c.radius(c.end[0].z) || !c.seen[lowEnd] || !c.seen[highEnd]
	if !c.free {
		for k := range c.end {
			c.end[k].tu, c.end[k].tv = 0, 0
		}
	}
	c.prepare(make([]float64, c.params()))
	return c.sound()
}

// describe writes the cone. Diameters are those of the outer surface where the
// end planes cut the axis.
func (c *cone) describe(e *Element, a association, p *Patch) {
	e.Kind = "cone"
	keys := [2]string{"large_diameter_mm", "small_diameter_mm"}
	for k, key := range keys {
		switch {
		case k == 1 && c.pointed:
			e.add(key, 0, c.tipU95(p))
		case c.seen[lowEnd+k]:
			e.add(key, 2*c.radius(c.end[k].z), a.u95(gradient(c, func() float64 {
				return 2 * (c.trial.r0 - c.trial.k*c.trialEnd(k))
			})))
		default:
			e.hide(key)
		}
	}
	if c.seen[lowEnd] && (c.seen[highEnd] || c.pointed) {
		e.add("height_mm", c.lengthMM(), a.u95(gradient(c, func() float64 { return c.trialEnd(1) - c.trialEnd(0) })))
	} else {
		e.hide("height_mm")
	}
	if c.seen[innerWall] {
		g := make([]float64, c.params())
		g[c.at(innerWall)] = 1
		e.add("wall_mm", c.wall, a.u95(g))
	}
	e.Frame = axisFrame(p, c.f, (c.end[0].z+c.end[1].z)/2)
	e.Form = noForm
	e.Form.RoundnessMM = roundness(p, c.f, a, outerWall)
	for s := lowEnd; s <= highEnd; s++ {
		if c.seen[s] && !c.free {
			e.Form.FlatnessMM = max(e.Form.FlatnessMM, flatness(p, c.f, a, s))
		}
	}
}

// tipU95 is how wide a flat at the point might be unseen: the scan shows the
// surface down to there, and no plane.
func (c *cone) tipU95(p *Patch) float64 {
	least := math.Inf(1)
	for _, q := range p.whole().P {
		rho, h := c.f.radial(q)
		if d := (rho - c.radius(h)) * c.gain(); math.Abs(d) < max(5*p.NoiseMM, 0.01*c.r0) {
			least = min(least, c.radius(h-d*c.k*c.gain()))
		}
	}
	return 2 * max(least, p.NoiseMM, 1e-3*p.EdgeMM)
}
