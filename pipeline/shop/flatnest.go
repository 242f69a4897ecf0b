package shop

import (
	"fmt"
	"math"

	"pointup/pipeline/draw"
	"pointup/pipeline/stock"
)

// NestedSheet is one sheet as it is cut.
type NestedSheet struct {
	Stock      stock.Size
	Number, Of int // among those of the stock
	Drawing    draw.Drawing
}

// DrawSheets draws each sheet of a plan at full size. flats are the patterns under
// each mark of the cut list, one a piece; a blank that is none of them (a strip, a
// wall) is cut as its rectangle, a part of what fits on no sheet whole is marked.
func DrawSheets(n Nesting, flats map[string][]Flat) []NestedSheet {
	if n.Sheets == nil {
		return nil
	}
	var out []NestedSheet
	taken := map[string]int{}
	for i, s := range n.Sheets.Sheets {
		d := draw.Drawing{Title: fmt.Sprintf("%s, sheet %d of %d", n.Stock.Mark, i+1, len(n.Sheets.Sheets)), Notes: []string{
			fmt.Sprintf("%.1f × %.1f mm, %d pieces, %.1f %% of it used; what lies beyond %.1f mm is kept", s.LengthMM, s.WidthMM, len(s.Pieces), 100*s.AreaMM2/(s.LengthMM*s.WidthMM), s.UsedLengthMM),
			fmt.Sprintf("cut by %s, kerf %.1f mm: contours are those of the pieces, the machine sets the kerf off", n.Process, n.KerfMM)}}
		d.Add(draw.Sheet, draw.Polyline(true, [2]float64{0, 0}, [2]float64{s.LengthMM, 0}, [2]float64{s.LengthMM, s.WidthMM}, [2]float64{0, s.WidthMM}))
		for _, p := range s.Pieces {
			list := flats[p.Mark]
			if len(list) == 0 || !list[taken[p.Mark]%len(list)].is(p) {
				blankOf(&d, p, len(list) > 0)
				continue
			}
			f := list[taken[p.Mark]%len(list)]
			taken[p.Mark]++
			f.place(&d, p)
		}
		out = append(out, NestedSheet{n.Stock, i + 1, len(n.Sheets.Sheets), d})
	}
	return out
}

// is tells whether the placed rectangle is that of the pattern.
func (f Flat) is(p Placed) bool {
	same := func(a, b float64) bool { return math.Abs(a-b) < 0.01 }
	return same(math.Max(f.BoxMM[0], f.BoxMM[1]), math.Max(p.LengthMM, p.WidthMM)) && same(math.Min(f.BoxMM[0], f.BoxMM[1]), math.Min(p.LengthMM, p.WidthMM))
}

// place draws the pattern where the plan has it.
func (f Flat) place(d *draw.Drawing, p Placed) {
	turn := 0.0
	if math.Abs(f.BoxMM[0]-p.LengthMM) >= 0.01 {
		turn = math.Pi / 2
	}
	lo, _ := f.Outer.moved(turn, [2]float64{}).box()
	by := [2]float64{p.AtMM[0] - lo[0], p.AtMM[1] - lo[1]}
	d.Add(draw.Cut, f.Outer.moved(turn, by).shape())
	for _, o := range f.Openings {
		d.Add(draw.Cut, o.Loop.moved(turn, by).shape())
	}
	h := math.Min(20, math.Min(f.BoxMM[0], f.BoxMM[1])/6)
	d.Add(draw.Mark, draw.Label{At: moved(f.clear(5*h, h), turn, by), TurnRad: turn, HeightMM: h, Text: p.Mark + " " + f.Mark})
}

// blankOf draws a rectangle and its mark. Of a pattern that fits on no sheet whole
// it is the place of a part, to be cut by that pattern: not a line of cut.
func blankOf(d *draw.Drawing, p Placed, part bool) {
	x, y := p.AtMM[0], p.AtMM[1]
	layer, text := draw.Cut, p.Mark
	if part {
		layer, text = draw.Mark, "place for a part of "+p.Mark+", seam to seam"
	}
	d.Add(layer, draw.Polyline(true, [2]float64{x, y}, [2]float64{x + p.LengthMM, y}, [2]float64{x + p.LengthMM, y + p.WidthMM}, [2]float64{x, y + p.WidthMM}))
	h := math.Min(20, p.WidthMM/3)
	d.Add(draw.Mark, draw.Label{At: [2]float64{x + h, y + p.WidthMM/2 - h/2}, HeightMM: h, Text: text})
}
