package fitup

import (
	"context"
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
			out[k].OpensMM = out[k].GapMM
		}
	}
	for _, list := range m.byContact() {
		t := &m.touches[list[0]]
		if t.contact < 0 {
			continue
		}
		j := &out[t.contact]
		if t.sense != 0 {
			if least, _ := m.open(list); t.sense < 0 && least < 0 {
				j.GapMM = min(j.GapMM, least)
			}
			continue
		}
		j.GapMM, j.OpensMM = m.open(list)
		j.WantedMM = math.Inf(1)
		for _, i := range list {
			j.WantedMM = min(j.WantedMM, m.touches[i].wanted)
		}
	}
	for i := range m.keeps {
		k := &m.keeps[i]
		if j := &out[k.contact]; j.Way != "touch" {
			w, _, _ := m.off(k)
			j.OffMM = r3.Norm(w)
		}
	}
	return out
}

// assembly puts the answer together.
func (m *model) assembly(ctx context.Context, before []Joint) Assembly {
	m.fitEnds()
	out := Assembly{Joints: m.joints(), Datum: m.datum}
	for k := range out.Joints {
		out.Joints[k].BeforeMM = before[k].GapMM
	}
	for i, b := range m.bodies {
		for k, c := range b.shape.cuts {
			if b.cutAt[k] >= 0 || b.fitted[k] || b.reached[k] {
				out.Trims = append(out.Trims, Trim{Part: i, End: k, ByMM: c.slide, LeanDeg: math.Hypot(c.tilt[0], c.tilt[1]) / c.radius * 180 / math.Pi})
			}
		}
		out.Parts = append(out.Parts, b.laid())
		out.Moves = append(out.Moves, Move{ShiftMM: b.shift(), TurnDeg: r3.Scale(180/math.Pi, b.turn())})
	}
	out.Contacts = m.follow()
	for k := range m.relations {
		by := 0.0
		for _, v := range m.values(k) {
			by = max(by, math.Abs(v))
		}
		if by > m.opt.CloseMM {
			out.Broken = append(out.Broken, Break{Relation: k, ByMM: by})
		}
	}
	out.Conflicts = m.conflicts(ctx, out.Joints)
	return out
}
