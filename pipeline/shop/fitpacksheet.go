package shop

import (
	"fmt"

	"pointup/pipeline/draw"
	"pointup/pipeline/quantity"
	"pointup/pipeline/stock"
)

// Of a step's sheet, mm: its letters and the height of a line.
const (
	stepLetterMM = 2.4
	stepLineMM   = 5.5
)

// StepSheet is what a fitter takes to the floor for one step of n: a page of
// tapes, heights, plumb, and where the marks are that they are held to.
func StepSheet(f FitUp, n int, parts []stock.Part) draw.Drawing {
	p := parts[f.Part]
	d := draw.Drawing{Title: fmt.Sprintf("step %d of %d: %s", f.Step+1, n, title(p.ID, p.Name)), Notes: FitUpAssumptions()}
	y := 0.0
	say := func(x, size float64, format string, args ...any) {
		d.Add(draw.Text, draw.Label{At: [2]float64{x, y}, HeightMM: size, Text: fmt.Sprintf(format, args...)})
	}
	row := func(format string, args ...any) {
		y -= stepLineMM
		say(4, stepLetterMM, "[  ]  "+format, args...)
	}
	head := func(text string) {
		y -= 1.8 * stepLineMM
		say(0, 1.2*stepLetterMM, "%s", text)
		d.Add(draw.Text, draw.Segment(0, y-1.5, 170, y-1.5))
		y -= 1.5
	}
	say(0, 1.8*stepLetterMM, "%s", d.Title)
	mark := func(m Mark) string { return fmt.Sprintf("%s mark %d (%s)", parts[m.Part].ID, m.Number, m.Where) }
	if len(f.Tapes) > 0 {
		head("Tapes, from a mark on what stands to one on this piece")
		for _, t := range f.Tapes {
			row("%s to %s: %.1f mm (%s) ± %.0f mm", mark(t.From), mark(t.To), t.LengthMM, t.FeetInches, t.PlusMinusMM)
		}
	}
	if len(f.Levels) > 0 {
		head("Heights over the floor")
		for _, l := range f.Levels {
			row("%s: %.1f mm (%s) ± %.0f mm", mark(l.At), l.HeightMM, l.FeetInches, l.PlusMinusMM)
		}
	}
	if b := f.Plumb; b != nil {
		head("Plumb")
		toward := ""
		if b.LeanDeg >= plumbDeg {
			zero := "+x"
			if b.Zero.Y > 0.5 {
				zero = "+y"
			}
			toward = fmt.Sprintf(" toward %s° counter-clockwise from %s, seen from above", quantity.Decimal(b.TowardDeg, 1), zero)
		}
		row("axis leans %s° from plumb%s, ± %.1f mm a metre", quantity.Decimal(b.LeanDeg, 2), toward, b.PlusMinusMMPerM)
		if b.Clocked {
			row("turned %s° about its axis, counter-clockwise from its uppermost side seen from the upper end", quantity.Decimal(b.ClockDeg, 1))
		}
	}
	if f.Note != "" {
		head("Mind")
		y -= stepLineMM
		say(4, stepLetterMM, "%s", f.Note)
	}
	return d
}
