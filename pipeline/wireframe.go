package pipeline

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/draw"
	"pointup/pipeline/solid"
)

// markMM is the height of piece marks in the wireframe, at full size: read from
// as far as the whole piece is seen; common practice, no source.
const markMM = 40

// wireframe draws pieces in space, in SITE: centrelines, edges, and each one's
// mark at its frame's origin.
func wireframe(title string, pieces []solid.Piece) (draw.Drawing, error) {
	d := draw.Drawing{Title: title}
	for _, p := range pieces {
		edges, err := solid.Edges(p.Shape)
		if err != nil {
			return d, fmt.Errorf("%s: %w", p.Mark, err)
		}
		for _, e := range edges {
			d.Add(draw.Edge, wired(p.Frame, e))
		}
		for _, c := range p.Shape.Wires() {
			d.Add(draw.Centre, wired(p.Frame, c))
		}
		o := p.Frame.Origin
		d.Add(draw.Text, draw.Label{At: [2]float64{o.X, o.Y}, LevelMM: o.Z, HeightMM: markMM, Text: p.Title()})
	}
	return d, nil
}

// wired is a wire in its place.
func wired(f solid.Frame, w solid.Wire) draw.Shape {
	if w.Arc != nil {
		at := w.Arc.At
		way := func(d r3.Vec) r3.Vec { return f.Dir(d.X, d.Y, d.Z) }
		return draw.Arc{Centre: f.Point(at.Origin.X, at.Origin.Y, at.Origin.Z), X: way(at.X), Normal: way(at.Z), RadiusMM: w.Arc.RadiusMM, SweepRad: w.Arc.SweepRad}
	}
	points := make([]r3.Vec, len(w.Points))
	for i, p := range w.Points {
		points[i] = f.Point(p.X, p.Y, p.Z)
	}
	if len(points) == 2 {
		return draw.Line{A: points[0], B: points[1]}
	}
	return draw.Wire{Points: points, Closed: w.Closed}
}
