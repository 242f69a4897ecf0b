package pipeline

import (
	"context"
	"math"

	"pointup/pipeline/result"
	"pointup/pipeline/rig"
	"pointup/pipeline/shop"
)

// liftDocs are first choices of lugs for every heavy piece and for the whole.
func (w *work) liftDocs() []result.Lift {
	var out []result.Lift
	for _, b := range w.metal.bodies {
		if b.MassHighKG > shop.HandKG {
			out = append(out, w.liftDoc(b.ID, []rig.Body{b}))
		}
	}
	if len(w.metal.bodies) > 1 && len(w.metal.orders) == 1 {
		out = append(out, w.liftDoc("whole", w.metal.bodies))
	}
	return out
}

func (w *work) liftDoc(of string, bodies []rig.Body) result.Lift {
	l, err := rig.ChooseLift(bodies, rig.DefaultLiftOptions())
	if err != nil {
		return result.Lift{Of: of, WhyNot: err.Error()}
	}
	hook := point(l.HookMM)
	out := result.Lift{Of: of, LoadKG: result.KG(l.LoadKG), HookMM: &hook, HeadRoomMM: result.MM(l.HeadRoomMM), TiltDeg: result.Deg(l.TiltDeg), Cautions: l.Cautions}
	for _, g := range l.Legs {
		out.Legs = append(out.Legs, result.Leg{Element: g.Body, AtMM: point(g.AtMM), LengthMM: result.MM(g.LengthMM), AngleDeg: result.Deg(g.AngleDeg), TensionN: result.Factor(math.Round(g.TensionN))})
	}
	if hoists := w.job.Shop.Hoists; len(hoists) > 0 {
		h, err := rig.OneHoist(l, hoists)
		if err != nil {
			out.WhyNot = err.Error()
			return out
		}
		used := result.Factor(math.Round(1000*h.Holdings[0].Used) / 1000)
		out.Hoist, out.Used = h.Holdings[0].Hoist, &used
		out.Cautions = append(out.Cautions, h.Cautions...)
	}
	return out
}

// haulDoc takes the work apart for the job's haul; nil where the job has none.
func (w *work) haulDoc(ctx context.Context) (*result.Haul, error) {
	haul := w.job.Haul
	if haul == nil || haul.EnvelopeMM == nil || len(w.metal.bodies) == 0 {
		return nil, nil
	}
	opt := rig.DefaultSectionOptions()
	e := haul.EnvelopeMM
	opt.Envelope = rig.Envelope{LengthMM: e[0], WidthMM: e[1], HeightMM: e[2], MassKG: 1e9}
	if haul.MassKG != nil {
		opt.Envelope.MassKG = *haul.MassKG
	}
	s, err := rig.Divide(ctx, w.metal.bodies, w.rigJoints(), opt)
	if err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return &result.Haul{WhyNot: err.Error()}, nil
	}
	out := &result.Haul{FieldWeldMM: result.MM(s.FieldWeldMM), Exact: s.Exact, Assumptions: s.Assumptions, Cautions: s.Cautions}
	for _, x := range s.Sections {
		out.Sections = append(out.Sections, result.Load{Elements: x.Bodies, Mass: weighedDoc("", x.Of), LengthMM: result.MM(x.Rest.LengthMM), WidthMM: result.MM(x.Rest.WidthMM),
			HeightMM: result.MM(x.Rest.HeightMM), Fits: x.Fits, Why: x.Why})
	}
	for _, c := range s.Cuts {
		out.Cuts = append(out.Cuts, result.Cutting{A: w.metal.bodies[c.A].ID, B: w.metal.bodies[c.B].ID, WeldMM: result.MM(c.WeldMM)})
	}
	return out, nil
}

// rigJoints are the joints between weighed bodies.
func (w *work) rigJoints() []rig.Joint {
	at := map[string]int{}
	for i, b := range w.metal.bodies {
		at[b.ID] = i
	}
	var out []rig.Joint
	for _, j := range w.metal.joints {
		a, okA := at[w.elements[j.A].id]
		b, okB := at[w.elements[j.B].id]
		if okA && okB {
			out = append(out, rig.Joint{A: a, B: b, WeldMM: j.LengthMM})
		}
	}
	return out
}
