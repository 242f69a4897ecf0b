package shop

import (
	"fmt"
	"math"

	"pointup/pipeline/draw"
)

// templateHighMM is the height of a checking template beside its arc.
const templateHighMM = 80

// Template is the template that checks a bend from inside, full size, cut from
// thin sheet; ok is false for a straight, or where none was asked for.
func (f Forming) Template(n int) (d draw.Drawing, ok bool) {
	if n < 0 || n >= len(f.Steps) || f.Steps[n].ChordMM == 0 {
		return d, false
	}
	b := f.Steps[n]
	inside := b.RadiusMM - f.SectionMM/2
	c, sweep := b.ChordMM/2, 2*math.Asin(math.Min(1, b.ChordMM/2/inside))
	d = draw.Drawing{Title: fmt.Sprintf("%s, template of bend %d", title(f.Mark, f.Name), n+1), Notes: []string{
		fmt.Sprintf("fits the inside of the bend: radius %.1f mm, rise %.2f mm on a chord of %.1f mm", inside, b.RiseMM, b.ChordMM),
		"sizes are those of the finished piece; spring-back is the bender's"}}
	d.Add(draw.Cut, draw.Contour{Closed: true, Vertices: []draw.Vertex{
		{At: [2]float64{-c, 0}}, {At: [2]float64{-c, -templateHighMM}}, {At: [2]float64{c, -templateHighMM}}, {At: [2]float64{c, 0}, SweepRad: sweep}}})
	d.Add(draw.Centre, draw.Segment(0, -templateHighMM, 0, b.RiseMM))
	for i, t := range append([]string{d.Title}, d.Notes...) {
		d.Add(draw.Text, draw.Label{At: [2]float64{-c + 10, -20 - 14*float64(i)}, HeightMM: 6 * math.Min(1, b.ChordMM/500), Text: t})
	}
	return d, true
}
