package fitup

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// side is what of a part bears at a touch: one face, the edge of two, the corner
// of three, or none: then the place itself, which rides with the part. At is the
// place in the part's own frame. Faces are numbers of the sized shape, was those
// of the scanned one.
type side struct {
	part       int
	faces, was []int
	at         r3.Vec
}

// touch is one place where two parts are to meet: face before face, an edge of
// one on the other's face, or two edges.
type touch struct {
	contact int // -1: the ground
	a, b    side
	wanted  float64 // gap, mm, as in the scan
	weight  float64 // root
	sense   int     // 1: only a gap counts, -1: only an overlap
	uneven  bool    // its contact touches only where it is closest
	spare   float64 // what shapes leave open here beside the place that touches
}

// touchesMost is the number of places that stand for a seam: a plane needs three,
// and twelve even out what the scan's seam has of noise.
const touchesMost = 12

// meet reads how a contact's parts met in the scan.
//
// The place of a seam lies on both parts. Where it lies on a part's end or edge,
// that edge bears; where it lies amid faces, those do if they look at each other.
// Amid faces that cross, nothing bears: the parts lie in each other there. A
// contact is a touch if no part of it is deep and most of its seam bears; where the
// seam shows too little, the places tell at which the parts are nearest.
func (m *model) meet(k int) {
	c := m.contacts[k]
	if list := m.touching(k); len(list) > 0 {
		m.way[k] = "touch"
		m.touches = append(m.touches, list...)
		if len(c.Seam) > 0 {
			c.Through = false
			m.keeps = append(m.keeps, newSlip(k, c, m.bodies[c.A], m.bodies[c.B], m.scanned(&list[0]).na))
		}
		return
	}
	m.way[k] = "crossing"
	nested := m.nested(k)
	if c.Through = c.Through || nested; c.Through {
		m.way[k] = "through"
	}
	if len(c.Seam) > 0 {
		m.keeps = append(m.keeps, newKeep(k, c, m.bodies[c.A], m.bodies[c.B], nested))
	}
}

// nested tells a part that sits in a bore or hole of the other: surfaces that face
// each other all round leave it no way to go. The opening is cut to fit.
func (m *model) nested(k int) bool {
	n := 0
	list := m.bearing(k)
	for _, t := range list {
		for _, s := range []side{t.a, t.b} {
			for _, f := range s.faces {
				if name := m.bodies[s.part].shape.faces[f].name; opening(name) {
					n++
				}
			}
		}
	}
	return 2*n > len(list)
}

// opening tells the wall of a bore or hole.
func opening(face string) bool { return face == "bore" || strings.HasPrefix(face, "hole") }

func (m *model) touching(k int) []touch {
	c := m.contacts[k]
	if c.Through || c.GapMM < -m.opt.TouchMM || m.nested(k) {
		return nil
	}
	list := m.bearing(k)
	point := c.Kind == "point" || c.Kind == "line"
	if 2*len(list) >= len(c.Seam) || point && len(list) > 0 {
		return thinned(list, touchesMost)
	}
	a, b := m.bodies[c.A], m.bodies[c.B]
	if min(a.scan.thinMM, b.scan.thinMM) < 2*m.opt.TouchMM {
		return nil // thin metal lies in the other with all of it
	}
	var more []touch
	for _, t := range m.deepest(c, a.asScanned(), b.asScanned(), placesOf(thinned(c.Seam, touchesMost))) {
		t.contact, t.a.faces, t.b.faces = k, t.a.was, t.b.was
		if t, ok := named(t, a, b); ok && m.wants(&t) {
			more = append(more, t)
		}
	}
	return m.shaped(more)
}

func placesOf(seam []stock.SeamAt) []r3.Vec {
	var out []r3.Vec
	for _, s := range seam {
		out = append(out, s.PointMM)
	}
	return out
}

func thinned[T any](list []T, most int) []T {
	n := len(list)
	if n <= most {
		return list
	}
	out := make([]T, most)
	for i := range out {
		out[i] = list[i*n/most]
	}
	return out
}

// bearing are the touches along a contact's seam. A place off a part's ideal
// surface says nothing, but of a freeform, or of a wheel where nothing else bears:
// there it rides with the part.
func (m *model) bearing(k int) []touch {
	c := m.contacts[k]
	a, b := m.bodies[c.A], m.bodies[c.B]
	reach := max(c.GapMM, 0)
	var out, ride []touch
	for _, s := range c.Seam {
		qa, qb := a.scanned.local(s.PointMM), b.scanned.local(s.PointMM)
		fa, fb := a.scan.bear(qa, reach+m.tolerance(a.scan)), b.scan.bear(qb, reach+m.tolerance(b.scan))
		t, ok := m.pair(c, a, b, s, fa, fb)
		if !ok || len(fa) == 0 && !a.rides() || len(fb) == 0 && !b.rides() {
			continue
		}
		t.contact = k
		if !m.wants(&t) {
			continue // beside the place that touches
		}
		if len(fa) == 0 || len(fb) == 0 {
			ride = append(ride, t)
			continue
		}
		out = append(out, t)
	}
	if len(out) == 0 {
		out = ride
	}
	return m.shaped(out)
}

// wants sets the gap that a touch is to have; false where the scan shows none that
// belongs to its contact: one that is open only beside the place that touches, or parts
// that lie in each other.
func (m *model) wants(t *touch) bool {
	gap := m.scanned(t).gap
	if math.Abs(gap) <= m.opt.TouchMM {
		return true
	}
	if t.wanted = gap; gap < 0 {
		return false
	}
	return m.contacts[t.contact].GapMM > m.opt.TouchMM
}

// shaped marks a contact where an edge bears on a round face, or on another edge: a
// square end touches a round side at two places, and how far off it stays between
// them follows from its size.
func (m *model) shaped(list []touch) []touch {
	least, uneven := math.Inf(1), false
	for i := range list {
		t := &list[i]
		least = min(least, t.wanted)
		uneven = uneven || m.uneven(t.a, t.b) || m.uneven(t.b, t.a)
	}
	for i := range list {
		if uneven {
			list[i].wanted, list[i].uneven = least, true
		}
	}
	return list
}

// uneven tells an edge of one part on a round face or an edge of the other.
func (m *model) uneven(edge, on side) bool {
	if len(edge.faces) < 2 {
		return false
	}
	return len(on.faces) > 1 || len(on.faces) == 1 && !m.body(on.part).shape.faces[on.faces[0]].flat
}

// rides tells a part whose places may ride with it.
func (b *body) rides() bool { return len(b.scan.faces) == 0 || b.was.Kind == "toothed_wheel" }

// tolerance is how far from a face a seam's place may lie and still be on it:
// less than what parts it from the face behind.
func (m *model) tolerance(s *shape) float64 {
	if s.thinMM > 0 {
		return min(m.opt.TouchMM, 0.4*s.thinMM)
	}
	return m.opt.TouchMM
}

// bear are the faces on which q lies; none where it is off the shape.
func (s *shape) bear(q r3.Vec, within float64) []int {
	var out []int
	for i := range s.faces {
		f := &s.faces[i]
		d := f.dist(q)
		switch {
		case f.on != nil:
			d = -f.on(q)
		case d > within:
			return nil
		}
		if d >= -within && f.bears {
			out = append(out, i)
		}
	}
	return out
}

// Cosines of the angle between two outward normals.
const (
	facing = -0.9   // 25°: the faces look at each other
	flush  = -0.996 // 5°: they do so entirely
)

// pair tells which faces or edges bear on each other at a place of a seam.
func (m *model) pair(c stock.Contact, a, b *body, s stock.SeamAt, fa, fb []int) (touch, bool) {
	t := touch{a: side{part: c.A, at: a.scanned.local(s.PointMM)}, b: side{part: c.B, at: b.scanned.local(s.PointMM)}}
	switch {
	case len(fa) == 0 && len(fb) == 0:
		return t, false
	case len(fa) == 0: // a place that rides with A on a face of B
		t.b.faces = []int{b.most(fb, t.b.at, r3.Scale(-1, s.A))}
		return named(t, a, b)
	case len(fb) == 0:
		t.a.faces = []int{a.most(fa, t.a.at, r3.Scale(-1, s.B))}
		return named(t, a, b)
	}
	best, at := 1.0, [2]int{}
	for _, i := range fa {
		for _, j := range fb {
			if !a.fits(i, b.scan.faces[j].flat) || !b.fits(j, a.scan.faces[i].flat) {
				continue
			}
			if x := r3.Dot(a.normal(i, t.a.at), b.normal(j, t.b.at)); x < best {
				best, at = x, [2]int{i, j}
			}
		}
	}
	fi, fj := a.scan.faces[at[0]], b.scan.faces[at[1]]
	level := fi.flat && fj.flat
	inner := !level && len(fa) == 1 && len(fb) == 1
	rolls := fi.cut < 0 && fj.cut < 0 || level
	if best < flush && rolls || best < facing && inner {
		t.a.faces, t.b.faces = []int{at[0]}, []int{at[1]}
		return named(t, a, b)
	}
	return onEdge(t, a, b, fa, fb)
}

// onEdge is a touch of an edge of one part on a face of the other, or of two
// edges: the way apart has to lie between the normals of each.
func onEdge(t touch, a, b *body, fa, fb []int) (touch, bool) {
	t.a.faces, t.b.faces = fa, fb
	switch {
	case len(fa) >= 2 && len(fb) == 1:
		if !a.between(fa, t.a.at, r3.Scale(-1, b.normal(fb[0], t.b.at))) || !a.planed(fa, b, fb[0]) {
			return t, false
		}
	case len(fa) == 1 && len(fb) >= 2:
		if !b.between(fb, t.b.at, r3.Scale(-1, a.normal(fa[0], t.a.at))) || !b.planed(fb, a, fa[0]) {
			return t, false
		}
	case len(fa) == 2 && len(fb) == 2:
		n, ok := apart(a.edgeWay(fa, t.a.at), b.edgeWay(fb, t.b.at), a.outwards(fa, t.a.at))
		if ok && !(a.between(fa, t.a.at, n) && b.between(fb, t.b.at, r3.Scale(-1, n))) {
			return t, false
		}
		if !ok && r3.Dot(a.outwards(fa, t.a.at), b.outwards(fb, t.b.at)) > 0.2 {
			return t, false
		}
	default:
		return t, false
	}
	return named(t, a, b)
}

// planed tells whether an edge that ends in a cut was cut to a plane, or meets
// one; a saddle on a round side is cut to fit and bears nowhere.
func (b *body) planed(faces []int, other *body, on int) bool {
	for _, f := range faces {
		if !b.fits(f, other.scan.faces[on].flat) {
			return false
		}
	}
	return true
}

// fits tells whether a face may bear on another, flat or not.
func (b *body) fits(i int, onFlat bool) bool {
	k := b.scan.faces[i].cut
	return k < 0 || b.scan.cuts[k].planed || onFlat
}

// normal is that of a face as scanned, in SITE.
func (b *body) normal(i int, q r3.Vec) r3.Vec { return b.scanned.dir(b.scan.normal(i, q)) }

// most is the face whose normal is nearest to a direction of SITE.
func (b *body) most(faces []int, q, n r3.Vec) int {
	best, at := math.Inf(-1), faces[0]
	for _, i := range faces {
		if x := r3.Dot(b.normal(i, q), n); x > best {
			best, at = x, i
		}
	}
	return at
}

// outwards is the mean normal of faces.
func (b *body) outwards(faces []int, q r3.Vec) r3.Vec {
	var sum r3.Vec
	for _, i := range faces {
		sum = r3.Add(sum, b.normal(i, q))
	}
	return unit(sum)
}

// leaning is how far a way apart may lie outside the wedge of an edge's normals,
// as a sine: the scan's own tilt.
const leaning = 0.15

// between tells whether n lies between the normals of an edge or corner.
func (b *body) between(faces []int, q, n r3.Vec) bool {
	if len(faces) != 2 {
		return r3.Dot(b.outwards(faces, q), n) > 0.3
	}
	u, v := b.normal(faces[0], q), b.normal(faces[1], q)
	c := r3.Dot(u, v)
	det := 1 - c*c
	if det < 1e-6 {
		return r3.Dot(u, n) > 0.3
	}
	x, y := (r3.Dot(u, n)-c*r3.Dot(v, n))/det, (r3.Dot(v, n)-c*r3.Dot(u, n))/det
	rest := r3.Norm(r3.Sub(n, r3.Add(r3.Scale(x, u), r3.Scale(y, v))))
	return x > -leaning && y > -leaning && rest < 0.5
}

// edgeWay is the direction along the edge of two faces, in SITE.
func (b *body) edgeWay(faces []int, q r3.Vec) r3.Vec {
	return unit(r3.Cross(b.normal(faces[0], q), b.normal(faces[1], q)))
}

// apart is the way square to two edges, away from the first part; false where
// the edges run along each other.
func apart(ea, eb, out r3.Vec) (r3.Vec, bool) {
	n := r3.Cross(ea, eb)
	if r3.Norm(n) < 0.1 {
		return n, false
	}
	n = unit(n)
	if r3.Dot(n, out) < 0 {
		n = r3.Scale(-1, n)
	}
	return n, true
}

// named turns numbers of the scanned shapes' faces into those of the sized ones;
// false where stock has no such face.
func named(t touch, a, b *body) (touch, bool) {
	var ok [2]bool
	t.a, ok[0] = t.a.named(a)
	t.b, ok[1] = t.b.named(b)
	return t, ok[0] && ok[1]
}

func (s side) named(b *body) (side, bool) {
	s.was, s.faces = s.faces, nil
	for _, f := range s.was {
		i := b.sizedFace(f)
		if i < 0 || slices.Contains(s.faces, i) {
			return s, false
		}
		s.faces = append(s.faces, i)
	}
	return s, true
}

// sizedFace is the sized shape's face for one of the scanned shape, -1 where stock has
// no such face. A step of an outline is the one that lies nearest to it and looks the
// same way: a section of stock begins at a corner of its own, and has the corners of
// its standard.
func (b *body) sizedFace(f int) int {
	was := &b.scan.faces[f]
	if was.on == nil {
		return b.shape.face(was.name)
	}
	best, at := math.Inf(1), -1
	for i := range b.shape.faces {
		now := &b.shape.faces[i]
		if now.loop != was.loop || now.on == nil || r3.Dot(now.way(now.mid), was.way(was.mid)) < likeWay {
			continue
		}
		if d := r3.Norm(r3.Sub(now.mid, was.mid)); d < best {
			best, at = d, i
		}
	}
	return at
}

// likeWay is the cosine of 45°: corners of an outline turn by more as a rule.
const likeWay = 0.7

// endSeen tells whether the scan showed an end of a long part.
func (b *body) endSeen(k int) bool {
	c := b.scan.cuts[k]
	if c == nil || c.derived {
		return false
	}
	for _, e := range b.was.Ends {
		if e.Out != (r3.Vec{}) && r3.Dot(b.scanned.localDir(e.Out), c.out) > 0.999 {
			return e.Kind != "open" && e.Kind != "hidden"
		}
	}
	return false
}
