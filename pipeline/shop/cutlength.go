package shop

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// long is how a part is cut from a bar or tube before it is bent.
type long struct {
	lengthMM float64 // that the saw is set to: the longest generator
	bends    int
	ends     [2]string
	saddles  int
}

// longOf is the cut length of what is made of bar, tube or profile: straight ones
// by their longest generator, bent ones by the length of their centreline, which
// keeps its length.
func longOf(p stock.Part) (long, error) {
	l := long{ends: endsOf(p)}
	for _, e := range p.Ends {
		if e.Kind == "saddle" || e.Kind == "irregular" {
			l.saddles++
		}
	}
	ok := true
	switch p.Kind {
	case "tube", "bar", "profile", "plate":
		l.lengthMM, ok = generator(p)
	case "ring", "arc", "coil":
		f, err := FormingOf(p, 0)
		if err != nil {
			return l, err
		}
		l.lengthMM, l.bends = f.DevelopedMM, max(f.arcs(), 1)
		if p.Kind == "ring" {
			l.ends = [2]string{"square", "square"}
		}
	}
	if !ok || !(l.lengthMM > 0) {
		return l, fmt.Errorf("%s: the length of the %s is not known; measure it on the piece and give it under by_hand", p.ID, p.Kind)
	}
	return l, nil
}

// arcs counts the bends.
func (f Forming) arcs() int {
	n := 0
	for _, s := range f.Steps {
		if s.Arc {
			n++
		}
	}
	return n
}

// generator is the longest line along a straight part: its length between the end
// centres and, where ends are oblique, what the farther side has more. Ends that
// are no planes (saddles) are cut from the length that they reach.
func generator(p stock.Part) (float64, bool) {
	length, ok := p.Size("length_mm")
	if !ok {
		return 0, false
	}
	r := reach(p)
	var slope r3.Vec // how fast the distance of the end planes grows across the axis
	for _, e := range p.Ends {
		if e.Out == (r3.Vec{}) {
			continue
		}
		along := r3.Dot(e.Out, p.Frame.Axis)
		if math.Abs(along) < 0.05 { // within 3 degrees of the axis: no end
			continue
		}
		across := r3.Sub(e.Out, r3.Scale(along, p.Frame.Axis))
		slope = r3.Sub(slope, r3.Scale(1/math.Abs(along), across))
	}
	if p.Kind == "plate" {
		return length, true
	}
	return length + r*r3.Norm(slope), true
}

// reach is how far the section goes from the axis, mm.
func reach(p stock.Part) float64 {
	if d, ok := p.Size("outside_diameter_mm"); ok {
		return d / 2
	}
	r := 0.0
	for _, s := range p.Outline {
		r = max(r, math.Hypot(s.To[0], s.To[1]), math.Hypot(s.Via[0], s.Via[1]))
	}
	return r
}

// centreline is the diameter of an arc's centreline; a flat one's is that of its
// middle.
func centreline(p stock.Part) (float64, bool) {
	if d, ok := p.Size("centreline_diameter_mm"); ok {
		return d, true
	}
	out, ok := p.Size("outside_diameter_mm")
	in, ok2 := p.Size("inside_diameter_mm")
	return (out + in) / 2, ok && ok2
}

// endsOf names both ends as the saw sees them.
func endsOf(p stock.Part) [2]string {
	out := [2]string{"square", "square"}
	for i, e := range p.Ends {
		if i > 1 {
			break
		}
		switch e.Kind {
		case "mitre":
			out[i] = fmt.Sprintf("mitre %.1f°", e.AngleDeg)
		case "saddle", "irregular":
			out[i] = e.Kind
		case "hidden":
			out[i] = "square (not seen)"
		}
	}
	return out
}
