package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Torus is a ring of round section: its centre, the unit axis, the component
// largest in magnitude positive, the radius of the centreline, and that of the
// section.
type Torus struct {
	Centre, Axis    r3.Vec
	RadiusMM        float64
	SectionRadiusMM float64
}

// meridian returns the point relative to the section's centre: outwards and
// along the axis, its distance from there and the radial direction.
func (s Torus) meridian(p r3.Vec) (out, h, g float64, n r3.Vec) {
	h, rho, n := split(r3.Sub(p, s.Centre), s.Axis)
	out = rho - s.RadiusMM
	return out, h, math.Sqrt(out*out + h*h), n
}

// Distance returns the distance of p from the torus, outside positive, in mm.
func (s Torus) Distance(p r3.Vec) float64 {
	_, _, g, _ := s.meridian(p)
	return g - s.SectionRadiusMM
}

// Normal returns the outward unit normal at p, zero on the centreline.
func (s Torus) Normal(p r3.Vec) r3.Vec {
	out, h, _, n := s.meridian(p)
	return unit(along(r3.Scale(out, n), h, s.Axis))
}

// Difference returns s less the torus nominal in the order of Association.Parameters,
// taken at the centre.
func (s Torus) Difference(nominal Torus, _ r3.Vec) []float64 {
	return centredDifference(s.Centre, s.Axis, nominal.Centre, nominal.Axis,
		s.RadiusMM-nominal.RadiusMM, s.SectionRadiusMM-nominal.SectionRadiusMM)
}

// FitTorus returns the torus of least squared distances from points (mm, seven
// or more, weight nil for all 1), the minimum of start's basin. Points times k
// give the torus times k. Accurate to 1e-8 of the size (TestTorusReference).
//
// Parameters: tilt_e_rad, tilt_f_rad, centre_e_mm, centre_f_mm, centre_axis_mm,
// radius_mm, section_radius_mm; Cov is taken at the centre.
// Errors: ErrInput, ErrTooFew, ErrSingular (a cylinder, a sphere), ErrDiverged.
func FitTorus(points []r3.Vec, weight []float64, start Torus) (Torus, Association, error) {
	return associate(points, weight, start, torusKind())
}

func torusKind() kind[Torus] {
	return kind[Torus]{
		parameters: []string{
			"tilt_e_rad", "tilt_f_rad", "centre_e_mm", "centre_f_mm", "centre_axis_mm",
			"radius_mm", "section_radius_mm",
		},
		rows: 1,
		in: func(s Torus, c *cloud) Torus {
			return Torus{c.in(s.Centre), upright(unit(s.Axis)), s.RadiusMM / c.scale, s.SectionRadiusMM / c.scale}
		},
		out: func(s Torus, c *cloud) Torus {
			return Torus{c.out(s.Centre), upright(s.Axis), s.RadiusMM * c.scale, s.SectionRadiusMM * c.scale}
		},
		check: func(s Torus) error { return checkRound(s.Centre, s.Axis, s.RadiusMM, s.SectionRadiusMM) },
		open:  openTorus,
		seen: func(s Torus, c *cloud, a *Association) {
			seenAbout(s.Centre, s.Axis, c, a)
			section := &arc{}
			for i, q := range c.at {
				if c.w(i) > 0 {
					out, h, _, _ := s.meridian(q)
					section.add(math.Atan2(h, out))
				}
			}
			a.SectionArcDeg = section.degrees()
			a.LengthMM = a.ArcDeg * math.Pi / 180 * s.RadiusMM * c.scale
		},
	}
}

// openTorus gives residuals √((ρ-R)²+h²) - r, ρ and h as of the circle.
func openTorus(s Torus) opened[Torus] {
	t := newTilt(s.Axis)
	var c r3.Vec
	prepare := func(x []float64) {
		t.set(x[0], x[1])
		c = along(along(r3.Scale(x[2], t.e), x[3], t.f), x[4], t.w)
	}
	return opened[Torus]{
		x0: []float64{
			0, 0, r3.Dot(s.Centre, t.e), r3.Dot(s.Centre, t.f), r3.Dot(s.Centre, t.w),
			s.RadiusMM, s.SectionRadiusMM,
		},
		prepare: prepare,
		residual: func(x []float64, q r3.Vec, _ int, grad []float64) float64 {
			h, rho, n := split(r3.Sub(q, c), t.d)
			out := rho - x[5]
			g := math.Sqrt(out*out + h*h)
			var so, sh float64 // the section's normal: outwards and along the axis
			if g > 0 {
				so, sh = out/g, h/g
			}
			m := along(r3.Scale(so, n), sh, t.d)
			turn := (sh*rho - so*h) * t.inv
			grad[0], grad[1] = turn*r3.Dot(n, t.e), turn*r3.Dot(n, t.f)
			grad[2], grad[3], grad[4] = -r3.Dot(m, t.e), -r3.Dot(m, t.f), -r3.Dot(m, t.w)
			grad[5], grad[6] = -so, -1
			return g - x[6]
		},
		read: func(x []float64) (Torus, float64) {
			prepare(x)
			return Torus{c, t.d, x[5], x[6]}, lean(x)
		},
	}
}
