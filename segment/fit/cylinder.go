package fit

import (
	"gonum.org/v1/gonum/spatial/r3"
)

// Cylinder is an infinite cylinder: a point on its axis, the unit axis, the
// component largest in magnitude positive, and the radius.
type Cylinder struct {
	Point, Axis r3.Vec
	RadiusMM    float64
}

// Distance returns the distance of p from the cylinder, outside positive, in mm.
func (s Cylinder) Distance(p r3.Vec) float64 {
	_, rho, _ := split(r3.Sub(p, s.Point), s.Axis)
	return rho - s.RadiusMM
}

// Normal returns the outward unit normal at p, zero on the axis.
func (s Cylinder) Normal(p r3.Vec) r3.Vec {
	_, _, n := split(r3.Sub(p, s.Point), s.Axis)
	return n
}

// Difference returns s less the cylinder nominal in the order of
// Association.Parameters, offsets taken on its axis nearest at.
func (s Cylinder) Difference(nominal Cylinder, at r3.Vec) []float64 {
	return append(axisDifference(s.Point, s.Axis, nominal.Point, nominal.Axis, at), s.RadiusMM-nominal.RadiusMM)
}

// FitCylinder returns the cylinder of least squared distances from points (mm,
// five or more, weight nil for all 1), the minimum of start's basin. Point is
// the point of the axis nearest the centroid. Points times k give the cylinder
// times k. Accurate to 1e-8 of the size (TestCylinderReference).
//
// The tilt of the axis is taken in a frame fixed on the start (Forbes, NPL
// report DITC 140/89, for the idea; the derivatives are ours).
//
// Parameters: tilt_e_rad, tilt_f_rad, offset_e_mm, offset_f_mm, radius_mm.
// Errors: ErrInput, ErrTooFew, ErrSingular (a plane, a line), ErrDiverged.
func FitCylinder(points []r3.Vec, weight []float64, start Cylinder) (Cylinder, Association, error) {
	return associate(points, weight, start, cylinderKind())
}

func cylinderKind() kind[Cylinder] {
	return kind[Cylinder]{
		parameters: []string{"tilt_e_rad", "tilt_f_rad", "offset_e_mm", "offset_f_mm", "radius_mm"},
		rows:       1,
		in: func(s Cylinder, c *cloud) Cylinder {
			axis := upright(unit(s.Axis))
			return Cylinder{foot(c.in(s.Point), axis), axis, s.RadiusMM / c.scale}
		},
		out: func(s Cylinder, c *cloud) Cylinder {
			axis := upright(s.Axis)
			return Cylinder{c.out(foot(s.Point, axis)), axis, s.RadiusMM * c.scale}
		},
		check: func(s Cylinder) error { return checkRound(s.Point, s.Axis, s.RadiusMM) },
		open:  openCylinder,
		seen:  func(s Cylinder, c *cloud, a *Association) { seenAbout(s.Point, s.Axis, c, a) },
	}
}

// openCylinder gives residuals ρ - R of the distance ρ from the tilted axis.
// With n the radial direction and s the height along the axis, ρ falls by n·δ
// when the axis shifts by δ and by s n·δ when its direction turns by δ.
func openCylinder(s Cylinder) opened[Cylinder] {
	t := newTilt(s.Axis)
	at := func(x []float64) r3.Vec { return along(r3.Scale(x[2], t.e), x[3], t.f) }
	var c r3.Vec
	return opened[Cylinder]{
		x0: []float64{0, 0, r3.Dot(s.Point, t.e), r3.Dot(s.Point, t.f), s.RadiusMM},
		prepare: func(x []float64) {
			t.set(x[0], x[1])
			c = at(x)
		},
		residual: func(x []float64, q r3.Vec, _ int, grad []float64) float64 {
			h, rho, n := split(r3.Sub(q, c), t.d)
			ne, nf := r3.Dot(n, t.e), r3.Dot(n, t.f)
			grad[0], grad[1] = -h*ne*t.inv, -h*nf*t.inv
			grad[2], grad[3] = -ne, -nf
			grad[4] = -1
			return rho - x[4]
		},
		read: func(x []float64) (Cylinder, float64) {
			t.set(x[0], x[1])
			return Cylinder{foot(at(x), t.d), t.d, x[4]}, lean(x)
		},
	}
}

// StartCylinder returns a cylinder near which most of points lie, though up to
// a third are elsewhere. Axes are tried across pairs of normals (nil or one a
// point, either way round) and across all of them, and over a hemisphere with
// a circle through the points' shadow, with fixed seeds; the best few are fitted
// and the best of those is returned.
func StartCylinder(points, normals []r3.Vec) (Cylinder, error) {
	s, err := newSample(points, normals, 5)
	if err != nil {
		return Cylinder{}, err
	}
	var all []Cylinder
	if s.normal != nil {
		all = s.cylindersFromNormals()
	}
	for _, d := range s.scan(circleFinder()) {
		all = append(all, Cylinder{d.point, d.axis, d.radius})
	}
	f, err := chooseStart(s, all, coarse(cylinderKind()))
	return cylinderKind().out(f, &s.cloud), err
}

// cylindersFromNormals takes the direction least in all normals, and those
// across 60 pairs.
func (s *sample) cylindersFromNormals() []Cylinder {
	var all []Cylinder
	_, axis := principal(s.normal, nil)
	if c, ok := s.shadowCircle(axis[0], s.ids()); ok {
		all = append(all, Cylinder{c.point, axis[0], c.radius})
	}
	for range 60 {
		i, j := s.draw(), s.draw()
		d := r3.Cross(s.normal[i], s.normal[j])
		if norm(d) < 0.05 { // under 3° between normals the axis is noise
			continue
		}
		d = unit(d)
		p, q := foot(s.at[i], d), foot(s.at[j], d)
		c, ok := meet(p, unit(foot(s.normal[i], d)), q, unit(foot(s.normal[j], d)))
		if ok {
			r := (norm(r3.Sub(p, c)) + norm(r3.Sub(q, c))) / 2
			all = append(all, Cylinder{c, d, r})
		}
	}
	return all
}

// RobustCylinder fits the cylinder to the points that lie near it and tells
// which do. normals may be nil.
func RobustCylinder(points, normals []r3.Vec, weight []float64) (Cylinder, Association, []bool, error) {
	start, err := StartCylinder(points, normals)
	if err != nil {
		return Cylinder{}, Association{}, nil, err
	}
	return Robust(points, weight, start, FitCylinder)
}
