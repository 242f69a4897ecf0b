package pipeline

import (
	"pointup/pipeline/result"
	"pointup/pipeline/rig"
)

// measured is what the job's gates are held against.
func (w *work) measured(d result.Document) result.Measured {
	m := result.Measured{OpenLoopMM: openLoop(d.Stock), MissingStock: &d.Stock.Missing, Utilisation: w.utilisation(), WeldUse: weldUse(d.Joints), MadeChangeMM: madeChange(d.Revision)}
	if w.access != nil {
		m.Access = &w.access.Trapping
	}
	if d.Rig != nil {
		m.LiftUse, m.Unlifted = w.liftUse()
	}
	if d.Order != nil {
		props, overhead := 0, 0.0
		for _, b := range d.Order.Builds {
			props, overhead = props+b.Best.Props, overhead+1000*float64(b.Best.OverheadM)
		}
		m.Props, m.OverheadWeldMM = &props, &overhead
	}
	if s := d.Sections; s != nil && s.WhyNot == "" {
		m.Sections, m.FieldWeldMM = new(len(s.Sections)), new(float64(s.FieldWeldMM))
		m.Blocked = blocked(s.Sections)
	}
	return m
}

// weldUse is the largest share of a seam's strength that dead weight takes: where it
// has none, weldUseMost. nil where nothing hangs on any.
func weldUse(joints []result.WeldJoint) *float64 {
	var most *float64
	for _, j := range joints {
		if j.Hangs == nil {
			continue
		}
		use := float64(weldUseMost)
		if j.Hangs.Use != nil {
			use = min(use, float64(*j.Hangs.Use))
		}
		if most == nil || use > *most {
			most = &use
		}
	}
	return most
}

// weldUseMost stands for a seam that carries nothing.
const weldUseMost = 1000

// liftUse is the greatest use of a hoist and the number of loads without a lift or
// a turn.
func (w *work) liftUse() (use *float64, without *int) {
	without = new(0)
	for _, l := range w.metal.lifts {
		if l.whyNot != nil || l.noTurn != nil {
			*without++
		}
		if u := l.used(); u > 0 && (use == nil || u > *use) {
			use = &u
		}
	}
	return use, without
}

// blocked counts passages of sections that are too narrow or too steep; nil without
// a route.
func blocked(sections []result.Load) *int {
	n, asked := 0, false
	for _, s := range sections {
		for _, p := range s.Route {
			asked = true
			if p.Passes == rig.TooNarrow || !p.Stands {
				n++
			}
		}
	}
	if !asked {
		return nil
	}
	return &n
}
