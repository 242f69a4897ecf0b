package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Cone is a circular cone: a point on its axis, the unit axis, the component
// largest in magnitude positive, the radius at that point, and the half angle,
// positive where the cone widens along the axis.
type Cone struct {
	Point, Axis  r3.Vec
	RadiusMM     float64
	HalfAngleDeg float64
}

// Apex returns the tip. A half angle of 0 has none: its components are then not
// finite.
func (s Cone) Apex() r3.Vec { return along(s.Point, -s.RadiusMM/math.Tan(s.halfAngle()), s.Axis) }

func (s Cone) halfAngle() float64 { return s.HalfAngleDeg * math.Pi / 180 }

// meridian returns the height of p over the generator (along its normal) and
// the place along it, 0 beside Point, rising with the axis.
func (s Cone) meridian(p r3.Vec) (over, place float64, radial r3.Vec) {
	h, rho, n := split(r3.Sub(p, s.Point), s.Axis)
	sin, cos := math.Sincos(s.halfAngle())
	return (rho-s.RadiusMM)*cos - h*sin, (rho-s.RadiusMM)*sin + h*cos, n
}

// beyond tells whether the place along the generator lies beyond the apex.
func (s Cone) beyond(place float64) bool {
	sin := math.Sin(s.halfAngle())
	return place*sin < -s.RadiusMM // the generator has the radius R + place sin α
}

// Distance returns the distance of p from the cone, outside positive, in mm;
// beyond the apex that from the apex.
func (s Cone) Distance(p r3.Vec) float64 {
	over, place, _ := s.meridian(p)
	if s.beyond(place) {
		return norm(r3.Sub(p, s.Apex()))
	}
	return over
}

// Normal returns the outward unit normal at p, away from the apex beyond it.
func (s Cone) Normal(p r3.Vec) r3.Vec {
	_, place, n := s.meridian(p)
	if s.beyond(place) {
		return unit(r3.Sub(p, s.Apex()))
	}
	sin, cos := math.Sincos(s.halfAngle())
	return along(r3.Scale(cos, n), -sin, s.Axis)
}

// Difference returns s less the cone nominal in the order of
// Association.Parameters, offsets and radius taken on its axis nearest at.
func (s Cone) Difference(nominal Cone, at r3.Vec) []float64 {
	d := axisDifference(s.Point, s.Axis, nominal.Point, nominal.Axis, at)
	_, _, sign := angles(s.Axis, nominal.Axis)
	h, h0 := r3.Dot(r3.Sub(at, s.Point), s.Axis), r3.Dot(r3.Sub(at, nominal.Point), nominal.Axis)
	r := s.RadiusMM + h*math.Tan(s.halfAngle())
	r0 := nominal.RadiusMM + h0*math.Tan(nominal.halfAngle())
	return append(d, r-r0, sign*s.halfAngle()-nominal.halfAngle())
}

// FitCone returns the cone of least squared distances from points (mm, six or
// more, weight nil for all 1), the minimum of start's basin. Point is the
// point of the axis nearest the centroid. Points times k give the cone times
// k. The generator is taken to run on through the apex: points beyond it have
// their distance from that line. A cylinder is a cone of half angle 0.
//
// Parameters: tilt_e_rad, tilt_f_rad, offset_e_mm, offset_f_mm, radius_mm,
// half_angle_rad.
// Errors: ErrInput, ErrTooFew, ErrSingular (a plane, a line), ErrDiverged.
func FitCone(points []r3.Vec, weight []float64, start Cone) (Cone, Association, error) {
	return associate(points, weight, start, coneKind())
}

func coneKind() kind[Cone] {
	return kind[Cone]{
		parameters: []string{"tilt_e_rad", "tilt_f_rad", "offset_e_mm", "offset_f_mm", "radius_mm", "half_angle_rad"},
		rows:       1,
		in: func(s Cone, c *cloud) Cone {
			return Cone{c.in(s.Point), unit(s.Axis), s.RadiusMM / c.scale, s.HalfAngleDeg}.atFoot()
		},
		out: func(s Cone, c *cloud) Cone {
			s = s.atFoot()
			return Cone{c.out(s.Point), s.Axis, s.RadiusMM * c.scale, s.HalfAngleDeg}
		},
		check: func(s Cone) error {
			if !(math.Abs(s.HalfAngleDeg) < 89.9) {
				return fmt.Errorf("%w: the cone opens to a plane", ErrSingular)
			}
			return checkRound(s.Point, s.Axis, s.RadiusMM)
		},
		open: openCone,
		seen: func(s Cone, c *cloud, a *Association) { seenAbout(s.Point, s.Axis, c, a) },
	}
}

// atFoot moves Point to the axis' nearest to the origin and turns the axis upright.
func (s Cone) atFoot() Cone {
	axis := upright(s.Axis)
	if r3.Dot(axis, s.Axis) < 0 {
		s.HalfAngleDeg = -s.HalfAngleDeg
	}
	p := foot(s.Point, axis)
	s.RadiusMM += r3.Dot(r3.Sub(p, s.Point), axis) * math.Tan(s.halfAngle())
	s.Point, s.Axis = p, axis
	return s
}

// openCone gives residuals (ρ-R) cos α - h sin α, ρ and h as of the cylinder;
// h rises by ρ n·δ when the axis turns by δ.
func openCone(s Cone) opened[Cone] {
	t := newTilt(s.Axis)
	at := func(x []float64) r3.Vec { return along(r3.Scale(x[2], t.e), x[3], t.f) }
	var c r3.Vec
	var sin, cos float64
	return opened[Cone]{
		x0: []float64{0, 0, r3.Dot(s.Point, t.e), r3.Dot(s.Point, t.f), s.RadiusMM, s.halfAngle()},
		prepare: func(x []float64) {
			t.set(x[0], x[1])
			c = at(x)
			sin, cos = math.Sincos(x[5])
		},
		residual: func(x []float64, q r3.Vec, _ int, grad []float64) float64 {
			h, rho, n := split(r3.Sub(q, c), t.d)
			ne, nf := r3.Dot(n, t.e), r3.Dot(n, t.f)
			turn := -(h*cos + rho*sin) * t.inv
			grad[0], grad[1] = turn*ne, turn*nf
			grad[2] = -ne*cos + r3.Dot(t.d, t.e)*sin
			grad[3] = -nf*cos + r3.Dot(t.d, t.f)*sin
			grad[4] = -cos
			over := rho - x[4]
			grad[5] = -over*sin - h*cos
			return over*cos - h*sin
		},
		read: func(x []float64) (Cone, float64) {
			t.set(x[0], x[1])
			return Cone{at(x), t.d, x[4], x[5] * 180 / math.Pi}.atFoot(), lean(x)
		},
	}
}
