package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// joints measures all contacts as the parts lie now; BeforeMM is left out.
func (m *model) joints() []Joint {
	out := make([]Joint, len(m.contacts))
	for k, c := range m.contacts {
		out[k] = Joint{A: c.A, B: c.B, Way: m.way[k]}
		if m.way[k] == "crossing" {
			out[k].GapMM = m.cameApart(k)
		}
	}
	for i := range m.touches {
		t := &m.touches[i]
		if t.contact < 0 {
			continue
		}
		j := &out[t.contact]
		if gap := m.now(t).gap - t.wanted; math.Abs(gap) > math.Abs(j.GapMM) {
			j.GapMM = gap
		}
		if math.Abs(t.wanted) > math.Abs(j.WantedMM) {
			j.WantedMM = t.wanted
		}
	}
	for i := range m.keeps {
		k := &m.keeps[i]
		if m.way[k.contact] == "through" {
			w, _, _ := m.off(k)
			out[k.contact].GapMM = r3.Norm(w)
		}
	}
	return out
}

// cameApart is the gap between two parts that lay in each other, 0 while they
// still do: twice the least over places x of the larger distance, found by steps
// down from the places of the seam.
func (m *model) cameApart(k int) float64 {
	c := m.contacts[k]
	a, b := m.bodies[c.A], m.bodies[c.B]
	if len(a.shape.faces) == 0 || len(b.shape.faces) == 0 || len(c.Seam) == 0 {
		return 0 // a scan alone: how deep it lies cannot be told
	}
	best := math.Inf(1)
	for _, s := range thinned(c.Seam, touchesMost) {
		x := r3.Scale(0.5, r3.Add(a.at.point(a.scanned.local(s.PointMM)), b.at.point(b.scanned.local(s.PointMM))))
		step := m.opt.TouchMM
		at := func(p r3.Vec) float64 {
			return max(a.shape.distance(a.at.local(p)), b.shape.distance(b.at.local(p)))
		}
		value := at(x)
		for value > 0 && step > 1e-4 {
			n := a.outward(x)
			if b.shape.distance(b.at.local(x)) > a.shape.distance(a.at.local(x)) {
				n = b.outward(x)
			}
			p := r3.Sub(x, r3.Scale(min(step, value), n))
			if v := at(p); v < value {
				x, value = p, v
				continue
			}
			step /= 2
		}
		best = min(best, value)
	}
	return max(2*best, 0)
}

// outward is the gradient of a part's distance, in SITE.
func (b *body) outward(x r3.Vec) r3.Vec {
	const h = 1e-4
	q := b.at.local(x)
	d := func(v r3.Vec) float64 {
		return b.shape.distance(r3.Add(q, v)) - b.shape.distance(r3.Sub(q, v))
	}
	return b.at.dir(unit(r3.Vec{X: d(r3.Vec{X: h}), Y: d(r3.Vec{Y: h}), Z: d(r3.Vec{Z: h})}))
}

// assembly puts the answer together.
func (m *model) assembly(before []Joint) Assembly {
	out := Assembly{Joints: m.joints(), Datum: m.datum}
	for k := range out.Joints {
		out.Joints[k].BeforeMM = before[k].GapMM
	}
	for i, b := range m.bodies {
		for k, c := range b.shape.cuts {
			if b.cutAt[k] >= 0 {
				out.Trims = append(out.Trims, Trim{Part: i, End: k, ByMM: c.slide, LeanDeg: math.Hypot(c.tilt[0], c.tilt[1]) / c.radius * 180 / math.Pi})
			}
		}
		out.Parts = append(out.Parts, b.laid())
		out.Moves = append(out.Moves, Move{ShiftMM: b.shift(), TurnDeg: r3.Scale(180/math.Pi, b.turn())})
	}
	for k := range m.relations {
		by := 0.0
		for _, v := range m.values(k) {
			by = max(by, math.Abs(v))
		}
		if by > m.opt.CloseMM {
			out.Broken = append(out.Broken, Break{Relation: k, ByMM: by})
		}
	}
	out.Conflicts = m.conflicts(out.Joints)
	return out
}
