package synthetic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Plate is flat, of any simple outline, with holes; z from -ThicknessMM/2 to
// ThicknessMM/2, x and y those of the outline.
type Plate struct {
	Outline     []Step
	Holes       []Hole
	ThicknessMM float64
}

func (p Plate) plan(edgeMM float64) (plan, error) {
	if err := positive("plate", "thickness", p.ThicknessMM); err != nil {
		return plan{}, err
	}
	outer, err := loopOf("plate", p.Outline)
	if err != nil {
		return plan{}, err
	}
	loops, err := region("plate", outer, p.Holes)
	if err != nil {
		return plan{}, err
	}
	out, err := extruded(loops, p.ThicknessMM, edgeMM).plan(edgeMM)
	if err != nil {
		return plan{}, fmt.Errorf("plate: %w", err)
	}
	return out, nil
}

// truth gives the element frame of a plate: the middle of its smallest
// rectangle, u along the rectangle's length.
func (p Plate) truth() Truth {
	outer, err := loopOf("plate", p.Outline)
	if err != nil {
		return straight("plate")
	}
	box := smallestBox(hull(dense(outer)))
	t := straight("plate",
		Dim{"thickness_mm", p.ThicknessMM},
		Dim{"length_mm", box.length},
		Dim{"width_mm", box.width},
		Dim{"hole_count", float64(len(p.Holes))})
	s, c := math.Sincos(box.angle)
	t.OriginMM = r3.Vec{X: box.centre[0], Y: box.centre[1]}
	t.Ref = r3.Vec{X: c, Y: s}
	back := [2]float64{-c*box.centre[0] - s*box.centre[1], s*box.centre[0] - c*box.centre[1]}
	outline := p.Outline
	if area, _, _ := outer.moments(); area < 0 {
		outline = backwards(outline)
	}
	t.Outline = moved(outline, back, -box.angle)
	t.Holes = make([]Hole, len(p.Holes))
	for i, h := range p.Holes {
		h.CentreMM = moved(Polygon(h.CentreMM), back, -box.angle)[0].To
		h.AngleDeg -= deg(box.angle)
		t.Holes[i] = h
	}
	return t
}
