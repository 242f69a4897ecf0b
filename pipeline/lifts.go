package pipeline

import (
	"math"

	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
)

// gravityMS2 is the standard acceleration of free fall (3rd CGPM, 1901).
const gravityMS2 = 9.80665

// liftDocs are first choices of lugs for every load.
func (w *work) liftDocs() []result.Lift {
	var out []result.Lift
	for _, l := range w.metal.lifts {
		out = append(out, l.liftDoc())
	}
	return out
}

func (l lifted) liftDoc() result.Lift {
	out := result.Lift{Of: l.of, Cautions: l.lift.Cautions}
	if l.whyNot != nil {
		out.WhyNot = l.whyNot.Error()
	}
	if len(l.lugs) == 0 && len(l.lift.Legs) > 0 {
		hook := point(l.lift.HookMM)
		out.LoadKG, out.HookMM, out.HeadRoomMM, out.TiltDeg = result.KG(l.lift.LoadKG), &hook, result.MM(l.lift.HeadRoomMM), result.Deg(l.lift.TiltDeg)
		for _, g := range l.lift.Legs {
			out.Legs = append(out.Legs, result.Leg{Element: g.Body, AtMM: point(g.AtMM), LengthMM: result.MM(g.LengthMM), AngleDeg: result.Deg(g.AngleDeg), TensionN: wholeN(g.TensionN)})
		}
	}
	switch h := l.hoists; {
	case h == nil:
	case len(l.lugs) > 0:
		out.Tandem = &result.Tandem{Derating: result.Factor(h.Derating)}
		out.Cautions = h.Cautions
		for k, x := range h.Holdings {
			out.Tandem.Hoists = append(out.Tandem.Hoists, result.Holding{Hoist: x.Hoist, CapacityKG: result.KG(x.CapacityKG), Element: l.lugs[k].Body, AtMM: point(x.AtMM),
				ShareKG: result.KG(x.ShareKG), NeededKG: result.KG(x.NeededKG), Used: result.Factor(round3(x.Used))})
		}
	default:
		used := result.Factor(round3(h.Holdings[0].Used))
		out.Hoist, out.Used = h.Holdings[0].Hoist, &used
		out.Cautions = append(out.Cautions, h.Cautions[1:]...) // Preliminary stands there already
	}
	return out
}

// wholeN is a force in whole newtons.
func wholeN(n float64) result.Factor { return result.Factor(math.Round(n)) }

// turnDocs are the turns of the loads that do not stand as they lie.
func (w *work) turnDocs() []result.Turn {
	var out []result.Turn
	for _, l := range w.metal.lifts {
		if l.noTurn != nil || l.turn.Needed {
			out = append(out, l.turnDoc())
		}
	}
	return out
}

func (l lifted) turnDoc() result.Turn {
	u := l.turn
	t := u.Turn
	out := result.Turn{Of: l.of, LengthMM: result.MM(u.Lies.LengthMM), WidthMM: result.MM(u.Lies.WidthMM), HeightMM: result.MM(u.Lies.HeightMM), Assumptions: t.Assumptions, Cautions: t.Cautions}
	if l.noTurn != nil {
		out.WhyNot = l.noTurn.Error()
	}
	if len(t.Poses) == 0 {
		return out
	}
	out.ByDeg = result.Deg(t.Poses[len(t.Poses)-1].TurnDeg)
	out.Head = &result.Lug{Element: u.Head.Body, AtMM: point(u.Head.AtMM)}
	out.HeadMostKG, out.HeadMostN, out.FootMostKG, out.HeadRoomMM = result.KG(t.HeadMostKG), wholeN(t.HeadMostKG*gravityMS2), result.KG(t.TailMostKG), result.MM(t.HeadRoomMM)
	if t.Alone {
		from := result.Deg(t.AloneFromDeg)
		out.AloneFromDeg = &from
	}
	if l.head != nil {
		used := result.Factor(round3(l.head.Holdings[0].Used))
		out.Hoist, out.Used = l.head.Holdings[0].Hoist, &used
		out.Cautions = append(out.Cautions, l.head.Cautions[1:]...)
	}
	for _, p := range t.Poses {
		out.Poses = append(out.Poses, result.TurnPose{TurnDeg: result.Deg(p.TurnDeg), HeadMM: point(p.HeadMM), FootMM: point(p.TailMM), CentreMM: point(p.CentreMM), HeadKG: result.KG(p.HeadKG),
			FootKG: result.KG(p.TailKG), BelowMM: result.MM(p.BelowMM), SidewaysMM: result.MM(p.SidewaysMM), Holds: p.Holds})
	}
	return out
}

func round3(x float64) float64 { return quantity.Round(x, 3) }
