package draw

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Dimension measures from A to B along the line between them, its line OffMM to
// the left of A → B (negative: right). It is written as lines and text, not as a
// dimension that a program would recompute.
type Dimension struct {
	A, B     [2]float64
	OffMM    float64
	HeightMM float64 // of its text
	Text     string
}

func (d Dimension) check() error {
	if err := sound(d.A[0], d.A[1], d.B[0], d.B[1], d.OffMM, d.HeightMM); err != nil {
		return err
	}
	if !(d.HeightMM > 0) {
		return errSize
	}
	if d.A == d.B {
		return errors.New("a dimension measures nothing")
	}
	return nil
}

// parts are its lines (two from the points, one between, strokes across its
// ends) and its text, which is never upside down.
func (d Dimension) parts() []Shape {
	l := math.Hypot(d.B[0]-d.A[0], d.B[1]-d.A[1])
	u := [2]float64{(d.B[0] - d.A[0]) / l, (d.B[1] - d.A[1]) / l}
	n := [2]float64{-u[1], u[0]}
	at := func(p [2]float64, along, off float64) [2]float64 {
		return [2]float64{p[0] + along*u[0] + off*n[0], p[1] + along*u[1] + off*n[1]}
	}
	line := func(p, q [2]float64) Shape { return Segment(p[0], p[1], q[0], q[1]) }
	gap := math.Copysign(d.HeightMM/2, d.OffMM)
	var out []Shape
	for _, p := range [2][2]float64{d.A, d.B} {
		end := at(p, 0, d.OffMM)
		h := d.HeightMM / 2
		out = append(out, line(at(p, 0, gap), at(p, 0, d.OffMM+gap)), line(at(end, -h, -h), at(end, h, h)))
	}
	out = append(out, line(at(d.A, 0, d.OffMM), at(d.B, 0, d.OffMM)))
	turn, foot := math.Atan2(u[1], u[0]), d.OffMM+0.4*d.HeightMM
	if turn > math.Pi/2+1e-9 || turn <= -math.Pi/2+1e-9 {
		turn, foot = turn+math.Pi, d.OffMM-0.4*d.HeightMM
	}
	return append(out, Label{At: at(d.A, l/2, foot), HeightMM: d.HeightMM, TurnRad: turn, Middle: true, Text: d.Text})
}

func (d Dimension) flat() ([]stroke, bool) {
	var out []stroke
	for _, s := range d.parts() {
		f, _ := s.flat()
		out = append(out, f...)
	}
	return out, true
}

// Leader is a line from a point with text at its other end.
func Leader(x, y, dx, dy, heightMM float64, text string) []Shape {
	end := r3.Vec{X: x + dx, Y: y + dy}
	return []Shape{Line{r3.Vec{X: x, Y: y}, end}, Label{At: [2]float64{end.X + heightMM/2, end.Y - heightMM/2}, HeightMM: heightMM, Text: text}}
}
