package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Sphere is a sphere.
type Sphere struct {
	Centre   r3.Vec
	RadiusMM float64
}

// Distance returns the distance of p from the sphere, outside positive, in mm.
func (s Sphere) Distance(p r3.Vec) float64 { return norm(r3.Sub(p, s.Centre)) - s.RadiusMM }

// Normal returns the outward unit normal at p, zero at the centre.
func (s Sphere) Normal(p r3.Vec) r3.Vec { return unit(r3.Sub(p, s.Centre)) }

// Difference returns s less the sphere nominal in the order of Association.Parameters.
func (s Sphere) Difference(nominal Sphere, _ r3.Vec) []float64 {
	d := r3.Sub(s.Centre, nominal.Centre)
	return []float64{d.X, d.Y, d.Z, s.RadiusMM - nominal.RadiusMM}
}

// flatLimit is the largest radius, in spreads of the points, that a fit may
// give: there the sagitta is 1e-6 of the spread and the points are a plane.
const flatLimit = 1e6

// pointLimit is the smallest: under it the radius is rounding of the points.
const pointLimit = 1e-8

// FitSphere returns the sphere of least squared distances from points (mm,
// four or more, weight nil for all 1), the minimum of start's basin. Points
// times k give the sphere times k.
//
// Parameters: centre_x_mm, centre_y_mm, centre_z_mm, radius_mm.
// Errors: ErrInput, ErrTooFew, ErrSingular (a plane), ErrDiverged.
func FitSphere(points []r3.Vec, weight []float64, start Sphere) (Sphere, Association, error) {
	return associate(points, weight, start, sphereKind())
}

func sphereKind() kind[Sphere] {
	return kind[Sphere]{
		parameters: []string{"centre_x_mm", "centre_y_mm", "centre_z_mm", "radius_mm"},
		rows:       1,
		in:         func(s Sphere, c *cloud) Sphere { return Sphere{c.in(s.Centre), s.RadiusMM / c.scale} },
		out:        func(s Sphere, c *cloud) Sphere { return Sphere{c.out(s.Centre), s.RadiusMM * c.scale} },
		check:      func(s Sphere) error { return checkRound(s.Centre, r3.Vec{Z: 1}, s.RadiusMM) },
		open: func(s Sphere) opened[Sphere] {
			return opened[Sphere]{
				x0: []float64{s.Centre.X, s.Centre.Y, s.Centre.Z, s.RadiusMM},
				residual: func(x []float64, q r3.Vec, _ int, grad []float64) float64 {
					t := r3.Vec{X: q.X - x[0], Y: q.Y - x[1], Z: q.Z - x[2]}
					d := norm(t)
					n := unit(t)
					grad[0], grad[1], grad[2], grad[3] = -n.X, -n.Y, -n.Z, -1
					return d - x[3]
				},
				read: func(x []float64) (Sphere, float64) {
					return Sphere{r3.Vec{X: x[0], Y: x[1], Z: x[2]}, x[3]}, 0
				},
			}
		},
		seen: func(s Sphere, c *cloud, a *Association) {
			var mean r3.Vec
			for i, q := range c.at {
				mean = along(mean, c.w(i), s.Normal(q))
			}
			mean = unit(mean)
			widest := 0.0
			for i, q := range c.at {
				if c.w(i) > 0 {
					widest = math.Max(widest, math.Acos(math.Max(-1, math.Min(1, r3.Dot(mean, s.Normal(q))))))
				}
			}
			a.ArcDeg = 2 * widest * 180 / math.Pi
		},
	}
}

// checkRound refuses what is not a round feature in local coordinates.
func checkRound(p, axis r3.Vec, radii ...float64) error {
	if !sound(p, axis) {
		return ErrDiverged
	}
	for _, r := range radii {
		switch {
		case r > flatLimit:
			return fmt.Errorf("%w: the radius has no end", ErrSingular)
		case !(r > pointLimit):
			return fmt.Errorf("%w: the radius falls to 0", ErrDiverged)
		}
	}
	return nil
}

// StartSphere returns a sphere near which most of points lie, though up to a
// third are elsewhere: the best of the algebraic sphere and fixed-seed
// hypotheses of four points, or of two points with their normals (normals nil
// or one a point, either way round).
func StartSphere(points, normals []r3.Vec) (Sphere, error) {
	s, err := newSample(points, normals, 4)
	if err != nil {
		return Sphere{}, err
	}
	var all []Sphere
	try := func(ids []int) {
		if f, ok := algebraicSphere(s.at, ids); ok {
			all = append(all, f)
		}
	}
	try(nil)
	for range 100 {
		i, j, k, l := s.draw(), s.draw(), s.draw(), s.draw()
		try([]int{i, j, k, l})
		if s.normal == nil {
			continue
		}
		if c, ok := meet(s.at[i], s.normal[i], s.at[j], s.normal[j]); ok {
			all = append(all, Sphere{c, norm(r3.Sub(s.at[i], c))})
		}
	}
	f, err := chooseStart(s, all, coarse(sphereKind()))
	return Sphere{s.out(f.Centre), f.RadiusMM * s.scale}, err
}

// algebraicSphere solves |p|² = 2c·p + k over the points of ids, nil for all.
func algebraicSphere(at []r3.Vec, ids []int) (Sphere, bool) {
	ls := newLinear(4)
	each(at, ids, func(q r3.Vec) { ls.add(r3.Dot(q, q), 2*q.X, 2*q.Y, 2*q.Z, 1) })
	x, ok := ls.solve()
	if !ok {
		return Sphere{}, false
	}
	c := r3.Vec{X: x[0], Y: x[1], Z: x[2]}
	r := math.Sqrt(x[3] + r3.Dot(c, c))
	return Sphere{c, r}, r > 0 && r < flatLimit
}

// meet returns the point nearest to two lines p + s n, q + t m.
func meet(p, n, q, m r3.Vec) (r3.Vec, bool) {
	d, c := r3.Sub(q, p), r3.Dot(n, m)
	det := 1 - c*c
	if !(det > 1e-6) {
		return r3.Vec{}, false
	}
	dn, dm := r3.Dot(d, n), r3.Dot(d, m)
	a, b := along(p, (dn-c*dm)/det, n), along(q, (c*dn-dm)/det, m)
	return r3.Scale(0.5, r3.Add(a, b)), true
}

// RobustSphere fits the sphere to the points that lie near it and tells which do.
func RobustSphere(points, normals []r3.Vec, weight []float64) (Sphere, Association, []bool, error) {
	start, err := StartSphere(points, normals)
	if err != nil {
		return Sphere{}, Association{}, nil, err
	}
	return Robust(points, weight, start, FitSphere)
}
