package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Circle is a circle in space: its centre, the unit axis across its plane, the
// component largest in magnitude positive, and its radius.
type Circle struct {
	Centre, Axis r3.Vec
	RadiusMM     float64
}

// Distance returns the distance of p from the circle's line, never negative, in mm.
func (s Circle) Distance(p r3.Vec) float64 {
	h, rho, _ := split(r3.Sub(p, s.Centre), s.Axis)
	return math.Sqrt((rho-s.RadiusMM)*(rho-s.RadiusMM) + h*h)
}

// Normal returns the unit vector from the nearest point of the circle to p,
// zero on it.
func (s Circle) Normal(p r3.Vec) r3.Vec {
	h, rho, n := split(r3.Sub(p, s.Centre), s.Axis)
	return unit(along(r3.Scale(h, s.Axis), rho-s.RadiusMM, n))
}

// Difference returns s less the circle nominal in the order of Association.Parameters.
// The last three are taken at the centre.
func (s Circle) Difference(nominal Circle, _ r3.Vec) []float64 {
	return centredDifference(s.Centre, s.Axis, nominal.Centre, nominal.Axis, s.RadiusMM-nominal.RadiusMM)
}

// centredDifference returns tilts and the shift of the centre along e, f and
// the axis d0, and then rest.
func centredDifference(c, d, c0, d0 r3.Vec, rest ...float64) []float64 {
	e, f := Frame(d0)
	a, b, _ := angles(d, d0)
	t := r3.Sub(c, c0)
	return append([]float64{a, b, r3.Dot(t, e), r3.Dot(t, f), r3.Dot(t, d0)}, rest...)
}

// FitCircle returns the circle of least squared distances in space from points
// (mm, three or more, weight nil for all 1), the minimum of start's basin.
// Points times k give the circle times k.
//
// Parameters: tilt_e_rad, tilt_f_rad, centre_e_mm, centre_f_mm, centre_axis_mm,
// radius_mm.
// Errors: ErrInput, ErrTooFew, ErrSingular (a straight line), ErrDiverged.
func FitCircle(points []r3.Vec, weight []float64, start Circle) (Circle, Association, error) {
	return associate(points, weight, start, circleKind())
}

func circleKind() kind[Circle] {
	return kind[Circle]{
		parameters: []string{"tilt_e_rad", "tilt_f_rad", "centre_e_mm", "centre_f_mm", "centre_axis_mm", "radius_mm"},
		rows:       2,
		in: func(s Circle, c *cloud) Circle {
			return Circle{c.in(s.Centre), upright(unit(s.Axis)), s.RadiusMM / c.scale}
		},
		out: func(s Circle, c *cloud) Circle {
			return Circle{c.out(s.Centre), upright(s.Axis), s.RadiusMM * c.scale}
		},
		check: func(s Circle) error { return checkRound(s.Centre, s.Axis, s.RadiusMM) },
		open:  openCircle,
		seen: func(s Circle, c *cloud, a *Association) {
			seenAbout(s.Centre, s.Axis, c, a)
			a.LengthMM = a.ArcDeg * math.Pi / 180 * s.RadiusMM * c.scale
		},
	}
}

// openCircle gives two residuals a point: ρ - R, and the height h over the
// tilted plane; h rises by ρ n·δ when the axis turns by δ.
func openCircle(s Circle) opened[Circle] {
	t := newTilt(s.Axis)
	var c r3.Vec
	prepare := func(x []float64) {
		t.set(x[0], x[1])
		c = along(along(r3.Scale(x[2], t.e), x[3], t.f), x[4], t.w)
	}
	return opened[Circle]{
		x0:      []float64{0, 0, r3.Dot(s.Centre, t.e), r3.Dot(s.Centre, t.f), r3.Dot(s.Centre, t.w), s.RadiusMM},
		prepare: prepare,
		residual: func(x []float64, q r3.Vec, row int, grad []float64) float64 {
			h, rho, n := split(r3.Sub(q, c), t.d)
			ne, nf := r3.Dot(n, t.e), r3.Dot(n, t.f)
			if row == 1 {
				grad[0], grad[1] = rho*ne*t.inv, rho*nf*t.inv
				grad[2], grad[3], grad[4] = -r3.Dot(t.d, t.e), -r3.Dot(t.d, t.f), -r3.Dot(t.d, t.w)
				grad[5] = 0
				return h
			}
			grad[0], grad[1] = -h*ne*t.inv, -h*nf*t.inv
			grad[2], grad[3], grad[4] = -ne, -nf, -r3.Dot(n, t.w)
			grad[5] = -1
			return rho - x[5]
		},
		read: func(x []float64) (Circle, float64) {
			prepare(x)
			return Circle{c, t.d, x[5]}, lean(x)
		},
	}
}

// StartCircle returns a circle near which most of points lie, though up to a
// third are elsewhere: the best of the algebraic circle in the plane of all
// points and of fixed-seed triples.
func StartCircle(points []r3.Vec) (Circle, error) {
	s, err := newSample(points, nil, 3)
	if err != nil {
		return Circle{}, err
	}
	var all []Circle
	_, axes := principal(s.at, nil)
	if c, ok := s.shadowCircle(axes[0], s.ids()); ok {
		all = append(all, Circle{c.point, axes[0], c.radius})
	}
	for range 200 {
		if c, ok := circumcircle(s.at[s.draw()], s.at[s.draw()], s.at[s.draw()]); ok {
			all = append(all, c)
		}
	}
	f, err := chooseStart(s, all, coarse(circleKind()))
	return circleKind().out(f, &s.cloud), err
}

// circumcircle returns the circle through three points.
func circumcircle(p, q, r r3.Vec) (Circle, bool) {
	a, b := r3.Sub(q, p), r3.Sub(r, p)
	n := r3.Cross(a, b)
	n2 := r3.Dot(n, n)
	if !(n2 > 1e-12*r3.Dot(a, a)*r3.Dot(b, b)) {
		return Circle{}, false
	}
	c := r3.Cross(along(r3.Scale(-r3.Dot(a, a), b), r3.Dot(b, b), a), n)
	c = r3.Scale(1/(2*n2), c)
	return Circle{r3.Add(p, c), unit(n), norm(c)}, true
}

// RobustCircle fits the circle to the points that lie near it and tells which do.
func RobustCircle(points []r3.Vec, weight []float64) (Circle, Association, []bool, error) {
	start, err := StartCircle(points)
	if err != nil {
		return Circle{}, Association{}, nil, err
	}
	return Robust(points, weight, start, FitCircle)
}
