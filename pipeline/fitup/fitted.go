package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// fitEnds moves the ends of long parts that lie in another, and are cut to fit it,
// as far as the other's surface went: a branch on a thicker main is shorter. Along
// each generator of the section that the seam crosses, what counts is how much
// further out the surface of the sized host is met than that of the scanned one;
// the end goes by their mean.
func (m *model) fitEnds() {
	for k, c := range m.contacts {
		if m.way[k] != "crossing" {
			continue
		}
		for _, x := range [2][2]int{{c.A, c.B}, {c.B, c.A}} {
			guest, host := m.bodies[x[0]], m.bodies[x[1]]
			if guest.part.Made || guest.was.Made {
				continue
			}
			for end, cut := range guest.shape.cuts {
				if cut != nil && guest.scan.cuts[end] != nil && guest.cutAt[end] < 0 && m.endsIn(guest, host, end) {
					if by, ok := m.further(k, guest, host, end); ok {
						cut.adjust(0, by)
						guest.fitted[end] = true
					}
				}
			}
		}
	}
}

// endsIn tells whether the scanned end of a part lies in another, its hollow
// counted as metal.
func (m *model) endsIn(guest, host *body, end int) bool {
	at, _, _ := guest.scan.cuts[end].place()
	return len(host.scan.faces) > 0 && host.scan.filled(host.scanned.local(guest.scanned.point(at))) <= m.opt.TouchMM
}

// filled is the distance from a shape without its bores and holes.
func (s *shape) filled(q r3.Vec) float64 {
	most := math.Inf(-1)
	for i := range s.faces {
		if f := &s.faces[i]; f.on == nil && !opening(f.name) && f.name != "inside" {
			most = max(most, f.dist(q))
		}
	}
	return most
}

// further is the mean way along the guest's run by which the sized host is met
// further out than the scanned one; false where the seam does not go round that end.
func (m *model) further(k int, guest, host *body, end int) (float64, bool) {
	side := guest.shape.face("side")
	sum, n := 0.0, 0.0
	for _, s := range thinned(m.contacts[k].Seam, 4*touchesMost) {
		q := guest.scanned.local(s.PointMM)
		if side < 0 || math.Abs(guest.scan.faces[guest.scan.face("side")].dist(q)) > m.opt.TouchMM {
			continue
		}
		_, _, way := guest.scan.cuts[end].place()
		was, ok := m.met(guest.scanned, q, way, host.scan, host.scanned)
		_, _, way = guest.shape.cuts[end].place()
		now, fine := m.met(guest.at, guest.shape.onto([]int{side}, q), way, host.shape, host.at)
		if ok && fine {
			sum, n = sum+now-was, n+1
		}
	}
	if n < 3 {
		return 0, false
	}
	return sum / n, true
}

// met is how far along a line of a guest, from q on, the surface of its host is
// crossed, by the secant method near q.
func (m *model) met(at pose, q, way r3.Vec, host *shape, there pose) (float64, bool) {
	gap := func(s float64) float64 {
		return host.filled(there.local(at.point(r3.Add(q, r3.Scale(s, way)))))
	}
	limit := rollTouches * m.opt.TouchMM
	a, b := 0.0, -0.1
	fa, fb := gap(a), gap(b)
	for range 30 {
		if math.Abs(fb) < 1e-6 {
			return b, true
		}
		if fa == fb {
			return 0, false
		}
		next := b - fb*(b-a)/(fb-fa)
		if math.Abs(next) > limit || math.IsNaN(next) {
			return 0, false
		}
		a, fa, b = b, fb, next
		fb = gap(b)
	}
	return 0, false
}
