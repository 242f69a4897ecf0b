package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// follow are the contacts where the sized parts lie now: each point of a seam goes
// by the mean of the motions of both parts, then on to the line in which their
// surfaces meet; normals are those of the sized surfaces there. Length follows the
// points, the angle the axes. The derivation is ours.
func (m *model) follow() []stock.Contact {
	out := make([]stock.Contact, len(m.contacts))
	for k, c := range m.contacts {
		a, b := m.bodies[c.A], m.bodies[c.B]
		x := c
		x.Seam = m.seamNow(a, b, c.Seam)
		if was := seamLength(c.Seam); was > 0 {
			x.LengthMM = c.LengthMM * seamLength(x.Seam) / was
		}
		x.AngleDeg += axesDeg(a.at, b.at) - axesDeg(a.scanned, b.scanned)
		out[k] = x
	}
	return out
}

// lostMost is the share of a seam's points for which the line in which both surfaces
// meet may be missed: beyond it the whole seam rides, so that it does not zigzag.
const lostMost = 0.1

// seamNow moves the points of a seam: all by the mean of the motions where they are
// not found again.
func (m *model) seamNow(a, b *body, seam []stock.SeamAt) []stock.SeamAt {
	met, ridden, lost := make([]stock.SeamAt, len(seam)), make([]stock.SeamAt, len(seam)), 0
	for i, s := range seam {
		found := false
		if ridden[i], met[i], found = m.pointNow(a, b, s); !found {
			met[i] = ridden[i]
			lost++
		}
	}
	if float64(lost) > lostMost*float64(len(seam)) {
		return ridden
	}
	return met
}

// pointNow moves one point of a seam by the mean of the motions, and from there to
// where both meet: false where a surface of the scan is not found again, or that
// place is far or off the metal.
func (m *model) pointNow(a, b *body, s stock.SeamAt) (ridden, met stock.SeamAt, found bool) {
	qa, qb := a.scanned.local(s.PointMM), b.scanned.local(s.PointMM)
	na, nb := a.scanned.localDir(s.A), b.scanned.localDir(s.B)
	mean := r3.Scale(0.5, r3.Add(a.at.point(qa), b.at.point(qb)))
	ridden = stock.SeamAt{Run: s.Run, PointMM: mean, A: a.at.dir(na), B: b.at.dir(nb)}
	fa, fb := a.again(qa, na), b.again(qb, nb)
	if fa < 0 || fb < 0 {
		return ridden, met, false
	}
	ha, hb := half{s: a.shape, at: a.at, faces: []int{fa}}, half{s: b.shape, at: b.at, faces: []int{fb}}
	p := mean
	for range seamRounds {
		p = r3.Add(p, toBoth(ha.distance(p), hb.distance(p), ha.normal(p), hb.normal(p)))
	}
	met = stock.SeamAt{Run: s.Run, PointMM: p, A: ha.normal(p), B: hb.normal(p)}
	near := r3.Norm(r3.Sub(p, mean)) <= rollTouches*m.opt.TouchMM
	return ridden, met, near && max(a.off(p, hb.flat()), b.off(p, ha.flat())) <= m.opt.TouchMM
}

// off is how far a place lies outside the part. Its ends that are cut to fit bound
// nothing, nor does any where it meets what is round: there it is coped.
func (b *body) off(p r3.Vec, onFlat bool) float64 {
	q, most := b.at.local(p), math.Inf(-1)
	for _, f := range b.shape.faces {
		if f.on == nil && (f.cut < 0 || onFlat && !b.fitted[f.cut]) {
			most = max(most, f.dist(q))
		}
	}
	return most
}

// seamRounds of Newton's method: the distances bend little within a touch.
const seamRounds = 5

// againCos is how much a surface of the scan and the seam's normal agree: 45°, as
// normals of a weld's neighbours wander.
const againCos = 0.7

// again is the face of the sized shape on which a place of the scan lay with its
// normal, -1 where there is none. An end that is cut to fit what it meets has no face
// any more: its seam is where the side goes in.
func (b *body) again(q, n r3.Vec) int {
	best := b.scan.under(q, func(i int) bool { return r3.Dot(b.scan.normal(i, q), n) >= againCos })
	if best >= 0 && b.scan.faces[best].cut >= 0 && b.fitted[b.scan.faces[best].cut] {
		best = b.scan.under(q, func(i int) bool { return b.scan.faces[i].cut < 0 })
	}
	if best < 0 {
		return -1
	}
	return b.sizedFace(best)
}

// under is the face that bears nearest to a place, of those that may be; -1: none.
func (s *shape) under(q r3.Vec, may func(i int) bool) int {
	best, least := -1, math.Inf(1)
	for i, f := range s.faces {
		if !f.bears || !may(i) {
			continue
		}
		d := math.Abs(f.dist(q))
		if f.on != nil {
			d = max(d, f.on(q))
		}
		if d < least {
			best, least = i, d
		}
	}
	return best
}

// toBoth is the least step from a place at distances da, db of two surfaces with
// normals na, nb to the line in which they meet; of surfaces that face each other,
// within some 10°, to halfway between them.
func toBoth(da, db float64, na, nb r3.Vec) r3.Vec {
	c := r3.Dot(na, nb)
	det := 1 - c*c
	if det < 0.03 {
		if c > 0 { // flush
			return r3.Scale(-(da+db)/2, na)
		}
		return r3.Scale(-(da-db)/2, na)
	}
	u, v := (da-c*db)/det, (db-c*da)/det
	return r3.Scale(-1, r3.Add(r3.Scale(u, na), r3.Scale(v, nb)))
}

// seamLength is that of all runs of a seam.
func seamLength(seam []stock.SeamAt) float64 {
	sum := 0.0
	for i, s := range seam {
		if i > 0 && seam[i-1].Run == s.Run {
			sum += r3.Norm(r3.Sub(s.PointMM, seam[i-1].PointMM))
		}
	}
	return sum
}

// axesDeg is the angle between the axes of two parts, 0° to 90°.
func axesDeg(a, b pose) float64 {
	return math.Atan2(r3.Norm(r3.Cross(a.z, b.z)), math.Abs(r3.Dot(a.z, b.z))) * 180 / math.Pi
}
