package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// lowShare of the touch tolerance is how far above a part's lowest place others
// count as lying on the ground too.
const lowShare = 0.3

// stand adds the touches of a part with the ground: where it was lowest.
func (m *model) stand(i int) {
	b := m.bodies[i]
	low := lowest(b.scan, b.scanned, b.was)
	var list []touch
	for _, q := range b.scan.edges {
		p := b.scanned.point(q)
		if p.Z > low+lowShare*m.opt.TouchMM {
			continue
		}
		fa := b.scan.bear(q, m.tolerance(b.scan))
		t, ok := m.pair(stock.Contact{A: i, B: ground}, b, m.floor, stock.SeamAt{PointMM: p, A: r3.Vec{Z: -1}, B: r3.Vec{Z: 1}}, fa, []int{0})
		if t.contact = -1; ok {
			list = append(list, t)
		}
	}
	if len(list) == 0 { // a freeform: its box's lowest place rides with it
		p := b.scanned.point(b.middle)
		p.Z = low
		list = []touch{{contact: -1, a: side{part: i, at: b.scanned.local(p)}, b: side{part: ground, faces: []int{0}, was: []int{0}, at: p}}}
	}
	m.touches = append(m.touches, thinned(list, touchesMost)...)
}

// onGround tells whether a part stands on the ground itself, and not on a thin
// part that does.
func (m *model) onGround(i int, low []float64) bool {
	if math.Abs(low[i]) > m.opt.TouchMM {
		return false
	}
	for _, c := range m.contacts {
		o := c.A + c.B - i
		if c.A != i && c.B != i || low[o] >= low[i] || len(c.Seam) == 0 {
			continue
		}
		at := 0.0
		for _, s := range c.Seam {
			at = max(at, s.PointMM.Z)
		}
		if at <= low[i]+m.opt.TouchMM {
			return false
		}
	}
	return true
}
