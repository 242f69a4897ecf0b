package shop

import (
	"fmt"
	"math"
	"slices"

	"pointup/pipeline/draw"
)

// NestedSheet is one sheet as it is cut.
type NestedSheet struct {
	ThicknessMM float64
	Number, Of  int // among those of the thickness
	Sheet       CutSheet
	Drawing     draw.Drawing
}

// NestFlats lays patterns of one thickness, to a tenth of a millimetre, together
// on sheets and draws each sheet at full size. why lists those that fit on no sheet.
func NestFlats(flats []Flat, sheets [][2]float64, opt SheetOptions, material string) (out []NestedSheet, why []error) {
	groups := map[float64][]Flat{}
	var thick []float64
	for _, f := range flats {
		t := math.Round(f.ThicknessMM*10) / 10
		if _, err := NestSheets([]FlatPiece{f.piece()}, sheets, opt); err != nil {
			why = append(why, err)
			continue
		}
		if groups[t] == nil {
			thick = append(thick, t)
		}
		groups[t] = append(groups[t], f)
	}
	slices.Sort(thick)
	for _, t := range thick {
		var pieces []FlatPiece
		byMark := map[string]Flat{}
		for _, f := range groups[t] {
			pieces = append(pieces, f.piece())
			byMark[f.Mark] = f
		}
		plan, err := NestSheets(pieces, sheets, opt)
		if err != nil {
			why = append(why, err)
			continue
		}
		for i, s := range plan.Sheets {
			out = append(out, NestedSheet{t, i + 1, len(plan.Sheets), s, sheetDrawing(t, i+1, len(plan.Sheets), s, byMark, material)})
		}
	}
	return out, why
}

// piece is the pattern as the nesting takes it, by its enclosing rectangle.
func (f Flat) piece() FlatPiece {
	return FlatPiece{Mark: f.Mark, LengthMM: max(f.BoxMM[0], f.BoxMM[1]), WidthMM: min(f.BoxMM[0], f.BoxMM[1]), AreaMM2: f.NetMM2, Quantity: 1}
}

func sheetDrawing(thick float64, number, of int, s CutSheet, byMark map[string]Flat, material string) draw.Drawing {
	d := draw.Drawing{Title: fmt.Sprintf("%.1f mm %s, sheet %d of %d", thick, material, number, of), Notes: []string{
		fmt.Sprintf("sheet %.1f × %.1f mm, %d pieces, %.1f %% of it used; the rest from %.1f mm on is kept", s.LengthMM, s.WidthMM, len(s.Pieces), 100*s.AreaMM2/(s.LengthMM*s.WidthMM), s.UsedLengthMM)}}
	d.Add(draw.Sheet, draw.Polyline(true, [2]float64{0, 0}, [2]float64{s.LengthMM, 0}, [2]float64{s.LengthMM, s.WidthMM}, [2]float64{0, s.WidthMM}))
	for _, p := range s.Pieces {
		f := byMark[p.Mark]
		turn := 0.0
		if p.Turned != (f.BoxMM[0] < f.BoxMM[1]) {
			turn = math.Pi / 2
		}
		lo, _ := f.Outer.moved(turn, [2]float64{}).box()
		by := [2]float64{p.AtMM[0] - lo[0], p.AtMM[1] - lo[1]}
		d.Add(draw.Cut, f.Outer.moved(turn, by).shape())
		for _, o := range f.Openings {
			d.Add(draw.Cut, o.Loop.moved(turn, by).shape())
		}
		h := math.Min(20, math.Min(f.BoxMM[0], f.BoxMM[1])/6)
		at := f.clear(3*h, h)
		d.Add(draw.Mark, draw.Label{At: moved(at, turn, by), TurnRad: turn, HeightMM: h, Text: p.Mark})
	}
	return d
}
