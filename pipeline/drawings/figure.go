package drawings

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/quantity"
	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// figure says how a piece is shown: views in its own frame and what is written at
// them. Points are in the part's frame: u, v and along the axis.
type figure struct {
	views   []aspect
	hidden  bool // draw hidden lines
	linear  []linear
	angles  []angular
	notes   []note
	axes    []centre
	remarks []string
}

// slot is where a view stands against the front one.
type slot int

const (
	front  slot = iota
	beside      // from the side
	plan        // from above
)

// aspect is a view in its slot; one of its own scale need not share that of the
// front view.
type aspect struct {
	view view
	slot slot
	own  bool
}

// centre is a centre line; it is drawn on past its ends unless it closes.
type centre struct {
	view   int
	points []r3.Vec
	closed bool
}

// spread gives the views of the slots for a front view of right and up, in first
// or third angle: seen from the left and standing at the right, and below, or seen
// from the right and standing there, and above.
func aspects(right, up r3.Vec, third bool, slots ...slot) []aspect {
	to := r3.Cross(right, up)
	var out []aspect
	for _, s := range slots {
		v := view{right, up}
		switch {
		case s == beside && third:
			v = view{r3.Scale(-1, to), up}
		case s == beside:
			v = view{to, up}
		case s == plan:
			v = view{right, r3.Scale(-1, to)}
		}
		out = append(out, aspect{view: v, slot: s})
	}
	return out
}

// writer puts sizes into words.
type writer struct {
	units     string // mm, ft-in or both
	feetFirst bool
}

// length is a length in the units that the job shows.
func (w writer) length(mm float64) string {
	m, f := quantity.Decimal(mm, 1), quantity.FeetInches(mm)
	switch {
	case w.units == "mm":
		return m
	case w.units == "ft-in":
		return f
	case w.feetFirst:
		return f + " [" + m + "]"
	}
	return m + " [" + f + "]"
}

// LengthText is a length as the drawings write it.
func LengthText(o Options, mm float64) string { return writer{o.Units, o.FeetFirst}.length(mm) }

func (w writer) diameter(mm float64) string { return "Ø " + w.length(mm) }
func (w writer) radius(mm float64) string   { return "R " + w.length(mm) }

func angleText(deg float64) string { return quantity.Decimal(deg, 2) + "°" }

// figureOf is the figure of a part by its kind. third is third-angle projection.
func figureOf(p Piece, w writer, third bool) figure {
	f := figure{hidden: true}
	size := func(key string) float64 {
		x, _ := p.Part.Size(key)
		return x
	}
	switch p.Part.Kind {
	case "tube", "bar", "profile":
		f.straight(p, w, third)
	case "disc", "ring", "toothed_wheel":
		if p.Part.Kind == "ring" && p.Part.Section == "round" {
			f.hoop(size, w, third)
			break
		}
		f.round(p.Part, size, w, third)
	case "plate":
		f.plate(p, w, third)
	case "sphere":
		f.views = aspects(r3.Vec{X: 1}, r3.Vec{Y: 1}, third, front)
		f.across(0, below, r3.Vec{X: 1}, size("diameter_mm"), w.diameter(size("diameter_mm")))
		f.crossed(0, r3.Vec{}, size("diameter_mm")/2)
		if t := size("wall_mm"); t > 0 {
			f.remarks = append(f.remarks, "wall "+w.length(t))
		}
	case "cone":
		f.cone(p, size, w, third)
	case "arc":
		f.arc(p, size, w, third)
	case "coil":
		f.coil(p, size, w, third)
	case "rolled_plate":
		f.rolled(p.Part, size, w, third)
	default:
		f.lump(p, w, third)
	}
	return f
}

// local takes points of the piece's shape to the frame of its part.
func (p Piece) local() place {
	own := solid.NewFrame(p.Part.Frame.OriginMM, p.Part.Frame.Axis, p.Part.Frame.Ref)
	return func(q r3.Vec) r3.Vec { return own.Local(p.Frame.Point(q.X, q.Y, q.Z)) }
}

// across is a dimension of a size about the origin along a unit direction.
func (f *figure) across(view int, s side, way r3.Vec, mm float64, text string) {
	if mm > 0 {
		f.linear = append(f.linear, linear{view, r3.Scale(-mm/2, way), r3.Scale(mm/2, way), s, text})
	}
}

// crossed are the two centre lines of a circle about a point of a face-on view.
func (f *figure) crossed(view int, at r3.Vec, radius float64) {
	v := f.views[view].view
	for _, d := range [2]r3.Vec{v.right, v.up} {
		f.axes = append(f.axes, centre{view: view, points: []r3.Vec{r3.Sub(at, r3.Scale(radius, d)), r3.Add(at, r3.Scale(radius, d))}})
	}
}

func (f *figure) axis(view int, a, b r3.Vec) {
	f.axes = append(f.axes, centre{view: view, points: []r3.Vec{a, b}})
}

// straight is a tube, bar or profile lying: from the side, and its section from
// the end at a scale of its own.
func (f *figure) straight(p Piece, w writer, third bool) {
	to := p.local()
	low, high := r3.Vec{Z: -1}, r3.Vec{Z: 1}
	lean := r3.Vec{X: 1}
	if s, ok := p.Shape.(solid.Prism); ok {
		low, high = to(r3.Vec{Z: s.Low.Z}), to(r3.Vec{Z: s.High.Z})
		if s.Low.U != 0 || s.Low.V != 0 {
			lean = r3.Unit(r3.Vec{X: s.Low.U, Y: s.Low.V})
		} else if s.High.U != 0 || s.High.V != 0 {
			lean = r3.Unit(r3.Vec{X: s.High.U, Y: s.High.V})
		}
	}
	f.views = aspects(r3.Vec{Z: 1}, lean, third, front, beside)
	f.views[1].own = true
	length, _ := p.Part.Size("length_mm")
	text := w.length(length)
	f.axis(0, low, high)
	for _, v := range [...]struct {
		key  string
		side side
	}{{"outside_diameter_mm", right}, {"inside_diameter_mm", left}} {
		if d, ok := p.Part.Size(v.key); ok {
			f.across(1, v.side, lean, d, w.diameter(d))
		}
	}
	reach := 0.0
	if d, ok := p.Part.Size("outside_diameter_mm"); ok {
		reach = d / 2
		f.crossed(1, r3.Vec{}, reach)
	} else {
		f.section(p.Part, w)
	}
	for i, e := range p.Part.Ends {
		switch e.Kind {
		case "mitre":
			at := high
			if own := solid.NewFrame(p.Part.Frame.OriginMM, p.Part.Frame.Axis, p.Part.Frame.Ref); own.LocalDir(e.Out).Z < 0 {
				at = low
			}
			f.notes = append(f.notes, note{at: at, way: r3.Add(r3.Scale(math.Copysign(0.3, at.Z), r3.Vec{Z: 1}), lean), text: "mitre " + angleText(e.AngleDeg)})
		case "saddle", "irregular":
			f.remarks = append(f.remarks, fmt.Sprintf("end %d: %s, drawn square; cut it to its wrap-round template", i+1, e.Kind))
		case "hidden":
			f.remarks = append(f.remarks, fmt.Sprintf("end %d was not seen by the scan: drawn square", i+1))
		}
	}
	off := r3.Scale(-reach, lean)
	if len(f.notes) > 0 { // between the end centres
		off = r3.Vec{}
	}
	f.linear = append(f.linear, linear{0, r3.Add(low, off), r3.Add(high, off), below, text})
}

// section dimensions the box round a profile's outline.
func (f *figure) section(p stock.Part, w writer) {
	b := noBox()
	v := f.views[1].view
	for _, s := range p.Outline {
		b.take(v.flat(r3.Vec{X: s.To[0], Y: s.To[1]}))
		if s.Arc {
			b.take(v.flat(r3.Vec{X: s.Via[0], Y: s.Via[1]}))
		}
	}
	if len(p.Outline) == 0 {
		return
	}
	at := func(x, y float64) r3.Vec { return r3.Add(r3.Scale(x, v.right), r3.Scale(y, v.up)) }
	f.linear = append(f.linear,
		linear{1, at(b.lo[0], b.lo[1]), at(b.hi[0], b.lo[1]), below, w.length(b.wide())},
		linear{1, at(b.hi[0], b.lo[1]), at(b.hi[0], b.hi[1]), right, w.length(b.high())})
}

// round is flat and round: its face, and its edge.
func (f *figure) round(p stock.Part, size func(string) float64, w writer, third bool) {
	f.views = aspects(r3.Vec{X: 1}, r3.Vec{Y: 1}, third, front, beside)
	outside := size("outside_diameter_mm")
	outer := r3.Vec{X: 1}
	if p.Kind == "toothed_wheel" {
		f.hidden = false
		outside = size("tip_diameter_mm")
		f.across(0, above, outer, size("root_diameter_mm"), w.diameter(size("root_diameter_mm"))+" root")
		f.across(0, above, outer, size("bore_diameter_mm"), w.diameter(size("bore_diameter_mm")))
		f.across(0, below, outer, outside, w.diameter(outside)+" tip")
		n := size("tooth_count")
		sin, cos := math.Sincos(math.Round(n/8) * 2 * math.Pi / n)
		f.notes = append(f.notes, note{at: r3.Vec{X: outside / 2 * cos, Y: outside / 2 * sin}, way: r3.Vec{X: cos, Y: sin}, text: fmt.Sprintf("%.0f teeth", n)})
	} else {
		f.across(0, below, outer, outside, w.diameter(outside))
		f.across(0, above, outer, size("inside_diameter_mm"), w.diameter(size("inside_diameter_mm")))
	}
	t := size("thickness_mm")
	f.linear = append(f.linear, linear{1, r3.Vec{Y: -outside / 2, Z: -t / 2}, r3.Vec{Y: -outside / 2, Z: t / 2}, below, w.length(t)})
	f.crossed(0, r3.Vec{}, outside/2)
	f.axis(1, r3.Vec{Z: -t / 2}, r3.Vec{Z: t / 2})
	f.holes(p, w, 0, func(q [2]float64) r3.Vec { return r3.Vec{X: q[0], Y: q[1]} })
}

// Holes are drawn with centre lines, and hidden in other views, where they are at
// most so many: more would only be ink.
const holesMost = 16

// holes names the holes of each size at one of them.
func (f *figure) holes(p stock.Part, w writer, view int, at func([2]float64) r3.Vec) {
	if len(p.Holes) > holesMost {
		f.hidden = false
	}
	if len(p.Holes) <= holesMost {
		for _, h := range p.Holes {
			f.crossed(view, at(h.CentreMM), max(h.DiameterMM, h.AcrossMM[0])/2)
		}
	}
	for i, g := range alikeHoles(p.Holes) {
		if i == 4 {
			f.remarks = append(f.remarks, "further holes: see the flat pattern")
			break
		}
		text := holeText(g.mean(), w)
		if n := len(g); n > 1 {
			text = fmt.Sprintf("%d × %s", n, text)
		}
		way := r3.Add(f.views[view].view.right, f.views[view].view.up)
		c := at(g[0].CentreMM)
		for _, h := range g { // the one at the upper right
			if q := at(h.CentreMM); r3.Dot(q, way) > r3.Dot(c, way)+1 {
				c = q
			}
		}
		if r3.Norm(c) > 1 {
			way = c
		}
		f.notes = append(f.notes, note{view: view, at: c, radiusMM: max(g[0].DiameterMM, g[0].AcrossMM[1]) / 2, way: way, text: text})
	}
	if p.Kind != "plate" {
		f.boltCircle(p.Holes, view, w)
	}
}

// holeGroup are holes of one size.
type holeGroup []stock.Hole

// Holes of one shape whose sizes differ by no more are one size.
const (
	likeHoleMM    = 0.3
	likeHoleShare = 0.005
)

func alikeHoles(holes []stock.Hole) []holeGroup {
	var out []holeGroup
	near := func(a, b float64) bool { return math.Abs(a-b) <= max(likeHoleMM, likeHoleShare*a) }
next:
	for _, h := range holes {
		for i, g := range out {
			o := g[0]
			if o.Shape == h.Shape && near(o.DiameterMM, h.DiameterMM) && near(o.AcrossMM[0], h.AcrossMM[0]) && near(o.AcrossMM[1], h.AcrossMM[1]) {
				out[i] = append(g, h)
				continue next
			}
		}
		out = append(out, holeGroup{h})
	}
	return out
}

// mean is a hole of the mean size.
func (g holeGroup) mean() stock.Hole {
	h := g[0]
	h.DiameterMM, h.AcrossMM = 0, [2]float64{}
	for _, o := range g {
		n := float64(len(g))
		h.DiameterMM += o.DiameterMM / n
		h.AcrossMM[0] += o.AcrossMM[0] / n
		h.AcrossMM[1] += o.AcrossMM[1] / n
	}
	return h
}

// boltCircle is the circle about the axis on which three or more round holes lie.
func (f *figure) boltCircle(holes []stock.Hole, view int, w writer) {
	sum, n := 0.0, 0.0
	for _, h := range holes {
		sum += math.Hypot(h.CentreMM[0], h.CentreMM[1])
		n++
	}
	if n < 3 {
		return
	}
	r := sum / n
	for _, h := range holes {
		if h.Shape != "round" || math.Abs(math.Hypot(h.CentreMM[0], h.CentreMM[1])-r) > max(likeHoleMM, likeHoleShare*r) {
			return
		}
	}
	f.axes = append(f.axes, centre{view, circle(r3.Vec{}, r), true})
	if f.views[view].view.right == (r3.Vec{X: 1}) {
		f.across(view, above, r3.Vec{X: 1}, 2*r, w.diameter(2*r)+" hole circle")
	}
}

func holeText(h stock.Hole, w writer) string {
	switch h.Shape {
	case "round":
		return w.diameter(h.DiameterMM)
	case "slot", "diamond", "rectangle":
		return fmt.Sprintf("%s %s × %s", h.Shape, w.length(h.AcrossMM[0]), w.length(h.AcrossMM[1]))
	}
	return "opening"
}
