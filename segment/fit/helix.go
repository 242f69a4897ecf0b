package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Helix is a bar of round section swept along an endless helix: a point on its
// axis, the unit axis, the component largest in magnitude positive, the radius
// of the centreline, its rise in a turn (right-handed positive), the angle about
// the axis from e of [Frame] at which the centreline passes beside Point, and
// the section's radius.
type Helix struct {
	Point, Axis     r3.Vec
	RadiusMM        float64
	PitchMM         float64
	PhaseDeg        float64
	SectionRadiusMM float64
}

// coil is a helix in its own frame, angles in rad.
type coil struct {
	point, e, f, d   r3.Vec
	radius, k, phase float64 // k is the rise in a rad
}

func (s Helix) coil() coil {
	e, f := Frame(s.Axis)
	return coil{s.Point, e, f, s.Axis, s.RadiusMM, s.PitchMM / (2 * math.Pi), s.PhaseDeg * math.Pi / 180}
}

// at returns the centreline after a turn of tau from beside point.
func (c *coil) at(tau float64) r3.Vec {
	sin, cos := math.Sincos(c.phase + tau)
	return along(along(along(c.point, c.radius*cos, c.e), c.radius*sin, c.f), c.k*tau, c.d)
}

// nearest returns the turn at which the centreline is nearest to p, by
// Newton's method on the squared distance from the turn beside p; where p lies
// over a quarter pitch from that turn, the next one is tried too.
func (c *coil) nearest(p r3.Vec) float64 {
	t := r3.Sub(p, c.point)
	x, y, z := r3.Dot(t, c.e), r3.Dot(t, c.f), r3.Dot(t, c.d)
	rho, angle := math.Sqrt(x*x+y*y), math.Atan2(y, x)-c.phase
	turn := angle + 2*math.Pi*math.Round((z/c.k-angle)/(2*math.Pi))
	tau := c.descend(rho, z, turn)
	rest := z/c.k - turn
	if math.Abs(rest) <= math.Pi/2 {
		return tau
	}
	other := c.descend(rho, z, turn+math.Copysign(2*math.Pi, rest))
	if norm(r3.Sub(p, c.at(other))) < norm(r3.Sub(p, c.at(tau))) {
		return other
	}
	return tau
}

// descend minimises ρ² + R² - 2ρR cos δ + (z - k(turn+δ))² over δ from 0.
func (c *coil) descend(rho, z, turn float64) float64 {
	m, rise, delta := rho*c.radius, z-c.k*turn, 0.0
	for range 30 { // 3 or 4 are usual
		sin, cos := math.Sincos(delta)
		slope := m*sin - c.k*(rise-c.k*delta)
		step := slope / math.Max(m*cos+c.k*c.k, 0.2*(m+c.k*c.k))
		delta -= step
		if !(math.Abs(step) > 1e-13) {
			break
		}
	}
	return turn + delta
}

// Distance returns the distance of p from the bar, outside positive, in mm.
func (s Helix) Distance(p r3.Vec) float64 {
	c := s.coil()
	return norm(r3.Sub(p, c.at(c.nearest(p)))) - s.SectionRadiusMM
}

// Normal returns the outward unit normal at p, zero on the centreline.
func (s Helix) Normal(p r3.Vec) r3.Vec {
	c := s.coil()
	return unit(r3.Sub(p, c.at(c.nearest(p))))
}

// Difference returns s less the helix nominal in the order of
// Association.Parameters, offsets and phase taken on its axis nearest at.
func (s Helix) Difference(nominal Helix, at r3.Vec) []float64 {
	place := along(nominal.Point, r3.Dot(r3.Sub(at, nominal.Point), nominal.Axis), nominal.Axis)
	d := axisDifference(s.Point, s.Axis, nominal.Point, nominal.Axis, at)
	c, c0 := s.coil(), nominal.coil()
	turn := func(c coil) r3.Vec { // the radial direction of the centreline beside place
		sin, cos := math.Sincos(c.phase + r3.Dot(r3.Sub(place, c.point), c.d)/c.k)
		return along(r3.Scale(cos, c.e), sin, c.f)
	}
	m, m0 := turn(c), turn(c0)
	phase := math.Atan2(r3.Dot(r3.Cross(m0, m), c0.d), r3.Dot(m, m0))
	return append(d, s.RadiusMM-nominal.RadiusMM, s.PitchMM-nominal.PitchMM, phase, s.SectionRadiusMM-nominal.SectionRadiusMM)
}

// FitHelix returns the helix of least squared distances from points (mm, eight
// or more, weight nil for all 1), the minimum of start's basin. Point is the
// point of the axis nearest the centroid. Points times k give the helix times
// k. Accurate to 1e-9 of the size (TestHelixDesigned).
//
// The distance of a point is that from the nearest point of the centreline,
// less the section's radius; as the nearest point stays nearest to first order,
// the derivatives are those of the centreline at a fixed turn. The derivation
// is ours.
//
// Parameters: tilt_e_rad, tilt_f_rad, offset_e_mm, offset_f_mm, radius_mm,
// pitch_mm, phase_rad, section_radius_mm.
// Errors: ErrInput, ErrTooFew, ErrSingular, ErrDiverged.
func FitHelix(points []r3.Vec, weight []float64, start Helix) (Helix, Association, error) {
	return associate(points, weight, start, helixKind())
}

func helixKind() kind[Helix] {
	return kind[Helix]{
		parameters: []string{
			"tilt_e_rad", "tilt_f_rad", "offset_e_mm", "offset_f_mm",
			"radius_mm", "pitch_mm", "phase_rad", "section_radius_mm",
		},
		rows: 1,
		in: func(s Helix, c *cloud) Helix {
			s.Axis = unit(s.Axis)
			s.Point = c.in(s.Point)
			return s.times(1 / c.scale).atFoot()
		},
		out: func(s Helix, c *cloud) Helix {
			p := s.Point
			s = s.times(c.scale)
			s.Point = c.out(p)
			return s
		},
		check: func(s Helix) error {
			if !(math.Abs(s.PitchMM) > 1e-6) || !finite(s.PhaseDeg) {
				return fmt.Errorf("%w: no pitch", ErrSingular)
			}
			return checkRound(s.Point, s.Axis, s.RadiusMM, s.SectionRadiusMM, math.Abs(s.PitchMM))
		},
		open: openHelix,
		seen: seenHelix,
	}
}

// times scales the lengths but not the place.
func (s Helix) times(k float64) Helix {
	s.RadiusMM *= k
	s.PitchMM *= k
	s.SectionRadiusMM *= k
	return s
}

// atFoot moves Point to the axis' nearest to the origin, turns the axis upright
// and takes the phase there, within ±180°.
func (s Helix) atFoot() Helix {
	axis := upright(s.Axis)
	p := foot(s.Point, axis)
	c := s.coil()
	e, f := Frame(axis)
	m := c.at(r3.Dot(r3.Sub(p, s.Point), s.Axis) / c.k)
	m = r3.Sub(m, p)
	s.Point, s.Axis = p, axis
	s.PhaseDeg = math.Atan2(r3.Dot(m, f), r3.Dot(m, e)) * 180 / math.Pi
	return s
}

// openHelix keeps the axes e, f of the tilted frame free of twist: e is the
// start's, projected. turnA and turnB hold how e, f and d move with the tilt.
func openHelix(s Helix) opened[Helix] {
	t := newTilt(s.Axis)
	var c coil
	var turnA, turnB [3]r3.Vec
	section := 0.0
	prepare := func(x []float64) {
		t.set(x[0], x[1])
		m := along(t.e, -r3.Dot(t.e, t.d), t.d)
		e := unit(m)
		c = coil{
			point: along(r3.Scale(x[2], t.e), x[3], t.f), e: e, f: r3.Cross(t.d, e), d: t.d,
			radius: x[4], k: x[5] / (2 * math.Pi), phase: x[6],
		}
		turnA, turnB = c.turned(t, t.e, norm(m)), c.turned(t, t.f, norm(m))
		section = x[7]
	}
	return opened[Helix]{
		x0: []float64{
			0, 0, r3.Dot(s.Point, t.e), r3.Dot(s.Point, t.f),
			s.RadiusMM, s.PitchMM, s.PhaseDeg * math.Pi / 180, s.SectionRadiusMM,
		},
		prepare: prepare,
		residual: func(x []float64, q r3.Vec, _ int, grad []float64) float64 {
			tau := c.nearest(q)
			sin, cos := math.Sincos(c.phase + tau)
			v := r3.Sub(q, c.at(tau))
			g := norm(v)
			n := unit(v)
			ne, nf, nd := r3.Dot(n, c.e), r3.Dot(n, c.f), r3.Dot(n, c.d)
			rc, rs, kt := c.radius*cos, c.radius*sin, c.k*tau
			grad[0] = -(rc*r3.Dot(n, turnA[0]) + rs*r3.Dot(n, turnA[1]) + kt*r3.Dot(n, turnA[2]))
			grad[1] = -(rc*r3.Dot(n, turnB[0]) + rs*r3.Dot(n, turnB[1]) + kt*r3.Dot(n, turnB[2]))
			grad[2], grad[3] = -r3.Dot(n, t.e), -r3.Dot(n, t.f)
			grad[4] = -(ne*cos + nf*sin)
			grad[5] = -nd * tau / (2 * math.Pi)
			grad[6] = rs*ne - rc*nf
			grad[7] = -1
			return g - section
		},
		read: func(x []float64) (Helix, float64) {
			prepare(x)
			e, f := Frame(t.d)
			sin, cos := math.Sincos(c.phase)
			m := along(r3.Scale(cos, c.e), sin, c.f)
			phase := math.Atan2(r3.Dot(m, f), r3.Dot(m, e)) * 180 / math.Pi
			return Helix{c.point, t.d, x[4], x[5], phase, x[7]}.atFoot(), lean(x)
		},
	}
}

// turned returns how e, f and d of the tilted frame move where the axis tilts
// towards b, long being the length of the start's e after projection.
func (c *coil) turned(t *tilt, b r3.Vec, long float64) [3]r3.Vec {
	dd := r3.Scale(t.inv, along(b, -r3.Dot(b, t.d), t.d))
	dm := along(r3.Scale(-r3.Dot(t.e, dd), t.d), -r3.Dot(t.e, t.d), dd)
	de := r3.Scale(1/long, along(dm, -r3.Dot(c.e, dm), c.e))
	df := r3.Add(r3.Cross(dd, c.e), r3.Cross(t.d, de))
	return [3]r3.Vec{de, df, dd}
}

// seenHelix fills the turned angle (over 360 for more than a turn), the length
// along the axis and the arc of the section.
func seenHelix(s Helix, c *cloud, a *Association) {
	h := s.coil()
	turned, height, section := newExtent(), newExtent(), &arc{}
	for i, q := range c.at {
		if c.w(i) == 0 {
			continue
		}
		tau := h.nearest(q)
		turned.add(tau)
		v := r3.Sub(q, h.at(tau))
		height.add(r3.Dot(r3.Sub(q, h.point), h.d))
		sin, cos := math.Sincos(h.phase + tau)
		out := r3.Dot(v, along(r3.Scale(cos, h.e), sin, h.f))
		up := norm(v)
		up = math.Copysign(math.Sqrt(math.Max(0, up*up-out*out)), r3.Dot(v, h.d))
		section.add(math.Atan2(up, out))
	}
	a.ArcDeg, a.LengthMM = turned.length()*180/math.Pi, height.length()*c.scale
	a.SectionArcDeg = section.degrees()
}
