package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// describe tells the prism as a profile: its length is that of the axis through
// the section's centroid, between the end planes.
func (c *prism) describe(section *plate, e *Element, a association, p *Patch) {
	e.Kind, e.Form = "profile", noForm
	m := c.centroid(section)
	length := func() float64 {
		f := c.trial.f
		return c.trial.end[1].moved(c.f, f).height(m[0], m[1]) - c.trial.end[0].moved(c.f, f).height(m[0], m[1])
	}
	if c.unseen == [2]bool{} {
		e.add("length_mm", length(), hypot(a.u95(gradient(c, length)), c.centroidU95(section, m)))
	} else {
		e.hide("length_mm")
	}
	d := positive(c.f.D)
	x := leastParallel(d)
	ref := unit(r3.Sub(x, r3.Scale(r3.Dot(x, d), d)))
	at := [2]r3.Vec{c.f.at(m[0], m[1], c.end[0].height(m[0], m[1])), c.f.at(m[0], m[1], c.end[1].height(m[0], m[1]))}
	origin := r3.Scale(0.5, r3.Add(at[0], at[1]))
	e.Frame = Frame{OriginMM: r3.Add(p.OriginMM, origin), Axis: d, Ref: ref}
	for k := range at {
		e.Ends = append(e.Ends, c.endAs(k, at[k], a, p))
	}
	flip := d != c.f.D
	if flip {
		e.Ends[0], e.Ends[1] = e.Ends[1], e.Ends[0]
	}
	w := r3.Cross(d, ref)
	to := func(q [2]float64) [2]float64 {
		u, v, _ := c.f.local(section.f.at(q[0], q[1], 0))
		s := r3.Sub(c.f.at(u, v, 0), c.f.at(m[0], m[1], 0))
		return [2]float64{r3.Dot(s, ref), r3.Dot(s, w)}
	}
	turned := r3.Dot(section.f.D, d) < 0
	e.Outline, e.OutlineU95MM = stepsIn(section.outline, to, turned), sidesU95(section.outline, 1, turned)
	for _, h := range section.inner {
		e.Holes = append(e.Holes, holeIn(h, to, turned, section.f, ref, w))
	}
	e.Notes = append(e.Notes, section.notes...)
}

// endAs tells end k, whose plane cuts the axis at p's coordinates at.
func (c *prism) endAs(k int, at r3.Vec, a association, p *Patch) End {
	e := End{Kind: "mitre", AngleDeg: c.tilt(k), AtMM: r3.Add(p.OriginMM, at), Out: c.normal(r3.Vec{}, k)}
	switch {
	case c.unseen[k]:
		e.Kind, e.AngleDeg = "open", 0
	case a.surface(k).RMSMM > max(5*a.RMSMM, 0.02*math.Sqrt(c.netMM2)):
		e.Kind = "irregular"
	case e.AngleDeg <= squareDeg:
		e.Kind = "square"
	}
	return e
}

// centroid is that of the section's area, openings taken off, in the prism's
// frame.
func (c *prism) centroid(section *plate) [2]float64 {
	area, m := moments(section.outline)
	for _, h := range section.inner {
		b, n := moments(h.outline)
		area -= b
		m[0], m[1] = m[0]-n[0], m[1]-n[1]
	}
	u, v, _ := c.f.local(section.f.at(m[0]/area, m[1]/area, 0))
	return [2]float64{u, v}
}

// centroidU95 is what the doubt about the section's centroid m adds to the
// length's half-width: a side that moves out by a millimetre draws the centroid
// by its length times its distance from it over the area, and the ends part by
// the difference of their slopes as it goes.
func (c *prism) centroidU95(section *plate, m [2]float64) float64 {
	gu, gv := c.end[1].tu-c.end[0].tu, c.end[1].tv-c.end[0].tv
	sum := 0.0
	add := func(o fit.Outline) {
		for i, s := range o.Steps {
			from := o.Steps[(i+len(o.Steps)-1)%len(o.Steps)].To
			long := hypot(s.To[0]-from[0], s.To[1]-from[1])
			lever := gu*((s.To[0]+from[0])/2-m[0]) + gv*((s.To[1]+from[1])/2-m[1])
			x := lever * long / c.netMM2 * o.Fits[i].OffsetSD * o.SigmaMM
			sum += x * x
		}
	}
	add(section.outline)
	for _, h := range section.inner {
		add(h.outline)
	}
	return 1.96 * math.Sqrt(sum)
}

// moments are the area of an outline and that times its centroid.
func moments(o fit.Outline) (area float64, m [2]float64) {
	area = math.Abs(o.Area())
	if area == 0 {
		return 0, m
	}
	q := polygonCentroid(polyline(o))
	return area, [2]float64{area * q[0], area * q[1]}
}
