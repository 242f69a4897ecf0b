package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"pointup/pipeline/quantity"
	"pointup/pipeline/site"
)

// mark is a place on the work with the number under which a table has it.
type mark struct {
	number string
	at     [3]float64
}

// Sizes of the drawing of places, in its units.
const (
	placesHigh = 560.0
	placesWide = 960.0
	placesEdge = 26.0
	markRound  = 9.0
)

// placesDrawing shows marks on the convex outlines of the pieces, from the front and from
// above, at one scale; none where there are no outlines or marks.
func placesDrawing(shadows []site.Shadow, marks []mark, caption string) []drawing {
	if len(shadows) == 0 || len(marks) == 0 {
		return nil
	}
	lo, hi := [3]float64{math.Inf(1), math.Inf(1), 0}, [3]float64{math.Inf(-1), math.Inf(-1), 0}
	for _, s := range shadows {
		for _, p := range s.Front {
			lo[0], hi[0], hi[2] = min(lo[0], p[0]), max(hi[0], p[0]), max(hi[2], p[1])
		}
		for _, p := range s.Plan {
			lo[1], hi[1] = min(lo[1], p[1]), max(hi[1], p[1])
		}
	}
	k := min((placesHigh-2*placesEdge)/max(hi[2], hi[1]-lo[1], 1), (placesWide-4*placesEdge)/max(2*(hi[0]-lo[0]), 1))
	wide := k * (hi[0] - lo[0])
	width, height := 2*wide+4*placesEdge, k*max(hi[2], hi[1]-lo[1])+2*placesEdge
	ground := height - placesEdge
	var b strings.Builder
	n := func(x float64) string { return quantity.Decimal(x, 1) }
	fmt.Fprintf(&b, `<svg viewBox="0 0 %s %s" font-family="Helvetica, Arial, sans-serif" font-size="11" fill="none" stroke="#26241f" stroke-width="0.8">`, n(width), n(height))
	views := []struct {
		left, base float64
		low        float64
		name       string
		of         func(site.Shadow) [][2]float64
		up         func(mark) float64
	}{
		{placesEdge, ground, 0, "from the front", func(s site.Shadow) [][2]float64 { return s.Front }, func(m mark) float64 { return m.at[2] }},
		{wide + 3*placesEdge, ground, lo[1], "from above", func(s site.Shadow) [][2]float64 { return s.Plan }, func(m mark) float64 { return m.at[1] }},
	}
	for _, v := range views {
		x := func(mm float64) float64 { return v.left + k*(mm-lo[0]) }
		y := func(mm float64) float64 { return v.base - k*(mm-v.low) }
		for _, s := range shadows {
			var points []string
			for _, p := range v.of(s) {
				points = append(points, n(x(p[0]))+","+n(y(p[1])))
			}
			fmt.Fprintf(&b, `<polygon points="%s"/>`, strings.Join(points, " "))
		}
		fmt.Fprintf(&b, `<text x="%s" y="%s" fill="#26241f" stroke="none">%s</text>`, n(v.left), n(height-6), v.name)
		for _, m := range marks {
			cx, cy := x(m.at[0]), y(v.up(m))
			fmt.Fprintf(&b, `<circle cx="%s" cy="%s" r="%s" fill="#fcf9f1" stroke-width="1.6"/><text x="%s" y="%s" fill="#26241f" stroke="none" text-anchor="middle">%s</text>`,
				n(cx), n(cy), n(markRound), n(cx), n(cy+4), template.HTMLEscapeString(m.number))
		}
	}
	fmt.Fprintf(&b, `<line x1="%s" y1="%s" x2="%s" y2="%s" stroke-width="1.6"/></svg>`, n(placesEdge/2), n(ground), n(wide+1.5*placesEdge), n(ground))
	// The drawing is of our own making: numbers and fixed words.
	return []drawing{{SVG: template.HTML(b.String()), Caption: caption, Alt: caption}}
}
