package pipeline

import (
	"fmt"
	"math"

	"pointup/pipeline/shop"
	"pointup/pipeline/stock"
	"pointup/segment/primitive"
)

// What is laid flat: a piece of no known kind whose thickness is even and small
// against its width.
const (
	evenTimes  = 1.6
	sheetShare = 0.2
	// bentVertices are enough for an outline within half a thousandth of its size.
	bentVertices = 8000
)

// bentSheets are the flat patterns of freeform pieces that are sheets bent about
// straight lines.
func (w *work) bentSheets(p *patterns, parts []stock.Part, opt shop.FlatOptions) []shop.Flat {
	var out []shop.Flat
	k := w.scaled.Ratio
	for _, x := range parts {
		if x.Kind != "freeform" || x.Made {
			continue
		}
		e := w.madeFrom(x)
		thick, ok := sheetThickness(e)
		if !ok {
			continue
		}
		patch := primitive.NewPatch(w.scaled.Mesh, e.faces, w.report.NoiseMM)
		if s := w.parts.Shells[e.shell]; len(s.Faces) == len(e.faces) {
			patch = primitive.Coarsen(w.scaled.Mesh, s.Faces, s.Points, w.report.NoiseMM, bentVertices)
		}
		u, err := primitive.Unroll(patch, thick)
		if err != nil {
			p.why = append(p.why, fmt.Errorf("%s: %w; its sections stand in for a pattern", x.ID, err))
			continue
		}
		b := shop.BentSheet{Mark: x.ID, Name: x.Name, ThicknessMM: k * thick, Outer: timesAll(u.Outer, k), Strain: u.Strain, ErrorMM: k * u.Strain * u.SizeMM}
		for _, h := range u.Holes {
			b.Holes = append(b.Holes, timesAll(h, k))
		}
		for _, r := range u.Rulings {
			b.Rulings = append(b.Rulings, shop.BendLine{A: times(r.A, k), B: times(r.B, k), RadiusMM: k * r.RadiusMM})
		}
		f, err := b.Flat(opt)
		if err != nil {
			p.why = append(p.why, err)
			continue
		}
		out = append(out, f)
	}
	return out
}

// sheetThickness is that of a freeform that may be a sheet.
func sheetThickness(e *element) (float64, bool) {
	mid, a := e.Dim("thickness_median_mm")
	low, b := e.Dim("thickness_p5_mm")
	width, d := e.Dim("width_mm")
	return mid, a && b && d && mid > 0 && mid < evenTimes*low && mid < sheetShare*width
}

func timesAll(line [][2]float64, k float64) [][2]float64 {
	out := make([][2]float64, len(line))
	for i, q := range line {
		out[i] = [2]float64{quantised(k * q[0]), quantised(k * q[1])}
	}
	return out
}

// quantised rounds as the result prints lengths.
func quantised(mm float64) float64 { return math.Round(mm*1e4) / 1e4 }
