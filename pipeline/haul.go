package pipeline

import (
	"context"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/job"
	"pointup/pipeline/result"
	"pointup/pipeline/rig"
	"pointup/pipeline/shop"
)

// divide takes the work apart for the job's haul and plans the lifts of all loads;
// the document of the haul is nil where the job has none.
func (w *work) divide(ctx context.Context) error {
	sections, err := w.cutApart(ctx)
	if err != nil {
		return err
	}
	if w.metal.lifts, err = w.planLifts(ctx, sections); err != nil {
		return err
	}
	if err := w.setOnSite(ctx, sections); err != nil {
		return err
	}
	return ctx.Err()
}

// setOnSite finds the order in which several sections are set, each welded as one
// before.
func (w *work) setOnSite(ctx context.Context, sections []rig.Section) error {
	if len(sections) < 2 || len(w.metal.orders) != 1 {
		return nil
	}
	parted := 0
	var sets [][]int
	for _, s := range sections {
		var set []int
		for _, id := range s.Bodies {
			set = append(set, w.indexOf(id))
		}
		slices.Sort(set)
		sets, parted = append(sets, set), parted+len(set)
	}
	m := w.metal
	if parted != len(m.orders[0].Best.Steps) {
		return nil // a piece of unknown mass or one that hangs on none is in no section
	}
	bodies := w.shopBodies(m.bodies)
	units, err := shop.InUnits(ctx, m.assembly.Parts, bodies, m.joints, sets, shop.DefaultOrderOptions())
	if err != nil {
		return err
	}
	opt := shop.DefaultFitUpOptions()
	opt.Class = shop.ClassOf(w.job.Limits.Work)
	b, err := m.packed(ctx, bodies, units, opt)
	if err != nil {
		return err
	}
	w.haul.OnSite = w.benchedDoc(b, "section")
	for k := range w.haul.OnSite.SubAssemblies { // a section of one piece has none
		for i, s := range w.haul.Sections {
			if slices.Equal(s.Elements, w.haul.OnSite.SubAssemblies[k].Elements) {
				w.haul.OnSite.SubAssemblies[k].Name = fmt.Sprintf("section %d", i+1)
			}
		}
	}
	return nil
}

func (w *work) cutApart(ctx context.Context) ([]rig.Section, error) {
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
		w.haul = &result.Haul{WhyNot: err.Error()}
		return nil, nil
	}
	w.haul, err = w.haulDoc(s, haul.Route)
	return s.Sections, err
}

func (w *work) haulDoc(s rig.Sections, route []job.Passage) (*result.Haul, error) {
	out := &result.Haul{FieldWeldMM: result.MM(s.FieldWeldMM), Exact: s.Exact, Assumptions: s.Assumptions, Cautions: s.Cautions}
	for k, x := range s.Sections {
		down, along := vector(x.Rest.DownDir), vector(x.Rest.AlongDir)
		load := result.Load{Elements: x.Bodies, Mass: weighedDoc("", x.Of), LengthMM: result.MM(x.Rest.LengthMM), WidthMM: result.MM(x.Rest.WidthMM),
			HeightMM: result.MM(x.Rest.HeightMM), TipDeg: result.Deg(max(x.Rest.TipDeg, 0)), Fits: x.Fits, Why: x.Why}
		if r3.Norm(x.Rest.DownDir) > 0 {
			load.Down, load.Along = &down, &along
		}
		if len(route) > 0 && x.Rest.LengthMM > 0 {
			way, err := rig.Haul(x.Rest, route)
			if err != nil {
				return nil, err
			}
			for _, p := range way.Passings {
				load.Route = append(load.Route, passingDoc(p, route[p.Passage]))
			}
			if k == 0 {
				out.Assumptions, out.Cautions = append(out.Assumptions, way.Assumptions...), append(out.Cautions, way.Cautions[1:]...)
			}
		}
		out.Sections = append(out.Sections, load)
	}
	for _, c := range s.Cuts {
		out.Cuts = append(out.Cuts, result.Cutting{A: w.metal.bodies[c.A].ID, B: w.metal.bodies[c.B].ID, WeldMM: result.MM(c.WeldMM)})
	}
	return out, nil
}

func passingDoc(p rig.Passing, of job.Passage) result.Passing {
	out := result.Passing{Passage: p.Passage + 1, Passes: p.Passes, Stands: p.Stands}
	length := func(x *float64) *result.MM {
		if x == nil {
			return nil
		}
		return new(result.MM(*x))
	}
	out.WidthMM, out.RadiusMM = length(of.WidthMM), length(of.RadiusMM)
	if of.Slope != nil {
		out.SlopeDeg = new(result.Deg(p.SlopeDeg))
	}
	if p.SweptMinMM > 0 {
		out.SweptMinMM = new(result.MM(p.SweptMinMM))
		if of.WidthMM != nil {
			out.RoomMM = new(result.MM(p.RoomMM))
		}
	}
	if p.SweptMaxMM > 0 {
		out.SweptMaxMM = new(result.MM(p.SweptMaxMM))
	}
	return out
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
