package fitup

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// rod is a round section along a line.
func rod(p stock.Part, run line, outside, bore float64) *shape {
	s := &shape{run: run, thinMM: outside}
	if !(outside > 0) {
		return &shape{}
	}
	off := func(q r3.Vec) float64 {
		c, t := run.at(run.foot(q))
		return r3.Norm(across(r3.Sub(q, c), t))
	}
	way := func(sign float64) func(q r3.Vec) r3.Vec {
		return func(q r3.Vec) r3.Vec {
			c, t := run.at(run.foot(q))
			return r3.Scale(sign, unit(across(r3.Sub(q, c), t)))
		}
	}
	s.faces = append(s.faces, face{name: "side", cut: -1, bears: true, dist: func(q r3.Vec) float64 { return off(q) - outside/2 }, way: way(1)})
	if bore > 0 && bore < outside {
		s.faces = append(s.faces, face{name: "bore", cut: -1, bears: true, dist: func(q r3.Vec) float64 { return bore/2 - off(q) }, way: way(-1)})
		s.thinMM = (outside - bore) / 2
	}
	s.ends(p, outside/2)
	s.rodEdges(outside / 2)
	return s
}

// ends reads the planes in which a long part ends; where none is given, its
// length tells.
func (s *shape) ends(p stock.Part, radius float64) {
	f := poseOf(p)
	for _, e := range p.Ends {
		if e.Out == (r3.Vec{}) {
			continue
		}
		out := f.localDir(e.Out)
		l := s.run.foot(f.local(e.AtMM))
		_, t := s.run.at(l)
		k, dir := 0, -1.0
		if r3.Dot(out, t) > 0 {
			k, dir = 1, 1
		}
		s.cuts[k] = &cut{run: s.run, s: l, dir: dir, out: unit(out), radius: radius, planed: e.Kind != "saddle" && e.Kind != "irregular"}
	}
	if length := lengthOf(p); length > 0 {
		s.assume(length, radius)
	}
	for k, c := range s.cuts {
		if c != nil {
			name := [2]string{"low end", "high end"}[k]
			s.faces = append(s.faces, face{name: name, dist: c.distance, way: c.normal, flat: true, cut: k, bears: true})
		}
	}
}

// assume puts a square end where none was seen: a length from the other, or half
// of it from the middle.
func (s *shape) assume(length, radius float64) {
	for k, dir := range []float64{-1, 1} {
		if s.cuts[k] != nil {
			continue
		}
		at := dir * length / 2
		if o := s.cuts[1-k]; o != nil {
			at = o.s + dir*length
		}
		_, t := s.run.at(at)
		s.cuts[k] = &cut{run: s.run, s: at, dir: dir, out: r3.Scale(dir, t), radius: radius, planed: true, derived: true}
	}
}

// lengthOf is the length of a long part along its centreline, 0 where it is not
// given.
func lengthOf(p stock.Part) float64 {
	z := sizes{p}
	switch p.Kind {
	case "arc":
		if len(p.Segments) == 0 {
			return z.rad("sweep_deg") * z.mm("centreline_diameter_mm") / 2
		}
		return 0
	case "coil":
		return z.mm("turns") * math.Hypot(math.Pi*z.mm("centreline_diameter_mm"), z.mm("pitch_mm"))
	}
	return z.mm("length_mm")
}

// rodEdges takes places round the section along the run and at both ends.
func (s *shape) rodEdges(radius float64) {
	if s.cuts[0] == nil || s.cuts[1] == nil {
		return
	}
	from, to := s.cuts[0].end(), s.cuts[1].end()
	n := min(max(8, int((to-from)/radius)), 600)
	var round [arcParts][2]float64
	for k := range round {
		y, x := math.Sincos(float64(k) * 2 * math.Pi / arcParts)
		round[k] = [2]float64{radius * x, radius * y}
	}
	s.edges = slices.Grow(s.edges, (n+1)*arcParts)
	for i := 0; i <= n; i++ {
		c, t := s.run.at(from + (to-from)*float64(i)/float64(n))
		e, f := square(t)
		for _, p := range round {
			q := r3.Add(c, r3.Add(r3.Scale(p[0], e), r3.Scale(p[1], f)))
			if i == 0 || i == n { // onto the end's plane, along the piece
				_, out, way := s.cuts[min(i, 1)].place()
				q = r3.Sub(q, r3.Scale(r3.Dot(r3.Sub(q, c), out)/r3.Dot(way, out), way))
			}
			s.edges = append(s.edges, q)
		}
	}
}

// profile is an outline along the axis, with its hollows.
func profile(p stock.Part) *shape {
	o := newOutline(p.Outline)
	s := &shape{run: straight{}}
	if len(o.steps) < 2 {
		return &shape{}
	}
	radius := 0.0
	for _, q := range o.chain {
		radius = max(radius, math.Hypot(q[0], q[1]))
	}
	s.thinMM = radius / 2
	if t := (sizes{p}).mm("thickness_mm"); t > 0 {
		s.thinMM = t
	}
	s.wall("wall", o, 1)
	s.holes(p.Holes)
	s.ends(p, radius)
	s.profileEdges(o)
	return s
}

// profileEdges takes the outline's places at both ends.
func (s *shape) profileEdges(o outline) {
	for _, c := range s.cuts {
		if c == nil {
			continue
		}
		at, out, way := c.place()
		for _, q := range o.chain {
			w := r3.Vec{X: q[0], Y: q[1], Z: at.Z}
			s.edges = append(s.edges, r3.Sub(w, r3.Scale(r3.Dot(r3.Sub(w, at), out)/r3.Dot(way, out), way)))
		}
	}
}

// hoop is a closed ring of round section.
func hoop(centreline, section, bore float64) *shape {
	if !(centreline > 0) || !(section > 0) {
		return &shape{}
	}
	s := rod(stock.Part{}, circle{r: centreline / 2}, section, bore)
	for i := range arcParts {
		y, x := math.Sincos(float64(i) * 2 * math.Pi / arcParts)
		for k := range arcParts {
			sin, cos := math.Sincos(float64(k) * 2 * math.Pi / arcParts)
			r := centreline/2 + section/2*cos
			s.edges = append(s.edges, r3.Vec{X: r * x, Y: r * y, Z: section / 2 * sin})
		}
	}
	s.run = nil // it has no ends, nor a direction of its own
	return s
}

// coil is a round section on a helix through the middle of its low end.
func coil(p stock.Part) *shape {
	z := sizes{p}
	h := helix{r: z.mm("centreline_diameter_mm") / 2, rise: z.mm("pitch_mm") / (2 * math.Pi), hand: 1}
	if p.Hand == "left" {
		h.hand = -1
	}
	if !(h.r > 0) || !(h.rise > 0) {
		return &shape{}
	}
	f := poseOf(p)
	for _, e := range p.Ends {
		if e.Out != (r3.Vec{}) {
			q := f.local(e.AtMM)
			h.start = math.Atan2(q.Y, q.X) - h.hand*q.Z/h.rise
			return rod(p, h, z.mm("section_diameter_mm"), z.mm("section_bore_mm"))
		}
	}
	return &shape{}
}

// arcs are an arc, or a compound bend run through either way along.
func arcs(p stock.Part) []*shape {
	z := sizes{p}
	if d := z.mm("outside_diameter_mm"); d > 0 {
		return one(sector(z.mm("inside_diameter_mm")/2, d/2, z.mm("thickness_mm"), z.rad("sweep_deg")))
	}
	section, bore := z.mm("section_diameter_mm"), z.mm("section_bore_mm")
	r := z.mm("centreline_diameter_mm") / 2
	if !(r > 0) {
		return one(&shape{})
	}
	if len(p.Segments) == 0 {
		return one(rod(p, circle{r: r, mid: middleOf(p)}, section, bore))
	}
	var out []*shape
	for _, run := range bends(p) {
		out = append(out, rod(p, run, section, bore))
	}
	if len(out) == 0 {
		return one(&shape{})
	}
	return out
}

// middleOf is the angle in the middle of an arc: from its sweep, or where that is
// hidden, opposite the middle of the gap between its ends.
func middleOf(p stock.Part) float64 {
	if s := (sizes{p}).rad("sweep_deg"); s > 0 {
		return s / 2
	}
	f := poseOf(p)
	for i := len(p.Ends) - 1; i >= 0; i-- {
		if e := p.Ends[i]; e.Out != (r3.Vec{}) {
			q := f.local(e.AtMM)
			a := math.Atan2(q.Y, q.X)
			if a < 0 {
				a += 2 * math.Pi
			}
			return a / 2
		}
	}
	return 0
}

// bends are the runs of a compound bend whose longest arc lies in the part's
// frame: counter-clockwise about the axis, or the other way.
func bends(p stock.Part) []legs {
	var length, radius, turn []float64
	longest, most := -1, 0.0
	for i, s := range p.Segments {
		z := sizes{stock.Part{Dims: s.Dims}}
		r := z.mm("centreline_diameter_mm") / 2
		l := z.mm("length_mm")
		if s.Kind == "arc" {
			l = z.rad("sweep_deg") * r
			if l > most {
				longest, most = i, l
			}
		} else {
			r = 0
		}
		length, radius, turn = append(length, l), append(radius, r), append(turn, z.rad("turn_deg"))
	}
	if longest < 0 {
		return nil
	}
	run := newLegs(length, radius, turn)
	l := run[longest]
	// The arc's own frame: origin at its centre, x to its start, z the axis it
	// turns about.
	own := newPose(l.from.point(r3.Vec{X: l.r}), l.from.y, r3.Scale(-1, l.from.x))
	sin, cos := math.Sincos(l.len / l.r)
	var out []legs
	for _, there := range []pose{
		newPose(r3.Vec{}, r3.Vec{Z: 1}, r3.Vec{X: 1}),
		newPose(r3.Vec{}, r3.Vec{Z: -1}, r3.Vec{X: cos, Y: sin}),
	} {
		to := func(d r3.Vec) r3.Vec { return there.dir(own.localDir(d)) }
		out = append(out, run.placed(newPose(there.point(own.local(r3.Vec{})), to(r3.Vec{Z: 1}), to(r3.Vec{X: 1}))))
	}
	return out
}
