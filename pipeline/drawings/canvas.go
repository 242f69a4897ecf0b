package drawings

import (
	"math"

	"pointup/pipeline/draw"
)

// canvas is what is drawn so far, in mm of paper, and what later text has to keep
// off.
type canvas struct {
	items []draw.Item
	texts []box
	lines [][2][2]float64
	box   box

	measured []measured
}

// measured is a linear dimension as it was drawn: between its arrows, on paper.
type measured struct {
	paperMM float64
	text    string
}

func newCanvas() *canvas { return &canvas{box: noBox()} }

func (c *canvas) line(l draw.Layer, a, b [2]float64) {
	c.items = append(c.items, draw.Item{Layer: l, Shape: draw.Segment(a[0], a[1], b[0], b[1])})
	c.keepOff(a, b)
}

// keepOff remembers a line without drawing it.
func (c *canvas) keepOff(a, b [2]float64) {
	c.lines = append(c.lines, [2][2]float64{a, b})
	c.box.take(a)
	c.box.take(b)
}

func (c *canvas) polyline(l draw.Layer, points [][2]float64) {
	for i := 1; i < len(points); i++ {
		c.keepOff(points[i-1], points[i])
	}
	if len(points) > 1 {
		c.items = append(c.items, draw.Item{Layer: l, Shape: draw.Polyline(false, points...)})
	}
}

// arrowMM is the length of an arrow head for text of 2.5 mm; it is a third as wide.
const arrowMM = 2.5

// arrow has its tip at p and points along the angle.
func (c *canvas) arrow(p [2]float64, rad float64) {
	sin, cos := math.Sincos(rad)
	back := func(side float64) [2]float64 {
		return [2]float64{p[0] - arrowMM*cos - side*arrowMM/6*sin, p[1] - arrowMM*sin + side*arrowMM/6*cos}
	}
	head := draw.Polyline(true, p, back(1), back(-1))
	head.Filled = true
	c.items = append(c.items, draw.Item{Layer: draw.Thin, Shape: head})
	c.box.take(back(1))
	c.box.take(back(-1))
}

// textBox is what a line of text covers: its foot begins at x, y, or its middle
// stands there; upright text reads from the right.
func textBox(text string, x, y, heightMM float64, middle, upright bool) box {
	w := draw.TextWidthMM(text, heightMM)
	left := 0.0
	if middle {
		left = -w / 2
	}
	if upright {
		return box{[2]float64{x - heightMM, y + left}, [2]float64{x + 0.3*heightMM, y + left + w}}
	}
	return box{[2]float64{x + left, y - 0.3*heightMM}, [2]float64{x + left + w, y + heightMM}}
}

func (c *canvas) text(text string, x, y, heightMM float64, middle, upright bool) {
	turn := 0.0
	if upright {
		turn = math.Pi / 2
	}
	c.items = append(c.items, draw.Item{Layer: draw.Text, Shape: draw.Label{At: [2]float64{x, y}, HeightMM: heightMM, TurnRad: turn, Middle: middle, Text: text}})
	b := textBox(text, x, y, heightMM, middle, upright)
	c.texts = append(c.texts, b)
	c.box.join(b)
}

// add puts another canvas on this one, moved.
func (c *canvas) add(o *canvas, by [2]float64) {
	for _, it := range o.items {
		c.items = append(c.items, draw.Item{Layer: it.Layer, Shape: shifted(it.Shape, by)})
	}
	c.measured = append(c.measured, o.measured...)
	for _, t := range o.texts {
		c.texts = append(c.texts, t.moved(by))
	}
	for _, l := range o.lines {
		for k := range l {
			l[k] = [2]float64{l[k][0] + by[0], l[k][1] + by[1]}
		}
		c.lines = append(c.lines, l)
	}
	if len(o.items) > 0 {
		c.box.join(o.box.moved(by))
	}
}

// shifted moves the shapes that a canvas has.
func shifted(s draw.Shape, by [2]float64) draw.Shape {
	switch s := s.(type) {
	case draw.Line:
		return draw.Segment(s.A.X+by[0], s.A.Y+by[1], s.B.X+by[0], s.B.Y+by[1])
	case draw.Arc:
		s.Centre.X, s.Centre.Y = s.Centre.X+by[0], s.Centre.Y+by[1]
		return s
	case draw.Label:
		s.At = [2]float64{s.At[0] + by[0], s.At[1] + by[1]}
		return s
	case draw.Contour:
		out := draw.Contour{Closed: s.Closed, Filled: s.Filled}
		for _, v := range s.Vertices {
			out.Vertices = append(out.Vertices, draw.Vertex{At: [2]float64{v.At[0] + by[0], v.At[1] + by[1]}, SweepRad: v.SweepRad})
		}
		return out
	}
	return s
}

// crosses tells whether a line enters a box.
func crosses(l [2][2]float64, b box) bool {
	from, to := 0.0, 1.0
	for k := range 2 {
		d := l[1][k] - l[0][k]
		if d == 0 {
			if l[0][k] < b.lo[k] || l[0][k] > b.hi[k] {
				return false
			}
			continue
		}
		a, z := (b.lo[k]-l[0][k])/d, (b.hi[k]-l[0][k])/d
		if a > z {
			a, z = z, a
		}
		from, to = max(from, a), min(to, z)
	}
	return from < to
}
