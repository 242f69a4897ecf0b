package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// row is one equation: value + Σ val·dx is to be 0, with the root of its weight.
type row struct {
	idx     []int
	val     []float64
	value   float64
	weight  float64
	contact int // -1: none
}

func (r *row) add(i int, v float64) {
	r.idx, r.val = append(r.idx, i), append(r.val, v)
}

// place adds the derivative by a part's motion of n·(a place x of it).
func (r *row) place(b *body, n, x r3.Vec) {
	if b.first < 0 {
		return
	}
	w := r3.Scale(1/b.reachMM, r3.Cross(r3.Sub(x, b.centre()), n))
	for k, v := range []float64{n.X, n.Y, n.Z, w.X, w.Y, w.Z} {
		r.add(b.first+k, v)
	}
}

// Roots of weights, against 1 for a shift of a part of mean area. All rows of a
// contact together have touchWeight: a gap is closed where that takes up to some
// fifty times its size in motion; where it would take more (a lever, a curve's
// second order, noise in nearly parallel rows) it is rather left open. What such a
// weight leaves of other gaps, a part in 2500 of the motion, the next anchor takes
// (see settleAll). Parts that lie in each other, or a part in an opening that will
// be cut to fit, follow each other to a hundredth; parts that touch slide along each
// other as unwillingly as they move; a cut costs a ten-thousandth of what moving
// would.
const (
	touchWeight = 50
	keepWeight  = 10
	slipWeight  = 1
	cutWeight   = 0.01
)

// rows are the equations of contacts and ground.
func (m *model) rows() []row {
	var out []row
	for i := range m.touches {
		if t := &m.touches[i]; t.sense == 0 || m.missing(t) != 0 {
			out = append(out, m.touchRow(t))
		}
	}
	for i := range m.keeps {
		out = append(out, m.keepRows(&m.keeps[i])...)
	}
	return out
}

// missing is what a touch is open or too close by.
func (m *model) missing(t *touch) float64 {
	gap := m.now(t).gap - t.wanted - t.spare
	switch t.sense {
	case 1:
		return max(gap, 0)
	case -1:
		return min(gap, 0)
	}
	return gap
}

func (m *model) touchRow(t *touch) row {
	x := m.now(t)
	r := row{value: x.gap - t.wanted - t.spare, weight: m.pull(t), contact: t.contact}
	r.place(m.body(t.a.part), r3.Scale(-1, x.na), x.at)
	r.place(m.body(t.b.part), r3.Scale(-1, x.nb), x.at)
	for _, s := range []side{t.a, t.b} {
		b := m.body(s.part)
		for _, f := range s.faces {
			if k := b.shape.faces[f].cut; k >= 0 && b.cutAt[k] >= 0 {
				m.cutColumns(&r, t, b, k)
			}
		}
	}
	return r
}

// spareShare of the touch tolerance is the spare gap at which a row counts for half.
const spareShare = 0.2

// pull is the weight of a touch. Where shapes leave a spare gap, only closing would
// be wrong: the wider it is, the less the row holds.
func (m *model) pull(t *touch) float64 {
	return t.weight / math.Hypot(1, t.spare/(spareShare*m.opt.TouchMM))
}

// cutColumns adds the derivatives by a cut, by central differences.
func (m *model) cutColumns(r *row, t *touch, b *body, k int) {
	const h = 1e-3
	c := b.shape.cuts[k]
	was := *c
	for i := range b.cutOf[k] {
		c.adjust(i, h)
		hi := m.now(t).gap
		*c = was
		c.adjust(i, -h)
		lo := m.now(t).gap
		*c = was
		r.add(b.cutAt[k]+i, (hi-lo)/(2*h))
	}
}

func (m *model) keepRows(k *keep) []row {
	w, at, along := m.off(k)
	weight := float64(keepWeight)
	switch {
	case k.held:
		weight = touchWeight
	case k.slips:
		weight = slipWeight
	}
	var out []row
	for _, n := range along {
		r := row{value: r3.Dot(n, w), weight: weight, contact: -1}
		if k.held {
			r.contact = k.contact
		}
		r.place(m.bodies[k.b], n, at)
		r.place(m.bodies[k.a], r3.Scale(-1, n), at)
		out = append(out, r)
	}
	return out
}

// motion are the equations that want everything where its anchor is.
func (m *model) motion() []row {
	var out []row
	one := func(i int, value, weight float64) {
		out = append(out, row{idx: []int{i}, val: []float64{1}, value: value, weight: weight, contact: -1})
	}
	for _, b := range m.bodies {
		if b.first >= 0 {
			s := r3.Sub(b.centre(), b.anchor.point(b.middle))
			w := r3.Scale(b.reachMM, turnBetween(b.anchor, b.at))
			for k, v := range []float64{s.X, s.Y, s.Z, w.X, w.Y, w.Z} {
				one(b.first+k, v, b.weight)
			}
		}
		for k, at := range b.cutAt {
			for i := range b.cutOf[k] {
				c, was := b.shape.cuts[k], b.anchored[k]
				one(at+i, [3]float64{c.slide - was[0], c.tilt[0] - was[1], c.tilt[1] - was[2]}[i], cutWeight)
			}
		}
	}
	for _, x := range m.mirrors {
		for k := range 3 {
			one(x.first+k, 0, cutWeight)
		}
	}
	return out
}

// shift and turn are how far a part lies from where it was scanned, mm and rad.
func (b *body) shift() r3.Vec { return r3.Sub(b.centre(), b.scanned.point(b.middle)) }
func (b *body) turn() r3.Vec  { return turnBetween(b.scanned, b.at) }

// settleHere makes the anchor of a part the place where it is.
func (b *body) settleHere() {
	b.anchor = b.at
	for k, c := range b.shape.cuts {
		if c != nil {
			b.anchored[k] = [3]float64{c.slide, c.tilt[0], c.tilt[1]}
		}
	}
}
