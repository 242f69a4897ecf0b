package pipeline

import (
	"pointup/pipeline/shop"
	"pointup/pipeline/stock"
)

// plies puts the plates of pieces that are built up in the place of their one
// pattern: wheels with stepped faces, pieces laminated since no plate is as thick,
// wheels over what the cutter takes.
func (w *work) plies(p *patterns, flats []shop.Flat, parts []stock.Part, opt shop.FlatOptions) []shop.Flat {
	laid := map[string][]stock.Size{}
	for _, f := range w.metal.choice.Families {
		if f.Route == nil || f.Route.Kind != "laminated" {
			continue
		}
		for _, i := range f.Members {
			laid[parts[i].ID] = f.Route.From
		}
	}
	var out []shop.Flat
	var all []shop.Ply
	for _, f := range flats {
		i := w.indexOf(f.Mark)
		if i < 0 {
			out = append(out, f)
			continue
		}
		plies, err := pliesOf(f, parts[i], laid[f.Mark], w.metal.plates, opt)
		if err != nil {
			p.why = append(p.why, err)
		}
		if len(plies) == 0 {
			out = append(out, f)
		}
		for _, x := range plies {
			out = append(out, x.Flat)
		}
		all = append(all, plies...)
	}
	if len(all) > 0 {
		p.table("plies", shop.PlyTable(all))
	}
	return out
}

// pliesOf are the plates of one piece, none where it is cut of one.
func pliesOf(f shop.Flat, x stock.Part, laid, plates []stock.Size, opt shop.FlatOptions) ([]shop.Ply, error) {
	switch {
	case f.Kind == "rolled_plate" || f.Kind == "cone":
		return nil, nil // each layer is rolled to its own radius
	case len(laid) > 1:
		return shop.Laminated(f, laid, opt)
	case len(x.Lands) > 1:
		return shop.WheelPlies(f, x, plates, opt)
	case f.Kind != "toothed_wheel":
		return nil, nil
	}
	wheel, err := shop.WheelOf(x, shop.DefaultWheelOptions())
	if err != nil || wheel.Layers < 2 { // an error is told where the wheel is set out
		return nil, nil
	}
	layers := make([]stock.Size, wheel.Layers)
	for i := range layers {
		layers[i].ThicknessMM = wheel.LayerMM
	}
	return shop.Laminated(f, layers, opt)
}
