package site

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// bent is the centreline of a ring, an arc or a coil; nil for a flat ring that is
// rather a plate.
func (m Metal) bent(p Piece, x *measured) *line {
	f, flat := p.Part.Frame, false
	outside, in := 0.0, 0.0
	if p.Part.Kind == "ring" && p.Part.Section != "round" || p.Part.Kind == "arc" && !has(x, "section_diameter_mm") {
		flat, outside, in = true, x.size("outside_diameter_mm"), x.size("inside_diameter_mm")
		if wide := (outside - in) / 2; (outside+in)/2 < slenderRing*wide {
			return nil
		}
	}
	l := &line{}
	r := (outside + in) / 4
	if flat {
		l.section = m.flat((outside-in)/2, x.size("thickness_mm"))
	} else {
		r = x.size("centreline_diameter_mm") / 2
		l.section = m.round(x.size("section_diameter_mm"), bore(p, x.part, "section_bore_mm"))
	}
	l.upAt = func(at r3.Vec) r3.Vec { // outward from the axis
		v := r3.Sub(at, f.OriginMM)
		return r3.Sub(v, r3.Scale(r3.Dot(v, f.Axis), f.Axis))
	}
	switch p.Part.Kind {
	case "ring":
		l.closed = true
		l.points = p.helix(r, 0, 2*math.Pi, 0, 0)
		l.points = l.points[:len(l.points)-1]
	case "arc":
		sweep := x.size("sweep_deg")
		if !(sweep <= 360) {
			x.unknown = "sweep_deg"
			return nil
		}
		l.points = p.helix(r, 0, sweep*math.Pi/180, 0, 0)
		if len(p.Part.Segments) > 0 {
			p.toEnds(l)
		}
	case "coil":
		p.coil(l, r, x)
	}
	return l
}

func has(x *measured, key string) bool {
	_, ok := x.part.Size(key)
	return ok
}

// helix runs from an angle through a sweep about the piece's axis, and from a height
// through a rise.
func (p Piece) helix(r, start, sweep, low, rise float64) []r3.Vec {
	n := max(int(math.Ceil(math.Abs(sweep)/(2*math.Pi)*beamsTurn-1e-9)), beamsStraight)
	var out []r3.Vec
	for i := range n + 1 {
		k := float64(i) / float64(n)
		sin, cos := math.Sincos(start + sweep*k)
		out = append(out, p.Part.Frame.Point(r*cos, r*sin, low+rise*k))
	}
	return out
}

// coil starts where its low end was seen; where none was, at the frame's u.
func (p Piece) coil(l *line, r float64, x *measured) {
	turns, rise := x.size("turns"), 0.0
	if has(x, "pitch_mm") {
		pitch, _ := x.part.Size("pitch_mm")
		rise = turns * pitch
	}
	if !(turns <= 500) {
		x.unknown = "turns"
		return
	}
	sweep, start, seen := 2*math.Pi*turns, 0.0, false
	if p.Part.Hand == "left" {
		sweep = -sweep
	}
	f := p.Part.Frame
	for _, e := range p.Part.Ends {
		v := r3.Sub(e.AtMM, f.OriginMM)
		if h := r3.Dot(v, f.Axis); e.Out != (r3.Vec{}) && h < 0 && !seen {
			start, seen = math.Atan2(r3.Dot(v, r3.Cross(f.Axis, f.Ref)), r3.Dot(v, f.Ref)), true
		}
	}
	if !seen {
		l.rough = "its low end was not seen: the angle at which it starts is open"
	}
	l.points = p.helix(r, start, sweep, -rise/2, rise)
}

// toEnds takes a compound bend from its longest arc straight to its ends: right
// where its other lengths are straight and go on from the arc.
func (p Piece) toEnds(l *line) {
	l.rough = "a compound bend: taken as its longest arc and straight to its ends"
	for _, e := range p.Part.Ends {
		if e.Out == (r3.Vec{}) {
			continue
		}
		first, last := l.points[0], l.points[len(l.points)-1]
		a, b := r3.Norm(r3.Sub(e.AtMM, first)), r3.Norm(r3.Sub(e.AtMM, last))
		switch {
		case min(a, b) < mergeDepths*l.section.depthMM(): // the arc ends the bend
		case a < b:
			l.points = append([]r3.Vec{e.AtMM}, l.points...)
		default:
			l.points = append(l.points, e.AtMM)
		}
	}
}
