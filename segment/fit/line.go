package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Line is an infinite straight line: a point on it and its unit direction, the
// component largest in magnitude positive.
type Line struct{ Point, Axis r3.Vec }

// Distance returns the distance of p from the line, never negative, in mm.
func (l Line) Distance(p r3.Vec) float64 {
	_, rho, _ := split(r3.Sub(p, l.Point), l.Axis)
	return rho
}

// Normal returns the unit vector from the line to p, zero on the line.
func (l Line) Normal(p r3.Vec) r3.Vec {
	_, _, n := split(r3.Sub(p, l.Point), l.Axis)
	return n
}

// Difference returns l less the line nominal in the order of Association.Parameters,
// offsets taken where the nominal line is nearest at.
func (l Line) Difference(nominal Line, at r3.Vec) []float64 {
	return axisDifference(l.Point, l.Axis, nominal.Point, nominal.Axis, at)
}

// axisDifference returns tilts and offsets along e and f of one axis less
// another.
func axisDifference(p, d, p0, d0, at r3.Vec) []float64 {
	e, f := Frame(d0)
	a, b, _ := angles(d, d0)
	at = along(p0, r3.Dot(r3.Sub(at, p0), d0), d0)
	t := r3.Sub(p, at)
	t = along(t, -r3.Dot(t, d0)/r3.Dot(d, d0), d) // where the axis meets the plane across d0 at at
	return []float64{a, b, r3.Dot(t, e), r3.Dot(t, f)}
}

// FitLine returns the line of least squared distances from points (mm, two or
// more, weight nil for all 1): through their centroid along the direction of
// their largest variance (Pearson, Philosophical Magazine 2, 1901). Points
// times k give the line times k.
//
// Parameters: tilt_e_rad, tilt_f_rad, offset_e_mm, offset_f_mm.
// Errors: ErrInput, ErrTooFew, ErrSingular (no direction stands out).
func FitLine(points []r3.Vec, weight []float64) (Line, Association, error) {
	c, err := newCloud(points, weight)
	if err != nil {
		return Line{}, Association{}, err
	}
	if c.n < 2 {
		return Line{}, Association{}, fmt.Errorf("%w: %d points, a line takes 2", ErrTooFew, c.n)
	}
	value, axis := principal(c.at, weight)
	if !(value[2]-value[1] > 1e-9*value[2]) {
		return Line{}, Association{}, fmt.Errorf("%w: no direction stands out", ErrSingular)
	}
	l := Line{Axis: upright(axis[2])}
	a := Association{
		Parameters: []string{"tilt_e_rad", "tilt_f_rad", "offset_e_mm", "offset_f_mm"},
		DOF:        float64(2*c.n - 4), Iterations: 1, Stop: "closed",
	}
	c.measure(l, 2, &a)
	var szz, s0, s1, s2 float64 // Σ w z², Σ w², Σ w² z, Σ w² z²
	ext := newExtent()
	for i, q := range c.at {
		w, z := c.w(i), r3.Dot(q, l.Axis)
		szz += w * z * z
		s0 += w * w
		s1 += w * w * z
		s2 += w * w * z * z
		if w > 0 {
			ext.add(z)
		}
	}
	a.LengthMM = ext.length() * c.scale
	tt, to, oo := s2/(szz*szz), s1/(szz*c.total), s0/(c.total*c.total)
	a.Cov = c.worldCov([]float64{
		tt, 0, to, 0,
		0, tt, 0, to,
		to, 0, oo, 0,
		0, to, 0, oo,
	}, a.Parameters)
	l.Point = c.out(r3.Vec{})
	return l, a, nil
}

// StartLine returns a line near which most of points lie, though up to a third
// are elsewhere: the best of fixed-seed pairs of points.
func StartLine(points []r3.Vec) (Line, error) {
	s, err := newSample(points, nil, 2)
	if err != nil {
		return Line{}, err
	}
	l, _, err := FitLine(s.at, nil)
	all := make([]Line, 0, 80)
	if err == nil {
		all = append(all, l)
	}
	for range 60 {
		i, j := s.draw(), s.draw()
		if d := unit(r3.Sub(s.at[j], s.at[i])); d != (r3.Vec{}) {
			all = append(all, Line{Point: s.at[i], Axis: d})
		}
	}
	l, err = chooseStart(s, all, func(p []r3.Vec, w []float64, _ Line) (Line, error) {
		f, _, err := FitLine(p, w)
		return f, err
	})
	return Line{Point: s.out(l.Point), Axis: upright(l.Axis)}, err
}

// RobustLine fits the line to the points that lie near it and tells which do.
func RobustLine(points []r3.Vec, weight []float64) (Line, Association, []bool, error) {
	start, err := StartLine(points)
	if err != nil {
		return Line{}, Association{}, nil, err
	}
	return Robust(points, weight, start, func(p []r3.Vec, w []float64, _ Line) (Line, Association, error) { return FitLine(p, w) })
}

// sound tells whether a direction is of unit length and a place finite.
func sound(p, axis r3.Vec) bool {
	return finite(p.X+p.Y+p.Z) && math.Abs(r3.Dot(axis, axis)-1) < 1e-6
}
