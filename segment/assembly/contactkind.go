package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// tangential is the cosine between outward normals under which two surfaces
// face each other all along the seam: a ball on a plate, not a tube's rim.
const tangential = -0.77

// describe fills in what the seam says of the contact. Surfaces that face each
// other touch at a point or along a line, unless they overlap by more than the
// tolerance: then their crossing is known, and is the seam.
func (s *seam) describe(c *Contact, best spot) {
	_, na := s.a.look(best.at)
	_, nb := s.b.look(best.at)
	touch := SeamPoint{best.at, na, nb}
	if len(s.runs) == 0 || s.facing < tangential && c.GapMM > -s.tolMM {
		c.Kind = "point"
		c.Seam = []Run{{Points: []SeamPoint{touch}}}
		if line, ok := s.trace(best); ok {
			c.Kind, c.LengthMM, c.Seam = "line", line.length(), []Run{line}
		}
		c.AngleDeg = angleBetween(s.a, s.b, best.at)
		return
	}
	var sumA, sumB, mid r3.Vec
	total := 0.0
	for i := range s.runs {
		r := s.run(i)
		c.LengthMM += r.length()
		for k := 1; k < len(r.Points); k++ {
			p, q := r.Points[k-1], r.Points[k]
			l := r3.Norm(r3.Sub(q.AtMM, p.AtMM))
			total += l
			sumA, sumB = r3.Add(sumA, r3.Scale(l, p.NormalA)), r3.Add(sumB, r3.Scale(l, p.NormalB))
			mid = r3.Add(mid, r3.Scale(l, p.AtMM))
		}
		c.Seam = append(c.Seam, r.thinned())
	}
	if total == 0 {
		c.Kind, c.Seam = "point", []Run{{Points: []SeamPoint{touch}}}
		return
	}
	sumA, sumB, mid = r3.Scale(1/total, sumA), r3.Scale(1/total, sumB), r3.Scale(1/total, mid)
	c.AngleDeg = angleBetween(s.a, s.b, mid)
	if guest, ok := s.through(); ok {
		host := s.a
		if guest == s.a {
			host = s.b
		}
		c.Through = true
		c.Kind = guest.noun() + " through " + host.noun()
		return
	}
	c.Kind = s.kind(sumA, sumB, mid)
}

// kind names how two bodies meet from the mean normals along the seam. The one
// whose normal stays is the host, on one face of which the seam runs; the other
// is the guest, round which it runs.
func (s *seam) kind(meanA, meanB, at r3.Vec) string {
	host, guest, e := s.a, s.b, meanA
	if r3.Norm(meanB) > r3.Norm(meanA) {
		host, guest, e = s.b, s.a, meanB
	}
	if l := r3.Norm(e); l > 0 {
		e = r3.Scale(1/l, e)
	}
	hc, hd := host.class(), host.direction(at)
	gc, gd := guest.class(), guest.direction(at)
	along := func(d r3.Vec) bool { return math.Abs(r3.Dot(e, d)) > math.Sqrt2/2 }
	switch {
	case hc == flat && gc == flat:
		lies := along(gd) && (!along(hd) || math.Abs(r3.Dot(gd, hd)) > math.Cos(leaningRad))
		return place(lies) + " on " + place(along(hd))
	case hc == long && gc == long:
		if along(hd) && along(gd) || host.endsAt(at) && guest.endsAt(at) {
			return guest.noun() + " to " + host.noun() + ", end to end"
		}
		if along(hd) && !along(gd) { // the host's end sits on the guest's side
			host, guest = guest, host
		}
	case hc == long && gc == flat && !along(gd):
		return "edge of " + guest.noun() + " on " + host.noun()
	case hc == flat && !along(hd):
		return guest.noun() + " on edge of " + host.noun()
	case hc == long && gc == flat && along(hd):
		host, guest = guest, host
	}
	return guest.noun() + " on " + host.noun()
}

// leaningRad is the angle from which a flat piece on another stands on its edge.
const leaningRad = 10 * math.Pi / 180

// endsAt tells whether a straight long piece ends near a place: it reaches no
// further one way than a mitre of 45 degrees could.
func (b *body) endsAt(at r3.Vec) bool {
	size, ok := b.e.Dim("outside_diameter_mm")
	if !ok || len(b.points) == 0 {
		return false
	}
	d := b.direction(at)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range b.points {
		h := r3.Dot(r3.Sub(p, at), d)
		lo, hi = min(lo, h), max(hi, h)
	}
	return min(-lo, hi) < 0.6*size
}

func place(face bool) string {
	if face {
		return "face"
	}
	return "edge"
}

// class is how a piece is made up: long, flat, or neither.
type class int

const (
	neither class = iota
	long
	flat
)

func (b *body) class() class {
	switch b.e.Kind {
	case "tube", "bar", "profile", "coil":
		return long
	case "arc":
		if _, ok := b.e.Dim("thickness_mm"); ok {
			return flat
		}
		return long
	case "ring":
		if b.e.Section == "round" {
			return long
		}
		return flat
	case "plate", "disc", "toothed_wheel", "rolled_plate":
		return flat
	}
	return neither
}

func (b *body) noun() string {
	switch b.e.Kind {
	case "toothed_wheel":
		return "wheel"
	case "rolled_plate":
		return "rolled plate"
	case "sphere":
		return "ball"
	case "freeform":
		return "free form"
	}
	return b.e.Kind
}

// direction is the way a long piece runs near a place, or a flat one's normal;
// zero where it has none.
func (b *body) direction(at r3.Vec) r3.Vec {
	f := b.e.Frame
	w := r3.Sub(at, f.OriginMM)
	radial := r3.Sub(w, r3.Scale(r3.Dot(w, f.Axis), f.Axis))
	if l := r3.Norm(radial); l > 0 {
		radial = r3.Scale(1/l, radial)
	}
	switch b.e.Kind {
	case "rolled_plate":
		return radial
	case "arc", "ring", "coil":
		if b.class() == flat {
			return f.Axis
		}
		if len(b.e.Segments) > 0 {
			return b.run(at)
		}
		t := r3.Cross(f.Axis, radial)
		if b.e.Kind == "coil" {
			pitch, _ := b.e.Dim("pitch_mm")
			d, _ := b.e.Dim("centreline_diameter_mm")
			if b.e.Hand == "left" {
				pitch = -pitch
			}
			t = unit(r3.Add(t, r3.Scale(pitch/(math.Pi*max(d, 1e-9)), f.Axis)))
		}
		return t
	case "sphere", "freeform":
		return r3.Vec{}
	}
	return f.Axis
}

func unit(v r3.Vec) r3.Vec {
	if l := r3.Norm(v); l > 0 {
		return r3.Scale(1/l, v)
	}
	return v
}

// run is the way a bent bar runs near a place: that to which the normals of its
// nearest surface are most nearly square.
func (b *body) run(at r3.Vec) r3.Vec {
	reach, _ := b.e.Dim("section_diameter_mm")
	var n []r3.Vec
	for _, p := range b.points {
		if r3.Norm(r3.Sub(p, at)) < 1.5*reach {
			_, m := b.look(p)
			n = append(n, m)
		}
	}
	best, least := r3.Vec{}, math.Inf(1)
	for i := range n { // the cross product least parallel to all of them
		t := unit(r3.Cross(n[i], n[(i+len(n)/3+1)%len(n)]))
		sum := 0.0
		for _, m := range n {
			sum += math.Abs(r3.Dot(t, m))
		}
		if r3.Norm(t) > 0.5 && sum < least {
			best, least = t, sum
		}
	}
	return best
}

// angleBetween is the angle of a contact, deg; see Contact.
func angleBetween(a, b *body, at r3.Vec) float64 {
	u, v := a.direction(at), b.direction(at)
	if r3.Norm(u) == 0 || r3.Norm(v) == 0 {
		return math.NaN()
	}
	x := math.Atan2(r3.Norm(r3.Cross(u, v)), math.Abs(r3.Dot(u, v))) * 180 / math.Pi
	if (a.class() == flat) != (b.class() == flat) {
		return 90 - x
	}
	return x
}
