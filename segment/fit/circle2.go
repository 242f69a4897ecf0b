package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Circle2 is a circle in the plane.
type Circle2 struct {
	Centre   r2.Vec
	RadiusMM float64
}

// Distance returns the distance of p from the circle, outside positive, in mm.
func (s Circle2) Distance(p r2.Vec) float64 {
	x, y := p.X-s.Centre.X, p.Y-s.Centre.Y
	return math.Sqrt(x*x+y*y) - s.RadiusMM
}

// Normal returns the outward unit normal at p, zero at the centre.
func (s Circle2) Normal(p r2.Vec) r2.Vec {
	n := unit(r3.Vec{X: p.X - s.Centre.X, Y: p.Y - s.Centre.Y})
	return r2.Vec{X: n.X, Y: n.Y}
}

// flat is a Circle2 in the plane z = 0 of space, which the common part works on.
type flat struct{ Circle2 }

// Distance is that of the circle, whatever z.
func (s flat) Distance(p r3.Vec) float64 { return s.Circle2.Distance(r2.Vec{X: p.X, Y: p.Y}) }

// FitCircle2 returns the circle of least squared distances from points (mm,
// three or more, weight nil for all 1), the minimum of start's basin. Points
// times k give the circle times k. Accurate to 1e-9 of the size
// (TestCircle2Reference).
//
// Parameters: centre_x_mm, centre_y_mm, radius_mm.
// Errors: ErrInput, ErrTooFew, ErrSingular (a straight line), ErrDiverged.
func FitCircle2(points []r2.Vec, weight []float64, start Circle2) (Circle2, Association, error) {
	f, a, err := fitFlat(lift(points), weight, flat{start})
	return f.Circle2, a, err
}

func fitFlat(points []r3.Vec, weight []float64, start flat) (flat, Association, error) {
	return associate(points, weight, start, flatKind())
}

func lift(points []r2.Vec) []r3.Vec {
	q := make([]r3.Vec, len(points))
	for i, p := range points {
		q[i] = r3.Vec{X: p.X, Y: p.Y}
	}
	return q
}

func flatKind() kind[flat] {
	move := func(p r2.Vec, to func(r3.Vec) r3.Vec) r2.Vec {
		q := to(r3.Vec{X: p.X, Y: p.Y})
		return r2.Vec{X: q.X, Y: q.Y}
	}
	return kind[flat]{
		parameters: []string{"centre_x_mm", "centre_y_mm", "radius_mm"},
		rows:       1,
		in:         func(s flat, c *cloud) flat { return flat{Circle2{move(s.Centre, c.in), s.RadiusMM / c.scale}} },
		out:        func(s flat, c *cloud) flat { return flat{Circle2{move(s.Centre, c.out), s.RadiusMM * c.scale}} },
		check: func(s flat) error {
			return checkRound(r3.Vec{X: s.Centre.X, Y: s.Centre.Y}, r3.Vec{Z: 1}, s.RadiusMM)
		},
		open: func(s flat) opened[flat] {
			return opened[flat]{
				x0: []float64{s.Centre.X, s.Centre.Y, s.RadiusMM},
				residual: func(x []float64, q r3.Vec, _ int, grad []float64) float64 {
					u, v := q.X-x[0], q.Y-x[1]
					rho := math.Sqrt(u*u + v*v)
					grad[0], grad[1], grad[2] = 0, 0, -1
					if rho > 0 {
						grad[0], grad[1] = -u/rho, -v/rho
					}
					return rho - x[2]
				},
				read: func(x []float64) (flat, float64) {
					return flat{Circle2{r2.Vec{X: x[0], Y: x[1]}, x[2]}}, 0
				},
			}
		},
		seen: func(s flat, c *cloud, a *Association) {
			seenAbout(r3.Vec{X: s.Centre.X, Y: s.Centre.Y}, r3.Vec{Z: 1}, c, a)
			a.LengthMM = a.ArcDeg * math.Pi / 180 * s.RadiusMM * c.scale
		},
	}
}

// StartCircle2 returns a circle near which most of points lie, though up to a
// third are elsewhere: the best of the algebraic circle and of fixed-seed
// triples.
func StartCircle2(points []r2.Vec) (Circle2, error) {
	s, err := newSample(lift(points), nil, 3)
	if err != nil {
		return Circle2{}, err
	}
	var all []flat
	for i := range 200 {
		ids := []int{s.draw(), s.draw(), s.draw()}
		if i == 0 {
			ids = s.ids()
		}
		if c, ok := s.shadowCircle(r3.Vec{Z: 1}, ids); ok {
			all = append(all, flat{Circle2{r2.Vec{X: c.point.X, Y: c.point.Y}, c.radius}})
		}
	}
	f, err := chooseStart(s, all, coarse(flatKind()))
	return flatKind().out(f, &s.cloud).Circle2, err
}

// RobustCircle2 fits the circle to the points that lie near it and tells which do.
func RobustCircle2(points []r2.Vec, weight []float64) (Circle2, Association, []bool, error) {
	start, err := StartCircle2(points)
	if err != nil {
		return Circle2{}, Association{}, nil, err
	}
	f, a, in, err := Robust(lift(points), weight, flat{start}, fitFlat)
	return f.Circle2, a, in, err
}
