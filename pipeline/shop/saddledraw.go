package shop

import (
	"fmt"
	"math"

	"pointup/pipeline/draw"
	"pointup/pipeline/quantity"
)

// Of a wrap-round template, mm: how far it reaches up the branch beyond the
// shortest generator, and its letters.
const (
	wrapMM       = 80
	wrapLetterMM = 4
)

// Wrap is the branch's template at full size: wrapped round its outside, printed
// face out, the curve towards the header. Its edges meet along station 1.
func (x Saddle) Wrap() draw.Drawing {
	d := draw.Drawing{Title: fmt.Sprintf("%s on %s, wrap-round template", x.Branch, x.Header), Notes: append([]string{
		fmt.Sprintf("branch %.1f mm on header %.1f mm, %.2f° between the axes, %s mm off centre", x.BranchMM, x.HeaderMM, x.AngleDeg, quantity.Decimal(x.OffsetMM, 1)),
		"wrap it printed face out, the curve towards the header; edges meet at station 1"}, x.Notes...)}
	s, most := x.geometry()
	d.Items = wrapped(x.BranchMM, len(x.Stations), func(t float64) float64 { return most - s.w(t) }).Items
	return d
}

// geometry is what the stations were computed from, and the greatest w.
func (x Saddle) geometry() (saddle, float64) {
	s := saddle{R: x.HeaderMM / 2, r: x.CutMM / 2, o: x.OffsetMM}
	s.sinB, s.cosB = math.Sincos(x.AngleDeg * math.Pi / 180)
	if x.AngleDeg == 90 {
		s.cosB = 0
	}
	return s, x.Stations[0].FromAxisMM + x.Stations[0].DropMM
}

// wrapped draws a template round a diameter whose edge lies height(t) over the
// datum line; a line and its ordinate at each station.
func wrapped(diameterMM float64, stations int, height func(t float64) float64) draw.Drawing {
	var d draw.Drawing
	girth := math.Pi * diameterMM
	edge := draw.Contour{Closed: true, Vertices: []draw.Vertex{{At: [2]float64{0, -wrapMM}}, {At: [2]float64{girth, -wrapMM}}}}
	const n = 720
	for k := n; k >= 0; k-- {
		t := 2 * math.Pi * float64(k) / n
		edge.Vertices = append(edge.Vertices, draw.Vertex{At: [2]float64{diameterMM / 2 * t, height(t)}})
	}
	d.Add(draw.Cut, edge)
	d.Add(draw.Mark, draw.Segment(0, 0, girth, 0))
	for i := range stations + 1 {
		t := 2 * math.Pi * float64(i) / float64(stations)
		u := diameterMM / 2 * t
		d.Add(draw.Mark, draw.Segment(u, -wrapMM, u, height(t)))
		if i == stations {
			break
		}
		d.Add(draw.Text, draw.Label{At: [2]float64{u + 1, -wrapMM + 2}, HeightMM: wrapLetterMM, Text: fmt.Sprint(i + 1)},
			draw.Label{At: [2]float64{u + 1 + wrapLetterMM, -wrapMM + 16}, HeightMM: wrapLetterMM * 0.8, TurnRad: math.Pi / 2, Text: fmt.Sprintf("%.1f mm", height(t))})
	}
	return d
}

// HoleTemplate is the hole in the header at full size: wrapped round the header,
// printed face out, its length along the header.
func (x Saddle) HoleTemplate() draw.Drawing {
	d := draw.Drawing{Title: fmt.Sprintf("%s on %s, hole in the header", x.Branch, x.Header), Notes: []string{
		fmt.Sprintf("wrap it round the header of %.1f mm, printed face out; the crosses where the axes meet", x.HeaderMM), "cut to the line for a branch set in; for one set on, a bore's width less"}}
	s, _ := x.geometry()
	c := draw.Contour{Closed: true}
	const n = 720
	lo, hi := math.Inf(1), math.Inf(-1)
	for k := range n {
		along, round := s.hole(2 * math.Pi * float64(k) / n)
		c.Vertices = append(c.Vertices, draw.Vertex{At: [2]float64{along, round}})
		lo, hi = math.Min(lo, along), math.Max(hi, along)
	}
	d.Add(draw.Cut, c)
	d.Add(draw.Centre, draw.Segment(lo-20, 0, hi+20, 0), draw.Segment(0, -x.HeaderMM/2, 0, x.HeaderMM/2))
	d.Add(draw.Punch, draw.Cross(0, 0, 10)...)
	for _, a := range x.Stations {
		d.Add(draw.Mark, draw.Cross(a.HoleAlong, a.HoleMM, 3)...)
	}
	return d
}
