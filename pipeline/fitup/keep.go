package fitup

import (
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// keep holds two parts that lie in each other where they were: the middle of
// their seam, in the own frame of each, is one place. Of a part that passes
// through another only what is square to its run counts; way is that run in A's or
// B's frame.
type keep struct {
	contact int
	a, b    int
	qa, qb  r3.Vec
	guest   int // the part that passes through; -1: none does
	way     r3.Vec
	held    bool // the opening is a bore or hole of its own: exactly in its middle
	slips   bool // of a touch: way is the normal of A, along which it closes
}

// newSlip keeps parts that touch from sliding along each other for little: to
// where they do not meet any more, at the worst.
func newSlip(k int, c stock.Contact, a, b *body, normal r3.Vec) keep {
	x := newKeep(k, c, a, b, false)
	x.guest, x.way, x.slips = c.A, a.scanned.localDir(normal), true
	return x
}

func newKeep(k int, c stock.Contact, a, b *body, nested bool) keep {
	var mid r3.Vec
	for _, s := range c.Seam {
		mid = r3.Add(mid, r3.Scale(1/float64(len(c.Seam)), s.PointMM))
	}
	x := keep{contact: k, a: c.A, b: c.B, guest: -1}
	if guest, host := passing(c, a, b); c.Through && guest != nil {
		q := guest.scanned.local(mid)
		p, t := guest.scan.run.at(guest.scan.run.foot(q))
		mid, x.way, x.guest = guest.scanned.point(p), t, c.A
		if guest == b {
			x.guest = c.B
		}
		x.held = host.scan.opens(host.scanned.local(mid), nested)
	}
	x.qa, x.qb = a.scanned.local(mid), b.scanned.local(mid)
	return x
}

// passing is the long part of a contact that goes through the other: the one that
// the kind names first, or of two of one kind the thinner.
func passing(c stock.Contact, a, b *body) (guest, host *body) {
	long := func(x *body) bool { return x.scan.run != nil }
	switch {
	case long(a) && !long(b):
		return a, b
	case long(b) && !long(a):
		return b, a
	case !long(a):
		return nil, nil
	}
	first, _, _ := strings.Cut(c.Kind, " ")
	switch {
	case first == a.was.Kind && first != b.was.Kind, first == a.was.Kind && sectionOf(a) <= sectionOf(b):
		return a, b
	}
	return b, a
}

func sectionOf(b *body) float64 {
	z := sizes{b.was}
	return max(z.mm("outside_diameter_mm"), z.mm("section_diameter_mm"), z.mm("thickness_mm"))
}

// opens tells whether q lies in a bore or hole of the shape; in that of a tube only
// what sits in it along its run, not what crosses it.
func (s *shape) opens(q r3.Vec, nested bool) bool {
	for i := range s.faces {
		if f := s.faces[i]; opening(f.name) && f.on == nil && (s.run == nil || nested) && f.dist(q) > 0 {
			return true
		}
	}
	return false
}

// off is how far the two places are from each other, and the directions of SITE
// that count.
func (m *model) off(k *keep) (w r3.Vec, at r3.Vec, along []r3.Vec) {
	a, b := m.bodies[k.a], m.bodies[k.b]
	pa, pb := a.at.point(k.qa), b.at.point(k.qb)
	w, at = r3.Sub(pb, pa), r3.Scale(0.5, r3.Add(pa, pb))
	if k.guest < 0 {
		return w, at, []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
	}
	d := m.bodies[k.guest].at.dir(k.way)
	e, f := square(d)
	return across(w, d), at, []r3.Vec{e, f}
}
