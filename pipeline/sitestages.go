package pipeline

import (
	"fmt"

	"pointup/pipeline/rig"
	"pointup/pipeline/shop"
	"pointup/pipeline/site"
)

// partialBuilds are those builds of the build order, each in its pose.
func (w *work) partialBuilds() []site.Standing {
	var out []site.Standing
	for _, o := range w.metal.orders {
		var pieces []int
		for k, s := range o.Best.Steps {
			pieces = append(pieces, s.Part)
			out = append(out, site.Standing{Name: fmt.Sprintf("step %d, %s set", k+1, w.elements[s.Part].id), Pieces: append([]int{}, pieces...), Up: s.Up})
		}
	}
	return out
}

// hanging are the lifts of the whole and of each piece that is too heavy for hands,
// with the lugs that are chosen first.
func (w *work) hanging(pieces []site.Piece) []site.Hanging {
	at := map[string]int{}
	for i, p := range pieces {
		at[p.Part.ID] = i
	}
	var out []site.Hanging
	lift := func(name string, bodies []rig.Body) {
		opt := rig.DefaultLiftOptions()
		l, err := rig.ChooseLift(bodies, opt)
		if err != nil {
			return // the lifts say why
		}
		h := site.Hanging{Name: "lift of " + name, HookMM: l.HookMM, Factor: opt.DynamicFactor}
		for _, b := range bodies {
			h.Pieces = append(h.Pieces, at[b.ID])
		}
		for _, g := range l.Legs {
			h.Lugs = append(h.Lugs, site.LugAt{Piece: at[g.Body], AtMM: g.AtMM})
		}
		out = append(out, h)
	}
	for _, b := range w.metal.bodies {
		if b.MassHighKG > shop.HandKG {
			lift(b.ID, []rig.Body{b})
		}
	}
	if len(w.metal.bodies) > 1 && len(w.metal.orders) == 1 {
		lift("the whole", w.metal.bodies)
	}
	return out
}
