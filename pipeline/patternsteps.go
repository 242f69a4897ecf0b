package pipeline

import (
	"fmt"

	"pointup/pipeline/shop"
	"pointup/pipeline/stock"
)

// steps are the sheets of the fit-up pack, one a step of each build order.
func (w *work) steps(p *patterns, parts []stock.Part) {
	for i, o := range w.metal.orders {
		for _, f := range o.pack {
			if len(f.Tapes)+len(f.Levels) == 0 {
				continue
			}
			name := fmt.Sprintf("step-%02d-%s", f.Step+1, parts[f.Part].ID)
			if i > 0 {
				name = fmt.Sprintf("build-%d-%s", i+1, name)
			}
			p.printed(name, shop.StepSheet(f, len(o.pack), parts))
		}
	}
}
