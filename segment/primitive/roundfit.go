package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// wallCos parts facets that run along an axis from those across it.
const wallCos = 0.5

func proposeRound(p *Patch, axes []motion) []candidate {
	var out []candidate
	for _, m := range axes {
		c, ok := startRound(p, m.f.D)
		if !ok {
			continue
		}
		gate := 0.08 * c.ro
		if c.ri > 0 {
			gate = min(gate, 0.4*(c.ro-c.ri))
		}
		out = append(out, candidate{sol: c, gateMM: max(gate, 6*p.NoiseMM), sizeMM: 2 * c.ro, describe: c.describe})
		if c.ri > 0 { // the bore may be a trick of a few facets
			b := *c
			b.ri, b.seen[innerWall] = 0, false
			out = append(out, candidate{sol: &b, gateMM: max(0.08*c.ro, 6*p.NoiseMM), sizeMM: 2 * c.ro, describe: b.describe})
		}
	}
	return out
}

// boreShare is what a bore shows of itself at least, as a share of the outside: of a long
// one a scanner sees little from either end. Dents that face the axis do so at no common
// radius.
const boreShare = 0.005

// startRound places a round piece about d: the axis where the normals of its
// walls meet, radii and ends by weighted medians.
func startRound(p *Patch, d r3.Vec) (*round, bool) {
	f := newFrame(r3.Vec{}, d)
	cu, cv, ok := meetingPoint(p, f)
	if !ok {
		return nil, false
	}
	f.C = f.at(cu, cv, 0)
	out, in := roomFor(len(p.FacetN)), weighted{}
	var cap [2][]int // low, high
	var outHeight []float64
	for i, n := range p.FacetN {
		across := r3.Dot(n, f.D)
		rho, h := f.radial(p.FacetC[i])
		w := p.FacetMM2[i]
		switch {
		case math.Abs(across) < wallCos:
			if r3.Dot(n, f.outward(p.FacetC[i])) > 0 {
				out.add(rho, w)
				outHeight = p.addHeights(outHeight, f, i, h)
			} else {
				in.add(rho, w)
			}
		case across > 0:
			cap[1] = append(cap[1], i)
		default:
			cap[0] = append(cap[0], i)
		}
	}
	if out.total == 0 || len(out.v) < 6 {
		return nil, false
	}
	c := &round{f: f, ro: out.median()}
	c.seen[outerWall] = true
	if in.total > boreShare*out.total && len(in.v) >= 6 {
		if ri := in.median(); ri < c.ro && in.within(ri, 0.1*c.ro) {
			c.ri, c.seen[innerWall] = ri, true
		}
	}
	full := math.Pi * (c.ro*c.ro - c.ri*c.ri)
	q := [2]float64{quantile(outHeight, 0.002), quantile(outHeight, 0.998)}
	long := q[1]-q[0] > 2*c.ro
	for k := range cap { // what a long piece stands on, within a bore too, is no end
		c.end[k].z = q[k]
		cap[k] = slices.DeleteFunc(cap[k], func(i int) bool {
			rho, h := f.radial(p.FacetC[i])
			return long && (rho > 1.1*c.ro || rho < 0.9*c.ri || math.Abs(h-q[k]) > min(4*c.ro, 0.8*(q[1]-q[0])))
		})
		e, area := startEnd(p, f, cap[k])
		if area > 0.03*full && len(cap[k]) >= 3 && (!long || e.near(q[k], c.ro+2*p.EdgeMM)) {
			c.end[k], c.seen[lowEnd+k] = e, true
		}
	}
	l := c.lengthMM()
	c.free = l > c.ro || !c.seen[lowEnd] || !c.seen[highEnd]
	if !c.free {
		for k := range c.end {
			c.end[k].tu, c.end[k].tv = 0, 0
		}
	}
	return c, l > 0
}

// addHeights adds those of a facet's corners along the axis, or of its centre where
// a thinned patch has no corners: facets may be as long as the piece.
func (p *Patch) addHeights(out []float64, f frame, facet int, centre float64) []float64 {
	if p.Facet == nil {
		return append(out, centre)
	}
	for _, v := range p.Facet[facet] {
		_, _, h := f.local(p.P[v])
		out = append(out, h)
	}
	return out
}

// near tells an end from what lies elsewhere along the piece: its plane reaches
// the last of the wall, at height z.
func (e endPlane) near(z, roMM float64) bool {
	return math.Abs(e.z-z) < (1.1*hypot(e.tu, e.tv)+0.25)*roMM
}

// startEnd is the plane of the cap facets: their mean normal, and the weighted
// median height over it.
func startEnd(p *Patch, f frame, cap []int) (e endPlane, areaMM2 float64) {
	var n r3.Vec
	for _, i := range cap {
		n = r3.Add(n, r3.Scale(p.FacetMM2[i], p.FacetN[i]))
		areaMM2 += p.FacetMM2[i]
	}
	nd := r3.Dot(n, f.D)
	if nd == 0 {
		return e, 0
	}
	e.tu, e.tv = -r3.Dot(n, f.E1)/nd, -r3.Dot(n, f.E2)/nd
	z := roomFor(len(cap))
	for _, i := range cap {
		u, v, h := f.local(p.FacetC[i])
		z.add(h-e.tu*u-e.tv*v, p.FacetMM2[i])
	}
	e.z = z.median()
	return e, areaMM2
}

// meetingPoint is the point nearest to the lines through the wall facets along
// their normals, all projected across f.D: least absolute distance by
// reweighting.
func meetingPoint(p *Patch, f frame) (u, v float64, ok bool) {
	type line struct{ x, y, a, b, w float64 }
	var ls []line
	for i, n := range p.FacetN {
		nu, nv, nd := r3.Dot(n, f.E1), r3.Dot(n, f.E2), r3.Dot(n, f.D)
		l := hypot(nu, nv)
		if math.Abs(nd) >= wallCos || l == 0 {
			continue
		}
		x, y, _ := f.local(p.FacetC[i])
		ls = append(ls, line{x, y, nu / l, nv / l, p.FacetMM2[i]})
	}
	if len(ls) < 6 {
		return 0, 0, false
	}
	ls = some(ls, startFacets)
	scale := 1e-6 * p.SizeMM
	for it := 0; it < 30; it++ {
		var m [5]float64
		for _, l := range ls {
			w := l.w
			if it > 0 {
				r := (l.x-u)*l.b - (l.y-v)*l.a
				w /= scale + math.Abs(r)
			}
			k := l.x*l.b - l.y*l.a
			m[0] += w * l.b * l.b
			m[1] -= w * l.a * l.b
			m[2] += w * l.a * l.a
			m[3] += w * l.b * k
			m[4] -= w * l.a * k
		}
		det := m[0]*m[2] - m[1]*m[1]
		if !(det > 1e-9*(m[0]+m[2])*(m[0]+m[2])) {
			return 0, 0, false
		}
		nu, nv := (m[2]*m[3]-m[1]*m[4])/det, (m[0]*m[4]-m[1]*m[3])/det
		step := hypot(nu-u, nv-v)
		u, v = nu, nv
		if it > 0 && step < startShare*p.SizeMM {
			break
		}
	}
	return u, v, true
}

// describe writes the round as the contract's kinds.
func (c *round) describe(e *Element, a association, p *Patch) {
	l := c.lengthMM()
	od, id := 2*c.ro, 2*c.ri
	flat := l <= c.ro
	uo, ui := a.u95(c.grad1(outerWall, 2)), 0.0
	if c.ri > 0 {
		ui = a.u95(c.grad1(innerWall, 2))
	}
	ul := a.u95(c.lengthGrad())
	ends := c.seen[lowEnd] && c.seen[highEnd]
	lengthKey := "length_mm"
	switch {
	case flat && c.ri > 0:
		e.Kind, e.Section, lengthKey = "ring", "flat", "thickness_mm"
	case flat:
		e.Kind, lengthKey = "disc", "thickness_mm"
	case c.ri > 0:
		e.Kind = "tube"
	default:
		e.Kind = "bar"
	}
	e.add("outside_diameter_mm", od, uo)
	if c.ri > 0 {
		e.add("inside_diameter_mm", id, ui)
	}
	if e.Kind == "tube" {
		g := c.grad1(outerWall, 1)
		for i, x := range c.grad1(innerWall, -1) {
			g[i] += x
		}
		e.add("wall_mm", c.ro-c.ri, a.u95(g))
	}
	if ends {
		e.add(lengthKey, l, ul)
	} else {
		e.hide(lengthKey)
	}
	if !flat {
		for k := 0; k < 2; k++ {
			e.Ends = append(e.Ends, c.endOf(k, a, p))
		}
		if positive(c.f.D) != c.f.D {
			e.Ends[0], e.Ends[1] = e.Ends[1], e.Ends[0]
		}
		if c.ri == 0 && !c.seen[lowEnd] && !c.seen[highEnd] {
			e.Notes = append(e.Notes, "hollow: unknown")
		}
	}
	e.Frame = axisFrame(p, c.f, (c.end[0].z+c.end[1].z)/2)
	e.Form = c.form(a, p)
}

// squareDeg is the angle up to which an end counts as cut square: common
// practice, no source.
const squareDeg = 1.0

func (c *round) endOf(k int, a association, p *Patch) End {
	e := c.end[k]
	if !c.seen[lowEnd+k] {
		e.tu, e.tv = 0, 0
	}
	out := r3.Scale(float64(2*k-1), r3.Unit(c.f.dir(-e.tu, -e.tv, 1)))
	end := End{Kind: "open", AtMM: r3.Add(p.OriginMM, c.f.at(0, 0, e.z)), Out: out}
	if !c.seen[lowEnd+k] {
		return end
	}
	end.Kind, end.AngleDeg = "mitre", c.tiltDeg(k)
	rms := a.surface(lowEnd + k).RMSMM
	switch {
	case rms > 0.02*2*c.ro && rms > 5*a.surface(outerWall).RMSMM:
		end.Kind = "irregular"
	case end.AngleDeg <= squareDeg:
		end.Kind = "square"
	}
	return end
}

// axisFrame is the contract's frame of a piece with an axis: origin on the axis
// at height mid, the axis' largest component positive, ref the scan axis least
// parallel to it, projected.
func axisFrame(p *Patch, f frame, mid float64) Frame {
	d := positive(f.D)
	x := leastParallel(d)
	ref := unit(r3.Sub(x, r3.Scale(r3.Dot(x, d), d)))
	return Frame{OriginMM: r3.Add(p.OriginMM, f.at(0, 0, mid)), Axis: d, Ref: ref}
}

// positive returns d or -d, the component largest in magnitude positive.
func positive(d r3.Vec) r3.Vec {
	x, y, z := math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z)
	m := d.Z
	switch {
	case x >= y && x >= z:
		m = d.X
	case y >= z:
		m = d.Y
	}
	if m < 0 {
		return r3.Scale(-1, d)
	}
	return d
}
