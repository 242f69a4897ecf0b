package fitup

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// Bounds of the search for the place nearest to two shapes.
const (
	sinkRounds = 60
	sinkMM     = 1e-5
)

// sink leads x down the larger of two shapes' distances: apart, to the middle of
// the shortest way between them, in each other, to the centre of a ball in both;
// value is half the gap. Each step solves both distances, linearised, for one
// lower value, damped where the surfaces face each other.
func sink(a, b *body, x r3.Vec, step float64) (at r3.Vec, value float64) {
	da, na := a.look(x)
	db, nb := b.look(x)
	at, value = x, max(da, db)
	for range sinkRounds {
		want := value - step
		v := leastStep(na, nb, want-da, want-db)
		if l := r3.Norm(v); l > 4*step+math.Abs(da-db) {
			v = r3.Scale((4*step+math.Abs(da-db))/l, v)
		}
		q := r3.Add(at, v)
		qa, ma := a.look(q)
		qb, mb := b.look(q)
		if f := max(qa, qb); f < value-1e-3*step {
			at, value, da, db, na, nb = q, f, qa, qb, ma, mb
			continue
		}
		if step /= 2; step < sinkMM {
			break
		}
	}
	return at, value
}

// leastStep is the shortest v with na·v = ta and nb·v = tb, damped by a thousandth.
func leastStep(na, nb r3.Vec, ta, tb float64) r3.Vec {
	const damp = 1e-3
	aa, ab, bb := r3.Norm2(na)+damp, r3.Dot(na, nb), r3.Norm2(nb)+damp
	det := aa*bb - ab*ab
	x, y := (bb*ta-ab*tb)/det, (aa*tb-ab*ta)/det
	return r3.Add(r3.Scale(x, na), r3.Scale(y, nb))
}

// look is the distance of a place of SITE from a part where it lies now, and its
// gradient.
func (b *body) look(x r3.Vec) (float64, r3.Vec) {
	const h = 1e-4
	q := b.at.local(x)
	d := func(v r3.Vec) float64 {
		return b.shape.distance(r3.Add(q, v)) - b.shape.distance(r3.Sub(q, v))
	}
	n := r3.Vec{X: d(r3.Vec{X: h}), Y: d(r3.Vec{Y: h}), Z: d(r3.Vec{Z: h})}
	return b.shape.distance(q), b.at.dir(unit(n))
}

// asScanned is the part as the scan had it.
func (b *body) asScanned() *body {
	c := *b
	c.shape, c.at = b.scan, b.scanned
	return &c
}

// asNow takes the part where it lies now for what was scanned.
func (b *body) asNow() *body {
	c := *b
	c.scan, c.scanned = b.shape, b.at
	return &c
}

// deepest are touches at the places where two parts come nearest, sought from
// those of the seam.
func (m *model) deepest(c stock.Contact, a, b *body, from []r3.Vec) []touch {
	var out []touch
	best := math.Inf(1)
	type spot struct {
		at    r3.Vec
		value float64
	}
	var spots []spot
	for _, x := range from {
		p, v := sink(a, b, x, m.opt.TouchMM)
		spots = append(spots, spot{p, v})
		best = min(best, v)
	}
	for _, s := range spots {
		if s.value > best+m.opt.TouchMM/4 {
			continue
		}
		fa := a.scan.bear(a.scanned.local(s.at), m.tolerance(a.scan)+math.Abs(s.value))
		fb := b.scan.bear(b.scanned.local(s.at), m.tolerance(b.scan)+math.Abs(s.value))
		if len(fa) == 0 || len(fb) == 0 {
			continue
		}
		if t, ok := m.pair(c, a, b, stock.SeamAt{PointMM: s.at}, fa, fb); ok {
			out = append(out, t)
		}
	}
	return out
}

// halfWay are the places of a seam where the parts lie now.
func (m *model) halfWay(c stock.Contact) []r3.Vec {
	a, b := m.bodies[c.A], m.bodies[c.B]
	var out []r3.Vec
	for _, s := range thinned(c.Seam, touchesMost) {
		out = append(out, r3.Scale(0.5, r3.Add(a.at.point(a.scanned.local(s.PointMM)), b.at.point(b.scanned.local(s.PointMM)))))
	}
	return out
}

// cameApart is the gap between two parts that lay in each other, 0 while they
// still do, beyond what the ideal shapes of the scan leave between them.
func (m *model) cameApart(k int) float64 {
	c := m.contacts[k]
	a, b := m.bodies[c.A], m.bodies[c.B]
	if len(a.shape.faces) == 0 || len(b.shape.faces) == 0 || len(c.Seam) == 0 {
		return 0 // a scan alone: how deep it lies cannot be told
	}
	gap := m.nearest(a, b, m.halfWay(c))
	if gap <= m.opt.CloseMM {
		return gap
	}
	return max(gap-m.apartBefore(c), 0)
}

// apartBefore is the gap that the ideal shapes of the scan leave at a contact.
func (m *model) apartBefore(c stock.Contact) float64 {
	return m.nearest(m.bodies[c.A].asScanned(), m.bodies[c.B].asScanned(), placesOf(thinned(c.Seam, touchesMost)))
}

// nearest is the gap between two parts where they are nearest, sought from places; 0
// where they lie in each other.
func (m *model) nearest(a, b *body, from []r3.Vec) float64 {
	best := math.Inf(1)
	for _, x := range from {
		_, v := sink(a, b, x, m.opt.TouchMM)
		best = min(best, v)
	}
	return max(2*best, 0)
}

// Bounds of the search for places where parts that touch lie in each other beside
// their seam.
const (
	besideMost  = 12 // places of each part
	besideApart = 3  // in touch tolerances: nearer to a known place it is that one
)

// beside makes touches of places away from their seam where parts that touch have
// come to lie in each other: a thicker coil with its next turn. It tells whether
// there were.
func (m *model) beside() bool {
	found := false
	for k, c := range m.contacts {
		if m.way[k] != "touch" {
			continue
		}
		a, b := m.bodies[c.A], m.bodies[c.B]
		for _, t := range m.deepest(c, a.asNow(), b.asNow(), m.deepIn(a, b)) {
			if x := m.now(&t); x.gap < -m.opt.CloseMM && !m.knows(k, x.at) {
				t.contact, t.sense, found = k, -1, true
				m.touches = append(m.touches, t)
			}
		}
	}
	if found {
		m.gather()
		m.number()
	}
	return found
}

// deepIn are the places of either part that lie deepest in the other.
func (m *model) deepIn(a, b *body) []r3.Vec {
	var out []r3.Vec
	for _, o := range [2][2]*body{{a, b}, {b, a}} {
		type place struct {
			at r3.Vec
			d  float64
		}
		var list []place
		for _, q := range o[0].shape.edges {
			p := o[0].at.point(q)
			if r3.Norm(r3.Sub(p, o[1].centre())) > o[1].reachMM {
				continue
			}
			if d := o[1].shape.distance(o[1].at.local(p)); d < -m.opt.CloseMM {
				list = append(list, place{p, d})
			}
		}
		slices.SortStableFunc(list, func(x, y place) int { return cmp.Compare(x.d, y.d) })
		for _, p := range thinned(list, besideMost) {
			out = append(out, p.at)
		}
	}
	return out
}

// knows tells whether a contact has a touch near a place.
func (m *model) knows(k int, at r3.Vec) bool {
	for i := range m.touches {
		t := &m.touches[i]
		if t.contact == k && r3.Norm(r3.Sub(m.now(t).at, at)) < besideApart*m.opt.TouchMM {
			return true
		}
	}
	return false
}

// gather puts the touches of each contact together again.
func (m *model) gather() {
	slices.SortStableFunc(m.touches, func(a, b touch) int {
		return cmp.Or(cmp.Compare(a.contact, b.contact), cmp.Compare(a.a.part, b.a.part), cmp.Compare(b.sense, a.sense))
	})
}

// rejoin adds touches to crossings that came apart; it tells whether there were.
func (m *model) rejoin() bool {
	found := false
	for k, c := range m.contacts {
		if m.way[k] != "crossing" || m.cameApart(k) <= m.opt.CloseMM {
			continue
		}
		wanted := m.apartBefore(c)
		for _, t := range thinned(m.deepest(c, m.bodies[c.A].asNow(), m.bodies[c.B].asNow(), m.halfWay(c)), touchesMost) {
			if !m.knows(k, m.now(&t).at) {
				t.contact, t.sense, t.wanted, found = k, 1, wanted, true
				m.touches = append(m.touches, t)
			}
		}
	}
	if found {
		m.gather()
		m.number()
	}
	return found
}
