package pipeline

import (
	"context"
	"fmt"
	"math"

	"pointup/pipeline/rig"
	"pointup/pipeline/shop"
)

// lifted is a load: a heavy piece, a section or the whole, as it hangs where it
// stands, and how it is turned up from where it lies.
type lifted struct {
	of     string
	bodies []rig.Body
	lift   rig.Lift
	hoists *rig.Hoisting // nil where the job names none, or none carries it
	lugs   []rig.Lug     // of two hoists
	whyNot error
	turn   *rig.Upending
	head   *rig.Hoisting // the hoist of the head line
	noTurn error
}

// turnSteps of a turn from lying to standing: every 10° of a quarter.
const turnSteps = 9

// planLifts hangs and turns all that is too heavy for hands: each piece, each
// section where there are several, and the whole where it hangs together; side by
// side.
func (w *work) planLifts(ctx context.Context, sections []rig.Section) ([]lifted, error) {
	loads := w.loads(sections)
	out := make([]lifted, len(loads))
	err := eachOf(ctx, len(loads), func(i int) error {
		out[i] = w.planLift(loads[i])
		return nil
	})
	return out, err
}

// load is what is lifted at once, and how it lies before; nil where that is not
// known.
type load struct {
	of     string
	bodies []rig.Body
	lies   *rig.Rest
}

// loads lists them, each piece first and the whole last.
func (w *work) loads(sections []rig.Section) []load {
	m := w.metal
	var out []load
	for _, b := range m.bodies {
		if b.MassHighKG > shop.HandKG {
			out = append(out, load{b.ID, []rig.Body{b}, nil})
		}
	}
	n := 0
	for _, o := range m.orders {
		if o.benched == nil {
			continue
		}
		for _, u := range o.benched.Units {
			if len(u.Parts) < 2 {
				continue
			}
			n++
			if of := m.bodiesOf(w.ids(u.Parts)); len(of) == len(u.Parts) {
				out = append(out, load{fmt.Sprintf("sub-assembly %d", n), of, nil})
			}
		}
	}
	if len(sections) > 1 {
		for k, s := range sections {
			if len(s.Bodies) > 1 && s.Of.MassHighKG > shop.HandKG {
				out = append(out, load{fmt.Sprintf("section %d", k+1), m.bodiesOf(s.Bodies), &s.Rest})
			}
		}
	}
	if len(m.bodies) > 1 && len(m.orders) == 1 && len(m.loose) == 0 {
		var lies *rig.Rest
		if len(sections) == 1 {
			lies = &sections[0].Rest
		}
		out = append(out, load{"whole", m.bodies, lies})
	}
	return out
}

// planLift hangs one load from one hook and one hoist, or where that does not do
// from two hoists, and turns it up from where it lies, flat where that is not given.
func (w *work) planLift(a load) lifted {
	hoists, opt := w.job.Shop.Hoists, rig.DefaultLiftOptions()
	bodies := a.bodies
	opt.LugsOn = w.carriers(bodies)
	l := lifted{of: a.of, bodies: bodies}
	if l.lift, l.whyNot = rig.ChooseLift(bodies, opt); l.whyNot == nil && len(hoists) > 0 {
		var h rig.Hoisting
		if h, l.whyNot = rig.OneHoist(l.lift, hoists); l.whyNot == nil {
			l.hoists = &h
		}
	}
	if l.whyNot != nil && len(hoists) > 1 {
		if h, lugs, err := rig.ChooseTandem(bodies, hoists, opt); err == nil {
			l.hoists, l.lugs, l.whyNot = &h, lugs, nil
		} else {
			l.whyNot = fmt.Errorf("%w; %w", l.whyNot, err)
		}
	}
	l.turnUp(w, a.lies, opt)
	return l
}

func (l *lifted) turnUp(w *work, lies *rig.Rest, opt rig.LiftOptions) {
	var u rig.Upending
	if lies != nil {
		u, l.noTurn = rig.UpendFrom(l.bodies, *lies, turnSteps, opt)
	} else {
		u, l.noTurn = rig.Upend(l.bodies, turnSteps, opt)
	}
	if l.turn = &u; l.noTurn != nil || !u.Needed || len(w.job.Shop.Hoists) == 0 {
		return
	}
	h, err := rig.OneHoist(rig.Lift{LoadKG: u.Turn.HeadMostKG}, w.job.Shop.Hoists)
	if l.noTurn = err; err == nil {
		l.head = &h
	}
}

// carriers are the pieces of a load on which a lug may stand: those whose seams to
// the rest would carry all of it at the share that dead weight may use, and those
// that are half of it; nil, that is all, for a single piece or where none is known to.
func (w *work) carriers(bodies []rig.Body) []string {
	opt := shop.DefaultJointOptions()
	all, in := 0.0, map[string]bool{}
	for _, b := range bodies {
		all, in[b.ID] = all+b.MassHighKG, true
	}
	strength := map[string]float64{}
	for _, j := range w.metal.joints {
		if a, b := w.elements[j.A].id, w.elements[j.B].id; in[a] && in[b] {
			n := j.StrengthN(opt.WeldMPa)
			strength[a] += n
			strength[b] += n
		}
	}
	var out []string
	for _, b := range bodies {
		if opt.UseMost*strength[b.ID] >= all*gravityMS2 || b.MassHighKG >= all/2 {
			out = append(out, b.ID)
		}
	}
	return out
}

// used is the greatest use of a hoist, by the lift or by the turn, 0 without one.
func (l lifted) used() float64 {
	most := 0.0
	for _, h := range []*rig.Hoisting{l.hoists, l.head} {
		if h != nil {
			for _, x := range h.Holdings {
				most = max(most, x.Used)
			}
		}
	}
	return math.Round(1000*most) / 1000
}

// bodiesOf are the weighed bodies of ids.
func (m *metal) bodiesOf(ids []string) []rig.Body {
	var out []rig.Body
	for _, id := range ids {
		for _, b := range m.bodies {
			if b.ID == id {
				out = append(out, b)
			}
		}
	}
	return out
}
