package fit

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// Plane is an infinite plane: a point in it and its unit normal Axis, the
// component largest in magnitude positive.
type Plane struct{ Point, Axis r3.Vec }

// Distance returns the height of p over the plane along Axis, in mm.
func (s Plane) Distance(p r3.Vec) float64 { return r3.Dot(r3.Sub(p, s.Point), s.Axis) }

// Normal returns Axis.
func (s Plane) Normal(r3.Vec) r3.Vec { return s.Axis }

// Difference returns s less the plane nominal in the order of Association.Parameters,
// the offset taken at at.
func (s Plane) Difference(nominal Plane, at r3.Vec) []float64 {
	a, b, sign := angles(s.Axis, nominal.Axis)
	return []float64{a, b, nominal.Distance(at) - sign*s.Distance(at)}
}

// FitPlane returns the plane of least squared distances from points (mm, three
// or more, weight nil for all 1): across the direction of their least variance
// (Pearson, Philosophical Magazine 2, 1901), polished by Gauss-Newton steps.
// Points times k give the plane times k. Accurate to 1e-12 of the spread
// (TestPlaneReference).
//
// Parameters: tilt_e_rad, tilt_f_rad, offset_mm.
// Errors: ErrInput, ErrTooFew, ErrSingular (points on one line).
func FitPlane(points []r3.Vec, weight []float64) (Plane, Association, error) {
	c, err := newCloud(points, weight)
	if err != nil {
		return Plane{}, Association{}, err
	}
	if c.n < 3 {
		return Plane{}, Association{}, fmt.Errorf("%w: %d points, a plane takes 3", ErrTooFew, c.n)
	}
	value, axis := principal(c.at, weight)
	// 1e-20 of the variance is 1e-10 of the length: a line, to what float64
	// holds of a rotated one.
	if !(value[1] > 1e-20*value[2]) || !(value[1]-value[0] > 1e-9*value[1]) {
		return Plane{}, Association{}, fmt.Errorf("%w: no plane stands out", ErrSingular)
	}
	return associate(points, weight, Plane{Point: c.centre, Axis: axis[0]}, planeKind())
}

func planeKind() kind[Plane] {
	return kind[Plane]{
		parameters: []string{"tilt_e_rad", "tilt_f_rad", "offset_mm"},
		rows:       1,
		in:         func(s Plane, c *cloud) Plane { return Plane{c.in(s.Point), upright(unit(s.Axis))} },
		out:        func(s Plane, c *cloud) Plane { return Plane{c.out(s.Point), upright(s.Axis)} },
		check: func(s Plane) error {
			if !sound(s.Point, s.Axis) {
				return ErrDiverged
			}
			return nil
		},
		open: openPlane,
		seen: func(s Plane, c *cloud, a *Association) {
			_, axis := principal(c.at, c.weight)
			long, wide := newExtent(), newExtent()
			for i, q := range c.at {
				if c.w(i) > 0 {
					long.add(r3.Dot(q, axis[2]))
					wide.add(r3.Dot(q, axis[1]))
				}
			}
			a.LengthMM, a.WidthMM = long.length()*c.scale, wide.length()*c.scale
		},
	}
}

func openPlane(s Plane) opened[Plane] {
	t := newTilt(s.Axis)
	return opened[Plane]{
		x0:      []float64{0, 0, r3.Dot(s.Point, s.Axis)},
		prepare: func(x []float64) { t.set(x[0], x[1]) },
		residual: func(x []float64, q r3.Vec, _ int, grad []float64) float64 {
			h := r3.Dot(q, t.d)
			grad[0] = (r3.Dot(q, t.e) - h*r3.Dot(t.e, t.d)) * t.inv
			grad[1] = (r3.Dot(q, t.f) - h*r3.Dot(t.f, t.d)) * t.inv
			grad[2] = -1
			return h - x[2]
		},
		read: func(x []float64) (Plane, float64) {
			t.set(x[0], x[1])
			return Plane{r3.Scale(x[2], t.d), t.d}, lean(x)
		},
	}
}

// StartPlane returns a plane near which most of points lie, though up to a
// third are elsewhere: the best of fixed-seed triples, and of single points
// with their normals where normals are given (nil or one a point, either way
// round).
func StartPlane(points, normals []r3.Vec) (Plane, error) {
	s, err := newSample(points, normals, 3)
	if err != nil {
		return Plane{}, err
	}
	var all []Plane
	if f, _, err := FitPlane(s.at, nil); err == nil {
		all = append(all, f)
	}
	for range 60 {
		i, j, k := s.draw(), s.draw(), s.draw()
		n := unit(r3.Cross(r3.Sub(s.at[j], s.at[i]), r3.Sub(s.at[k], s.at[i])))
		if n != (r3.Vec{}) {
			all = append(all, Plane{s.at[i], n})
		}
		if s.normal != nil && s.normal[i] != (r3.Vec{}) {
			all = append(all, Plane{s.at[i], s.normal[i]})
		}
	}
	f, err := chooseStart(s, all, func(p []r3.Vec, w []float64, _ Plane) (Plane, error) {
		f, _, err := FitPlane(p, w)
		return f, err
	})
	return Plane{s.out(f.Point), upright(f.Axis)}, err
}

func fitPlane(p []r3.Vec, w []float64, _ Plane) (Plane, Association, error) { return FitPlane(p, w) }

// RobustPlane fits the plane to the points that lie near it and tells which do.
func RobustPlane(points, normals []r3.Vec, weight []float64) (Plane, Association, []bool, error) {
	start, err := StartPlane(points, normals)
	if err != nil {
		return Plane{}, Association{}, nil, err
	}
	return Robust(points, weight, start, fitPlane)
}
