package pipeline

import (
	"fmt"

	"pointup/pipeline/result"
	"pointup/pipeline/rig"
	"pointup/pipeline/shop"
)

// orderDoc writes the build order of every connected part of the work, nil where
// nothing is joined.
func (w *work) orderDoc() *result.Order {
	m := w.metal
	if len(m.orders) == 0 {
		return nil
	}
	out := &result.Order{Loose: w.ids(m.loose), Assumptions: append(shop.OrderAssumptions(), shop.FitUpAssumptions()...)}
	for _, o := range m.orders {
		b := result.Build{Exact: o.Exact, Best: w.planDoc(o.Best), Plain: w.planDoc(o.Plain)}
		for k, s := range o.Best.Steps {
			b.Steps = append(b.Steps, w.stepDoc(s, o.pack[k]))
		}
		b.Benched = w.benchedDoc(o.benched, "sub-assembly")
		out.Builds = append(out.Builds, b)
	}
	return out
}

// benchedDoc writes a build in units, whose sub-assemblies are numbered; nil for nil.
func (w *work) benchedDoc(b *benched, name string) *result.Benched {
	if b == nil {
		return nil
	}
	out := &result.Benched{Set: w.planDoc(b.Set), OverheadM: result.Factor(round3(b.OverheadM)), Hours: result.Hours(b.Hours), Assumptions: shop.BenchAssumptions()}
	with := map[int]result.List[string]{}
	for k, u := range b.Units {
		if len(u.Parts) < 2 {
			continue
		}
		s := result.SubAssembly{Name: fmt.Sprintf("%s %d", name, len(out.SubAssemblies)+1), Elements: w.ids(u.Parts), Bench: w.planDoc(u.Bench)}
		for i, step := range u.Bench.Steps {
			s.Steps = append(s.Steps, w.stepDoc(step, b.bench[k][i]))
		}
		if bodies := w.metal.bodiesOf(s.Elements); len(bodies) == len(u.Parts) {
			if m, err := rig.MassOf(bodies); err == nil {
				mass := weighedDoc("", m)
				s.Mass = &mass
			}
		}
		for _, i := range u.Parts {
			if i != u.Lead {
				with[u.Lead] = append(with[u.Lead], w.elements[i].id)
			}
		}
		out.SubAssemblies = append(out.SubAssemblies, s)
	}
	for i, step := range b.Set.Steps {
		x := w.stepDoc(step, b.set[i])
		x.With = with[step.Part]
		out.Steps = append(out.Steps, x)
	}
	return out
}

func (w *work) planDoc(p shop.Plan) result.Plan {
	out := result.Plan{OverheadM: result.Factor(round3(p.OverheadM)), Turns: p.Turns, Props: p.Props, Lifts: p.Lifts, Hours: result.Hours(p.Hours)}
	if p.Closing >= 0 && p.Closing < len(w.elements) {
		out.Closing = w.elements[p.Closing].id
	}
	for _, s := range p.Steps {
		out.Order = append(out.Order, w.elements[s.Part].id)
	}
	return out
}

func (w *work) stepDoc(s shop.Step, f shop.FitUp) result.SetPiece {
	id := func(i int) string { return w.elements[i].id }
	out := result.SetPiece{Element: id(s.Part), Mark: w.metal.list.Marks[s.Part], Up: vector(s.Up), Turned: s.Turned, AddedKG: result.KG(s.AddedKG), MassKG: result.KG(s.MassKG),
		CentreMM: point(s.CentreMM), HeightMM: result.MM(s.HeightMM), MarginMM: result.MM(s.MarginMM), Lift: s.Lift, Closes: s.Closes,
		FlatMM: result.MM(s.SeamMM[0]), HorizontalMM: result.MM(s.SeamMM[1]), VerticalMM: result.MM(s.SeamMM[2]), OverheadMM: result.MM(s.SeamMM[3]), Note: f.Note, Fixed: f.Fixed}
	for _, p := range s.Props {
		out.Props = append(out.Props, result.Prop{Element: id(p.Part), AtMM: point(p.AtMM), HighMM: result.MM(p.HighMM), Way: vector(p.Way), ForceN: result.Factor(round3(p.ForceN)), Turning: p.Turning})
	}
	for _, t := range f.Tapes {
		out.Tapes = append(out.Tapes, result.Tape{From: w.markDoc(t.From), To: w.markDoc(t.To), LengthMM: result.MM(t.LengthMM), PlusMinusMM: result.MM(t.PlusMinusMM), FeetIn: t.FeetInches})
	}
	for _, l := range f.Levels {
		out.Levels = append(out.Levels, result.Level{At: w.markDoc(l.At), HeightMM: result.MM(l.HeightMM), PlusMinusMM: result.MM(l.PlusMinusMM), FeetIn: l.FeetInches})
	}
	if p := f.Plumb; p != nil {
		x := result.Plumb{LeanDeg: result.Deg(p.LeanDeg), TowardDeg: result.Deg(p.TowardDeg), Zero: vector(p.Zero), PlusMinusMMM: result.Factor(p.PlusMinusMMPerM)}
		if p.Clocked {
			c := result.Deg(p.ClockDeg)
			x.ClockDeg = &c
		}
		out.Plumb = &x
	}
	return out
}

func (w *work) markDoc(m shop.Mark) result.Punch {
	return result.Punch{Element: w.elements[m.Part].id, Number: m.Number, AtMM: point(m.AtMM), Where: m.Where}
}
