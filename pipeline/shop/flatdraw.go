package shop

import (
	"fmt"
	"math"

	"pointup/pipeline/draw"
)

func (f *Flat) line(l draw.Layer, shapes ...draw.Shape) {
	for _, s := range shapes {
		f.Lines = append(f.Lines, draw.Item{Layer: l, Shape: s})
	}
}

// setOut marks what the floor needs: an arrow along the direction of rolling, the
// mark, and punch marks at the centre of round work and of round holes too small
// for one to matter.
func (f *Flat) setOut(opt FlatOptions) {
	lo, hi := f.Outer.box()
	h := math.Min(opt.MarkMM, (hi[1]-lo[1])/6)
	a := f.clear(h*math.Max(6, 1+0.8*float64(len(f.Mark))), 3.5*h) // the arrow's barb reaches 1.5 h below
	f.line(draw.Mark, arrow(a[0], a[1]-h, 6*h, h)...)
	f.line(draw.Mark, draw.Label{At: [2]float64{a[0] + h/2, a[1]}, HeightMM: h, Text: f.Mark})
	f.Notes = append(f.Notes, "arrow: direction of rolling of the plate")
	switch f.Kind {
	case "disc", "ring", "toothed_wheel":
		f.line(draw.Punch, draw.Cross(0, 0, h)...)
		f.line(draw.Centre, draw.Segment(lo[0]-h, 0, hi[0]+h, 0), draw.Segment(0, lo[1]-h, 0, hi[1]+h))
	}
	for _, o := range f.Openings {
		if c := o.Loop; c.RadiusMM > 0 && c.CentreMM != ([2]float64{}) {
			f.line(draw.Punch, draw.Cross(c.CentreMM[0], c.CentreMM[1], math.Min(h, c.RadiusMM))...)
		}
	}
}

func arrow(x, y, length, h float64) []draw.Shape {
	tip := x + length
	return []draw.Shape{draw.Segment(x, y, tip, y), draw.Segment(tip, y, tip-h, y+h/2), draw.Segment(tip, y, tip-h, y-h/2)}
}

// clear is a place on metal for a mark of the size, nearest to the middle: on a
// grid, where no cut comes within it; the middle where there is none.
func (f *Flat) clear(w, h float64) [2]float64 {
	lo, hi := f.Outer.box()
	mid := [2]float64{(lo[0]+hi[0])/2 - w/2, (lo[1] + hi[1]) / 2}
	const n = 12
	best, least := mid, math.Inf(1)
	outer := f.Outer.line()
	holes := make([]hole, len(f.Openings))
	for i, o := range f.Openings {
		holes[i].line = o.Loop.line()
		holes[i].lo, holes[i].hi = o.Loop.box()
	}
	for i := range n {
		for k := range n {
			p := [2]float64{lo[0] + (hi[0]-lo[0])*(float64(i)+0.5)/n - w/2, lo[1] + (hi[1]-lo[1])*(float64(k)+0.5)/n}
			off := math.Hypot(p[0]-mid[0], p[1]-mid[1])
			if off >= least || !free(p, w, h, outer, holes) {
				continue
			}
			best, least = p, off
		}
	}
	return best
}

// hole is an opening in chords, with its box.
type hole struct {
	line   [][2]float64
	lo, hi [2]float64
}

// free tells whether corners and middle of a rectangle from p, h/2 below to h/2
// above it, lie on metal.
func free(p [2]float64, w, h float64, outer [][2]float64, holes []hole) bool {
	for i := range 5 {
		for k := range 3 {
			q := [2]float64{p[0] + w*float64(i)/4, p[1] + h*float64(k-1)/2}
			if !within(outer, q) {
				return false
			}
			for _, o := range holes {
				inBox := q[0] >= o.lo[0] && q[0] <= o.hi[0] && q[1] >= o.lo[1] && q[1] <= o.hi[1]
				if inBox && within(o.line, q) {
					return false
				}
			}
		}
	}
	return true
}

// within counts crossings of a ray along u.
func within(line [][2]float64, p [2]float64) bool {
	in := false
	for i, a := range line {
		b := line[(i+1)%len(line)]
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(p[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}

// Drawing is the pattern as it is cut, without sizes: they would be in the
// cutter's way.
func (f Flat) Drawing(material string) draw.Drawing {
	d := draw.Drawing{Title: title(f.Mark, f.Name), Notes: append([]string{f.what(material)}, f.Notes...)}
	d.Add(draw.Cut, f.Outer.shape())
	for _, o := range f.Openings {
		d.Add(draw.Cut, o.Loop.shape())
	}
	d.Items = append(d.Items, f.Lines...)
	lo, hi := f.Outer.box()
	h := math.Min(12, math.Max(5, math.Max(hi[0]-lo[0], hi[1]-lo[1])/150)) // read from as far as the whole is seen
	for i, n := range d.Notes {
		d.Add(draw.Text, draw.Label{At: [2]float64{lo[0], lo[1] - (float64(i)+3)*2*h}, HeightMM: h, Text: n})
	}
	return d
}

func title(mark, name string) string {
	if name == "" {
		return mark
	}
	return mark + " " + name
}

// what is the line of figures that goes with a pattern.
func (f Flat) what(material string) string {
	return fmt.Sprintf("%s: %.1f mm %s, %.1f × %.1f mm, cut %.1f mm, %d pierces, net %.2f kg, gross %.2f kg", title(f.Mark, f.Name), f.ThicknessMM, material,
		f.BoxMM[0], f.BoxMM[1], f.CutMM, f.Pierces, f.NetKG, f.GrossKG)
}
