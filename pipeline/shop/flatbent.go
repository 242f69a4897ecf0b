package shop

import (
	"fmt"
	"math"

	"pointup/pipeline/draw"
)

// BentSheet is a sheet of no known kind, developed from its scan, at full size.
type BentSheet struct {
	Mark, Name      string
	ThicknessMM     float64
	Outer           [][2]float64
	Holes           [][][2]float64
	Rulings         []BendLine
	Strain, ErrorMM float64 // greatest stretch that is left, and what it makes of the longest length
}

// BendLine is a straight line of bending; RadiusMM is that of the middle of the
// sheet, positive where it bends away from the viewer.
type BendLine struct {
	A, B     [2]float64
	RadiusMM float64
}

// Flat is its pattern: cut lines as they were scanned, bend lines with their
// radius. Errors: options out of range, no thickness, no outline.
func (b BentSheet) Flat(opt FlatOptions) (Flat, error) {
	f := Flat{Mark: b.Mark, Name: b.Name, Kind: "freeform", ThicknessMM: b.ThicknessMM}
	if err := opt.check(); err != nil {
		return f, err
	}
	if !(b.ThicknessMM > 0) || len(b.Outer) < 3 {
		return f, fmt.Errorf("%s: no flat pattern: its thickness or outline is not known", b.Mark)
	}
	f.Outer = polygon(b.Outer...)
	for _, h := range b.Holes {
		f.Openings = append(f.Openings, Opening{Loop: polygon(h...), WidthMM: narrowest(h)})
	}
	tight := math.Inf(1)
	for i, r := range b.Rulings {
		f.line(draw.Bend, draw.Segment(r.A[0], r.A[1], r.B[0], r.B[1]))
		tight = math.Min(tight, math.Abs(r.RadiusMM))
		if i%3 == 0 { // one in three is enough to read by
			way := "away"
			if r.RadiusMM < 0 {
				way = "towards you"
			}
			turn := math.Atan2(r.B[1]-r.A[1], r.B[0]-r.A[0])
			if turn > math.Pi/2 || turn <= -math.Pi/2 {
				turn += math.Pi
			}
			f.line(draw.Mark, draw.Label{At: [2]float64{(r.A[0] + r.B[0]) / 2, (r.A[1] + r.B[1]) / 2}, HeightMM: opt.MarkMM / 2, TurnRad: turn, Middle: true, Text: fmt.Sprintf("R %.0f %s", math.Abs(r.RadiusMM), way)})
		}
	}
	f.Notes = append(f.Notes, fmt.Sprintf("developed from the scan on the middle of its thickness: laid flat it is stretched by %.2f %% at most, so that no length is off by more than %.1f mm", 100*b.Strain, b.ErrorMM),
		"bend along the dashed lines, each to the radius of its middle, in many light strokes; sizes and thickness are the scan's: add at the edges what fitting needs")
	if !math.IsInf(tight, 1) {
		f.Notes = append(f.Notes, formingNote(tight-b.ThicknessMM/2, b.ThicknessMM))
	}
	f.setOut(opt)
	f.measure(opt)
	return f, f.sound()
}
