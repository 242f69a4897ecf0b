package synthetic

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"
)

// site is a place on a shape where something can be welded on: a point of its
// surface, the normal out of it, and a direction of the shape along the surface.
type site struct{ at, normal, along r3.Vec }

func polar(radius, angle, z float64) r3.Vec {
	s, c := math.Sincos(angle)
	return r3.Vec{X: radius * c, Y: radius * s, Z: z}
}

var up = r3.Vec{Z: 1}

// between draws evenly from lo to hi, mm, to a tenth.
func between(r *rand.Rand, lo, hi float64) float64 {
	return math.Round((lo+r.Float64()*(hi-lo))*10) / 10
}

// endSite is one end of a piece along z.
func endSite(r *rand.Rand, lengthMM float64) site {
	z := lengthMM / 2
	if r.IntN(2) == 0 {
		z = -z
	}
	return site{r3.Vec{Z: z}, r3.Vec{Z: math.Copysign(1, z)}, r3.Vec{X: 1}}
}

// sideSite is on the outside of a turned piece.
func sideSite(r *rand.Rand, radius, lengthMM float64) site {
	a := 2 * math.Pi * r.Float64()
	return site{polar(radius, a, (0.7*r.Float64()-0.35)*lengthMM), polar(1, a, 0), up}
}

// faceSite is on a flat face about z, from inner to outer radius.
func faceSite(r *rand.Rand, inner, outer, thickMM float64) site {
	s := endSite(r, thickMM)
	at := polar(inner+(0.2+0.6*r.Float64())*(outer-inner), 2*math.Pi*r.Float64(), 0)
	return site{r3.Add(at, s.at), s.normal, r3.Unit(at)}
}

// siteOn is a place on a shape, drawn at random; on as a host, where other
// pieces may stand, else as a guest, by which it is welded on.
func siteOn(r *rand.Rand, s Shape, host bool) site {
	end := r.IntN(10)
	switch s := s.(type) {
	case Tube:
		if end < 4 && !host || end < 1 {
			return endSite(r, s.LengthMM)
		}
		return sideSite(r, s.OutsideDiameterMM/2, s.LengthMM)
	case Bar:
		if end < 6 && !host || end < 2 {
			return endSite(r, s.LengthMM)
		}
		return sideSite(r, s.OutsideDiameterMM/2, s.LengthMM)
	case Cone:
		if !host {
			return site{r3.Vec{Z: -s.HeightMM / 2}, r3.Vec{Z: -1}, r3.Vec{X: 1}}
		}
		slope := (s.LargeDiameterMM - s.SmallDiameterMM) / 2 / s.HeightMM
		a := 2 * math.Pi * r.Float64()
		return site{polar((s.LargeDiameterMM+s.SmallDiameterMM)/4, a, 0), r3.Unit(polar(1, a, slope)), r3.Unit(polar(-slope, a, 1))}
	case Profile:
		if end < 5 || host && end < 8 {
			return endSite(r, s.LengthMM)
		}
		return profileSite(r, s)
	case Sphere:
		n := direction(r)
		return site{r3.Scale(s.DiameterMM/2, n), n, r3.Unit(r3.Cross(n, leastAlong(n)))}
	case Disc:
		if end < 3 || !host && end < 7 {
			return sideSite(r, s.OutsideDiameterMM/2, s.ThicknessMM/8)
		}
		return faceSite(r, 0, s.OutsideDiameterMM/2, s.ThicknessMM)
	case Ring:
		if end < 3 || !host && end < 7 {
			return sideSite(r, s.OutsideDiameterMM/2, s.ThicknessMM/8)
		}
		return faceSite(r, s.InsideDiameterMM/2, s.OutsideDiameterMM/2, s.ThicknessMM)
	case ToothedWheel:
		if end < 3 && !host { // on a tooth
			return site{polar(s.TipDiameterMM/2-0.4, 0, 0), r3.Vec{X: 1}, up}
		}
		return faceSite(r, s.BoreDiameterMM/2, s.RootDiameterMM/2, s.ThicknessMM)
	case RoundRing:
		return tubeSite(r, s.CentrelineDiameterMM/2, s.SectionDiameterMM/2, 2*math.Pi)
	case Arc:
		if end < 5 && !host || end < 1 {
			return site{r3.Vec{X: s.CentrelineDiameterMM / 2}, r3.Vec{Y: -1}, up}
		}
		return tubeSite(r, s.CentrelineDiameterMM/2, s.SectionDiameterMM/2, rad(s.SweepDeg))
	case FlatArc:
		if end < 4 && !host {
			return site{r3.Vec{X: (s.OutsideDiameterMM + s.InsideDiameterMM) / 4}, r3.Vec{Y: -1}, up}
		}
		t := endSite(r, s.ThicknessMM)
		a := rad(s.SweepDeg) * (0.2 + 0.6*r.Float64())
		return site{polar((s.OutsideDiameterMM+s.InsideDiameterMM)/4, a, t.at.Z), t.normal, polar(1, a, 0)}
	case Coil:
		a := 2 * math.Pi * s.Turns * (0.3 + 0.4*r.Float64())
		z := s.PitchMM / (2 * math.Pi) * (a - math.Pi*s.Turns)
		return site{polar((s.CentrelineDiameterMM+s.SectionDiameterMM)/2, a, z), polar(1, a, 0), up}
	case RolledPlate:
		return rolledSite(r, s, host)
	case Plate:
		return plateSite(r, s, host)
	case Bent:
		return site{r3.Vec{}, r3.Vec{Z: -1}, r3.Vec{X: 1}}
	}
	return site{normal: up, along: r3.Vec{X: 1}}
}

// tubeSite is on a torus about z: outside, on top or inside.
func tubeSite(r *rand.Rand, radius, section, sweep float64) site {
	a := sweep * (0.15 + 0.7*r.Float64())
	tilt := [...]float64{0, 0, math.Pi / 2, -math.Pi / 2, math.Pi}[r.IntN(5)]
	sin, cos := math.Sincos(tilt)
	return site{polar(radius+section*cos, a, section*sin), polar(cos, a, sin), r3.Cross(up, polar(1, a, 0))}
}

func rolledSite(r *rand.Rand, s RolledPlate, host bool) site {
	a := rad(s.SweepDeg) * (0.25 + 0.5*r.Float64())
	mid := (s.InsideDiameterMM + s.ThicknessMM) / 2
	if !host {
		switch r.IntN(3) {
		case 0: // by a straight end
			return site{r3.Vec{X: mid}, r3.Vec{Y: -1}, up}
		case 1: // by a curved side
			t := endSite(r, s.WidthMM)
			return site{polar(mid, a, t.at.Z), t.normal, polar(1, a, 0)}
		}
	}
	return site{polar(mid+s.ThicknessMM/2, a, 0), polar(1, a, 0), up}
}

// plateSite is a face, or the middle of an edge of the outline.
func plateSite(r *rand.Rand, s Plate, host bool) site {
	loops, err := loopOf("plate", s.Outline)
	if err != nil {
		return site{normal: up, along: r3.Vec{X: 1}}
	}
	if !host && r.IntN(10) < 6 || host && r.IntN(10) < 2 {
		e := loops.wound(false)[r.IntN(len(loops))]
		dx, dy := e.to[0]-e.from[0], e.to[1]-e.from[1]
		l := math.Hypot(dx, dy)
		return site{r3.Vec{X: (e.from[0] + e.to[0]) / 2, Y: (e.from[1] + e.to[1]) / 2}, r3.Vec{X: dy / l, Y: -dx / l}, r3.Vec{X: dx / l, Y: dy / l}}
	}
	t := endSite(r, s.ThicknessMM)
	in := newArea([]loop{loops.wound(false)})
	for range 50 {
		i, j := r.Float64(), r.Float64()
		x, y := in.lo[0]+i*float64(in.nx)*in.binMM, in.lo[1]+j*float64(in.ny)*in.binMM
		if in.distance(x, y) < -4 {
			return site{r3.Vec{X: x, Y: y, Z: t.at.Z}, t.normal, r3.Vec{X: 1}}
		}
	}
	return site{t.at, t.normal, r3.Vec{X: 1}}
}

// profileSite is the middle of a straight side.
func profileSite(r *rand.Rand, s Profile) site {
	loops, _, err := s.loops()
	if err != nil {
		return site{normal: up, along: r3.Vec{X: 1}}
	}
	best := loops[0][0]
	for range 2 {
		if e := loops[0][r.IntN(len(loops[0]))]; e.length() > best.length() {
			best = e
		}
	}
	dx, dy := best.to[0]-best.from[0], best.to[1]-best.from[1]
	l := math.Hypot(dx, dy)
	at := r3.Vec{X: (best.from[0] + best.to[0]) / 2, Y: (best.from[1] + best.to[1]) / 2}
	return site{at, r3.Vec{X: dy / l, Y: -dx / l}, up}
}
