package drawings

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/draw"
)

// Options say how pieces are drawn.
type Options struct {
	Units     string  // of lengths: mm, ft-in or both
	FeetFirst bool    // feet and inches before mm
	Third     bool    // third-angle projection (ASME Y14.3), else first-angle (ISO 128)
	TextMM    float64 // height of capitals on paper, of ISO 3098
}

// Sketch is a piece in its views with dimensions, in mm of paper from the lower
// left corner.
type Sketch struct {
	Drawing        draw.Drawing
	WideMM, HighMM float64
	FullMM         float64 // at full size for one of paper: 10 is 1:10
	Scale          string
	Remarks        []string
	Crowded        bool // a text found no free place

	canvas *canvas
}

// least and most room that a sketch is made for, mm of paper.
const (
	roomLeast = 40
	roomMost  = 2000
)

// SketchOf draws a piece at the largest scale of ISO 5455 at which it fits into
// the room, mm of paper. Errors: a shape that makes no solid, a room that is too
// small for anything.
func SketchOf(p Piece, opt Options, wideMM, highMM float64) (Sketch, error) {
	if !(wideMM >= roomLeast && highMM >= roomLeast && wideMM <= roomMost && highMM <= roomMost && opt.TextMM > 0.5 && opt.TextMM < 20) {
		return Sketch{}, fmt.Errorf("%s: no sketch of %g × %g mm with text of %g mm", p.Part.ID, wideMM, highMM, opt.TextMM)
	}
	if p.Shape == nil {
		return Sketch{}, fmt.Errorf("%s: no sketch: it has no solid model", p.Part.ID)
	}
	f := figureOf(p, writer{opt.Units, opt.FeetFirst}, opt.Third)
	coarse, err := bodyOf(p.Shape, p.local(), max(r3.Norm(r3.Sub(p.Part.BoxMM[1], p.Part.BoxMM[0])), 1)/2000)
	if err != nil {
		return Sketch{}, fmt.Errorf("%s: no sketch: %w", p.Part.ID, err)
	}
	var boxes []box
	for _, a := range f.views {
		boxes = append(boxes, boxOf([]body{coarse}, a.view))
	}
	var best *Sketch
	for _, full := range scales() {
		l := f.layOut(boxes, full, opt)
		if l.box.wide() > wideMM || l.box.high() > highMM {
			continue
		}
		s, err := f.render(p, l, full, opt, wideMM, highMM)
		if err != nil {
			return Sketch{}, fmt.Errorf("%s: no sketch: %w", p.Part.ID, err)
		}
		if best == nil || !s.Crowded {
			best = &s
		}
		if !s.Crowded || full > 2.5*best.FullMM {
			break
		}
	}
	if best == nil {
		return Sketch{}, fmt.Errorf("%s: no sketch: %w", p.Part.ID, errors.New("it fits into the room at no scale"))
	}
	best.Drawing.Title = title(p)
	return *best, nil
}

// Signed is the sketch with its scale and remarks under it, for one that stands
// alone.
func (s Sketch) Signed(textMM float64) draw.Drawing {
	d := draw.Drawing{Title: s.Drawing.Title, Items: append([]draw.Item(nil), s.Drawing.Items...)}
	for i, line := range append([]string{"scale " + s.Scale}, s.Remarks...) {
		d.Add(draw.Text, draw.Label{At: [2]float64{0, -(float64(i) + 2) * 1.8 * textMM}, HeightMM: textMM, Text: line})
	}
	return d
}

func title(p Piece) string {
	if p.Part.Name == "" {
		return p.Part.ID
	}
	return p.Part.ID + " " + p.Part.Name
}

// laid is where views stand on paper.
type laid struct {
	panes []pane
	box   box
}

// pane is a view on paper: its dimensions about its own origin, and where that is.
type pane struct {
	full    float64 // mm at full size for one of paper
	outline box     // of the piece
	canvas  *canvas // dimensions
	at      [2]float64
}

// betweenMM is left between views and what stands at them.
const betweenMM = 9

// ownMM are the least and most of a view at a scale of its own, on paper.
var ownMM = [2]float64{24, 50}

// layOut places the views at a scale; leaders are not drawn yet.
func (f *figure) layOut(boxes []box, full float64, opt Options) laid {
	l := laid{box: noBox()}
	for i, a := range f.views {
		k := full
		if a.own {
			k = ownScale(max(boxes[i].wide(), boxes[i].high()), full)
		}
		l.panes = append(l.panes, f.pane(i, boxes[i], k, full, opt))
	}
	main := l.panes[0].canvas.box
	for i, a := range f.views {
		p := &l.panes[i]
		switch a.slot {
		case beside:
			p.at[0] = main.hi[0] + betweenMM - p.canvas.box.lo[0]
			if p.full != full {
				p.at[1] = (l.panes[0].outline.lo[1]+l.panes[0].outline.hi[1])/2 - (p.outline.lo[1]+p.outline.hi[1])/2
			}
		case plan:
			if opt.Third {
				p.at[1] = main.hi[1] + betweenMM - p.canvas.box.lo[1]
			} else {
				p.at[1] = main.lo[1] - betweenMM - p.canvas.box.hi[1]
			}
		}
		l.box.join(p.canvas.box.moved(p.at))
	}
	return l
}

// ownScale is the largest scale not under the main one at which the size stays
// within ownMM, the main one where it is large enough there.
func ownScale(size, full float64) float64 {
	if size/full >= ownMM[0] {
		return full
	}
	for _, k := range scales() {
		if k <= full && size/k <= ownMM[1] {
			return k
		}
	}
	return full
}

// pane has the angles and linear dimensions of one view, which names its scale
// where it is not the main one.
func (f *figure) pane(n int, outline box, full, main float64, opt Options) pane {
	p := pane{full: full, canvas: newCanvas()}
	v := f.views[n].view
	flat := func(q r3.Vec) [2]float64 {
		x := v.flat(q)
		return [2]float64{x[0] / full, x[1] / full}
	}
	p.outline = box{[2]float64{outline.lo[0] / full, outline.lo[1] / full}, [2]float64{outline.hi[0] / full, outline.hi[1] / full}}
	for _, x := range f.axes {
		if x.view == n {
			for _, q := range x.points {
				p.outline.take(flat(q))
			}
		}
	}
	c := p.canvas
	c.box.join(p.outline)
	for _, a := range f.angles {
		if a.view == n {
			from := v.flat(a.from)
			c.angle(flat(a.centre), a.radiusMM/full, math.Atan2(from[1], from[0]), a.sweepRad, opt.TextMM, a.text)
		}
	}
	round := c.box
	for _, x := range f.axes {
		if x.view == n && !x.closed {
			line := x.onPaper(v, full, [2]float64{})
			c.box.take(line[0])
			c.box.take(line[len(line)-1])
		}
	}
	for _, s := range [...]side{below, above, left, right} {
		var list []span
		for _, d := range f.linear {
			if d.view != n || d.side != s {
				continue
			}
			a, b := flat(d.a), flat(d.b)
			if a[s.along()] > b[s.along()] {
				a, b = b, a
			}
			list = append(list, span{from: a, to: b, text: d.text, width: draw.TextWidthMM(d.text, opt.TextMM)})
		}
		c.beside(list, s, round, opt.TextMM)
	}
	if full != main {
		c.text("("+scaleText(full)+")", (p.outline.lo[0]+p.outline.hi[0])/2, c.box.lo[1]-2.2*opt.TextMM, opt.TextMM, true, false)
	}
	return p
}

// finenessMM is the size of cells on paper in which hidden lines are found.
const finenessMM = 0.12

// render draws the piece into the laid out views, then leaders where they find
// room.
func (f *figure) render(p Piece, l laid, full float64, opt Options, wideMM, highMM float64) (Sketch, error) {
	finest := full
	for _, x := range l.panes {
		finest = min(finest, x.full)
	}
	b, err := bodyOf(p.Shape, p.local(), 0.3*finenessMM*finest)
	if err != nil {
		return Sketch{}, err
	}
	c := newCanvas()
	for i, x := range l.panes {
		v := f.views[i].view
		for _, path := range project([]body{b}, v, finenessMM*x.full, f.hidden).paths {
			c.path(path, draw.Visible, x.full, x.at)
		}
		for _, a := range f.axes {
			if a.view == i {
				c.axis(a, v, x.full, x.at)
			}
		}
		c.add(x.canvas, x.at)
	}
	// What is left of the room may take leaders, on all sides alike.
	spare := [2]float64{(wideMM - l.box.wide()) / 2, (highMM - l.box.high()) / 2}
	room := box{[2]float64{l.box.lo[0] - spare[0], l.box.lo[1] - spare[1]}, [2]float64{l.box.hi[0] + spare[0], l.box.hi[1] + spare[1]}}
	s := Sketch{FullMM: full, Scale: scaleText(full), Remarks: f.remarks, canvas: c}
	for _, n := range f.notes {
		x := l.panes[n.view]
		v := f.views[n.view].view
		at := v.flat(n.at)
		var others []box
		for i, o := range l.panes {
			if i != n.view {
				others = append(others, o.canvas.box.moved(o.at))
			}
		}
		if !c.leader([2]float64{at[0]/x.full + x.at[0], at[1]/x.full + x.at[1]}, n.radiusMM/x.full, v.flat(n.way), n.text, opt.TextMM, room, others) {
			s.Crowded = true
		}
	}
	out := newCanvas()
	out.add(c, [2]float64{-c.box.lo[0], -c.box.lo[1]})
	s.canvas, s.Drawing.Items = out, out.items
	s.WideMM, s.HighMM = c.box.wide(), c.box.high()
	return s, nil
}

// path draws a line of a projection on paper, on the layer where it is seen.
func (c *canvas) path(p path, l draw.Layer, full float64, at [2]float64) {
	if p.hidden {
		l = draw.Hidden
	}
	points := make([][2]float64, len(p.points))
	for i, q := range p.points {
		points[i] = [2]float64{q[0]/full + at[0], q[1]/full + at[1]}
	}
	c.polyline(l, simpler(points))
}

// simplerMM is how far a simpler line may leave the first on paper: a tenth of its
// width would be seen as corners, a fiftieth is not.
const simplerMM = 0.01

// simpler leaves out points (Douglas and Peucker, Cartographica 10 (1973) 112).
func simpler(line [][2]float64) [][2]float64 {
	n := len(line)
	if n < 3 {
		return line
	}
	a, b := line[0], line[n-1]
	d := [2]float64{b[0] - a[0], b[1] - a[1]}
	l := math.Hypot(d[0], d[1])
	worst, at := simplerMM, 0
	for i := 1; i+1 < n; i++ {
		x, y := line[i][0]-a[0], line[i][1]-a[1]
		off := math.Hypot(x, y)
		if l > 0 {
			t := min(max((x*d[0]+y*d[1])/(l*l), 0), 1)
			off = math.Hypot(x-t*d[0], y-t*d[1])
		}
		if off > worst {
			worst, at = off, i
		}
	}
	if at == 0 {
		return [][2]float64{a, b}
	}
	return append(simpler(line[:at+1:at+1]), simpler(line[at:])[1:]...)
}

// pastMM is how far centre lines go on past what they are of, on paper.
const pastMM = 3

func (c *canvas) axis(a centre, v view, full float64, at [2]float64) {
	c.polyline(draw.Axis, a.onPaper(v, full, at))
}

// onPaper is a centre line as it is drawn.
func (a centre) onPaper(v view, full float64, at [2]float64) [][2]float64 {
	var points [][2]float64
	for _, q := range a.points {
		x := v.flat(q)
		points = append(points, [2]float64{x[0]/full + at[0], x[1]/full + at[1]})
	}
	if n := len(points); n == 2 && !a.closed {
		d := [2]float64{points[1][0] - points[0][0], points[1][1] - points[0][1]}
		k := pastMM / max(math.Hypot(d[0], d[1]), 1e-9)
		points[0] = [2]float64{points[0][0] - k*d[0], points[0][1] - k*d[1]}
		points[1] = [2]float64{points[1][0] + k*d[0], points[1][1] + k*d[1]}
	}
	return points
}
