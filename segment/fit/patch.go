package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Patch is how much of a feature is seen, in the terms of [Association]: the
// arc about the axis (a helix: all turns together; a sphere: the width of the
// cap), the arc of the section, the length along the axis and a plane's width.
// What a feature has no use for is not read.
type Patch struct {
	ArcDeg, SectionArcDeg, LengthMM, WidthMM float64
}

// pair returns the i-th of an even sequence in the unit square (the additive
// recurrence of the plastic number: Roberts, 2018).
func pair(i int) (u, v float64) {
	const g = 1.32471795724474602596
	_, u = math.Modf(0.5 + float64(i+1)/g)
	_, v = math.Modf(0.5 + float64(i+1)/(g*g))
	return u, v
}

// spread calls place for n even pairs of numbers in ±½.
func spread(n int, place func(u, v float64) r3.Vec) []r3.Vec {
	points := make([]r3.Vec, n)
	for i := range points {
		u, v := pair(i)
		points[i] = place(u-0.5, v-0.5)
	}
	return points
}

func rad(deg float64) float64 { return deg * math.Pi / 180 }

// Points returns n points of the line, Point amid them.
func (l Line) Points(n int, p Patch) []r3.Vec {
	return spread(n, func(u, _ float64) r3.Vec { return along(l.Point, u*p.LengthMM, l.Axis) })
}

// Points returns n points of the plane, Point amid them.
func (s Plane) Points(n int, p Patch) []r3.Vec {
	e, f := Frame(s.Axis)
	return spread(n, func(u, v float64) r3.Vec { return along(along(s.Point, u*p.LengthMM, e), v*p.WidthMM, f) })
}

// Points returns n points of the circle, the arc's middle along e of [Frame].
func (s Circle) Points(n int, p Patch) []r3.Vec {
	e, f := Frame(s.Axis)
	return spread(n, func(u, _ float64) r3.Vec { return along(s.Centre, s.RadiusMM, turn(e, f, u*rad(p.ArcDeg))) })
}

// Points returns n points of the sphere, the cap's middle along z.
func (s Sphere) Points(n int, p Patch) []r3.Vec {
	low := math.Cos(rad(p.ArcDeg) / 2)
	return spread(n, func(u, v float64) r3.Vec {
		z := low + (v+0.5)*(1-low)
		d := along(r3.Scale(math.Sqrt(1-z*z), turn(r3.Vec{X: 1}, r3.Vec{Y: 1}, 2*math.Pi*u)), z, r3.Vec{Z: 1})
		return along(s.Centre, s.RadiusMM, d)
	})
}

// Points returns n points of the cylinder, Point amid their length, the arc's
// middle along e of [Frame].
func (s Cylinder) Points(n int, p Patch) []r3.Vec {
	return Cone{s.Point, s.Axis, s.RadiusMM, 0}.Points(n, p)
}

// Points returns n points of the cone, Point amid their length, the arc's
// middle along e of [Frame].
func (s Cone) Points(n int, p Patch) []r3.Vec {
	e, f := Frame(s.Axis)
	tan := math.Tan(s.halfAngle())
	return spread(n, func(u, v float64) r3.Vec {
		h := v * p.LengthMM
		return along(along(s.Point, h, s.Axis), s.RadiusMM+h*tan, turn(e, f, u*rad(p.ArcDeg)))
	})
}

// Points returns n points of the torus, the arc's middle along e of [Frame],
// the section's outwards.
func (s Torus) Points(n int, p Patch) []r3.Vec {
	e, f := Frame(s.Axis)
	return spread(n, func(u, v float64) r3.Vec {
		sin, cos := math.Sincos(v * rad(p.SectionArcDeg))
		out := turn(e, f, u*rad(p.ArcDeg))
		return along(along(s.Centre, s.RadiusMM+s.SectionRadiusMM*cos, out), s.SectionRadiusMM*sin, s.Axis)
	})
}

// Points returns n points of the helix, Point amid its turns, the section's
// middle outwards.
func (s Helix) Points(n int, p Patch) []r3.Vec {
	c := s.coil()
	return spread(n, func(u, v float64) r3.Vec {
		tau := u * rad(p.ArcDeg)
		out := turn(c.e, c.f, c.phase+tau)
		tangent := unit(along(r3.Scale(c.radius, turn(c.e, c.f, c.phase+tau+math.Pi/2)), c.k, c.d))
		sin, cos := math.Sincos(v * rad(p.SectionArcDeg))
		n := along(r3.Scale(cos, out), sin, r3.Cross(out, tangent))
		return along(c.at(tau), s.SectionRadiusMM, n)
	})
}

// turn returns cos a e + sin a f.
func turn(e, f r3.Vec, a float64) r3.Vec {
	sin, cos := math.Sincos(a)
	return along(r3.Scale(cos, e), sin, f)
}
