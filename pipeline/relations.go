package pipeline

import (
	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
)

// relationList writes what elements have in common.
func (w *work) relationList() result.List[result.Relation] {
	out := result.List[result.Relation]{}
	for _, r := range w.relations {
		x := result.Relation{Kind: r.Kind, Of: r.Of, Elements: w.ids(r.Bodies), Residual: figure(r.Residual), Within: figure(r.Within),
			Unit: r.Unit, Chance: result.Share(min(r.Chance, 1))}
		if len(r.To) > 0 {
			x.To = w.ids(r.To)
		}
		if r.Kind == "mirrored" {
			at, n := point(r.AtMM), vector(r.Normal)
			x.AtMM, x.Normal = &at, &n
		}
		switch {
		case r.Kind == "equally_spaced" && r.Of == "circle":
			step := result.Deg(r.Value)
			x.Step = &step
		case r.Value > 0:
			v := result.MM(r.Value)
			x.Value = &v
		}
		out = append(out, x)
	}
	return out
}

// figure rounds a residual: to 1e-4 mm or deg.
func figure(x float64) result.Factor { return result.Factor(quantity.Round(x, 4)) }

func (w *work) ids(bodies []int) result.List[string] {
	out := result.List[string]{}
	for _, i := range bodies {
		out = append(out, w.elements[i].id)
	}
	return out
}
