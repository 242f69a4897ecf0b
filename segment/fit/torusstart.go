package fit

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// StartTorus returns a torus near which most of points lie. Axes are tried
// from the motion that carries the surface into itself (normals nil or one a
// point, either way round; up to a third of outliers) and over a hemisphere
// with a circle through the points' shadow and one through their meridian; the
// best few are fitted and the best of those is returned.
func StartTorus(points, normals []r3.Vec) (Torus, error) {
	s, err := newSample(points, normals, 7)
	if err != nil {
		return Torus{}, err
	}
	all := append(s.apart(s.toriOverHemisphere()), s.bentCylinders()...)
	if s.normal != nil {
		for _, m := range s.motions() {
			if f, score := s.toriAbout(m.point, m.axis); finite(score) {
				all = append(all, f)
			}
		}
	}
	f, err := chooseStart(s, all, coarse(torusKind()))
	return torusKind().out(f, &s.cloud), err
}

// toriAbout returns the torus about an axis whose section is the best algebraic
// circle of the meridian points: of all or, where outliers can be told, of 20
// random triples.
func (s *sample) toriAbout(point, axis r3.Vec) (Torus, float64) {
	flat := make([]r3.Vec, len(s.at))
	for i, q := range s.at {
		h, rho, _ := split(r3.Sub(q, point), axis)
		flat[i] = r3.Vec{X: rho, Y: h}
	}
	c, score := s.sectionCircle(flat)
	return Torus{along(point, c.point.Y, axis), axis, c.point.X, c.radius}, score
}

// sectionCircle returns the algebraic circle of meridian points, X outwards and
// Y along the axis, with the least trimmed sum of squares; +Inf where none has
// its centre outside the axis.
func (s *sample) sectionCircle(flat []r3.Vec) (roundAxis, float64) {
	var best roundAxis
	least := math.Inf(1)
	m := &sample{cloud: cloud{at: flat}, kept: s.kept}
	d2 := make([]float64, len(flat))
	try := func(ids []int) {
		c, ok := m.shadowCircle(r3.Vec{Z: 1}, ids)
		if !ok || c.point.X <= 0 {
			return
		}
		if v := m.scoreUnder(least, flatCircle{c}, d2); v < least {
			best, least = c, v
		}
	}
	try(s.ids())
	if s.kept < len(flat) {
		for range 20 {
			try([]int{s.draw(), s.draw(), s.draw()})
		}
	}
	return best, least
}

// flatCircle is a circle of the plane z = 0.
type flatCircle struct{ roundAxis }

func (c flatCircle) Distance(q r3.Vec) float64 {
	x, y := q.X-c.point.X, q.Y-c.point.Y
	return math.Sqrt(x*x+y*y) - c.radius
}

// toriOverHemisphere takes, along each direction, the axis through the centre
// of the circle through all points' shadow. A third of the sample tells a torus of
// the right axis from others, as it does of cylinders (scan).
func (s *sample) toriOverHemisphere() []Torus {
	_, axes := principal(s.at, nil)
	s = s.fewer(scanPoints)
	var all []Torus
	ids := s.ids()
	for _, d := range append(axes[:], hemisphere(scanDirections)...) {
		if c, ok := s.shadowCircle(d, ids); ok {
			if f, score := s.toriAbout(c.point, d); finite(score) {
				all = append(all, f)
			}
		}
	}
	return all
}

// bentCylinders bends the best two cylinders to radii of 1, 2, 4 and 8 spreads
// of the points, each towards the best of 16 sides: a short elbow is first of
// all a cylinder.
func (s *sample) bentCylinders() []Torus {
	var all []Torus
	d2 := make([]float64, len(s.at))
	cylinders := s.scan(circleFinder())
	for _, c := range cylinders[:min(2, len(cylinders))] {
		e, f := Frame(c.axis)
		for r := 1.0; r <= 8; r *= 2 {
			var best Torus
			least := math.Inf(1)
			for i := range 16 {
				out := turn(e, f, 2*math.Pi*float64(i)/16)
				// The section's centre stands off the axis by half the mean sagitta, 1/2R.
				t := Torus{along(foot(c.point, c.axis), r-0.25/r, out), r3.Cross(c.axis, out), r, c.radius}
				if v := s.scoreUnder(least, t, d2); v < least {
					best, least = t, v
				}
			}
			all = append(all, best)
		}
	}
	return all
}

// apart returns the best half dozen of the tori, no two axes within 14°.
func (s *sample) apart(tori []Torus) []Torus {
	d2 := make([]float64, len(s.at))
	score := make(map[Torus]float64, len(tori))
	for _, f := range tori {
		score[f] = s.score(f, d2)
	}
	slices.SortStableFunc(tori, func(a, b Torus) int { return cmp.Compare(score[a], score[b]) })
	var best []Torus
	for _, f := range tori {
		near := slices.ContainsFunc(best, func(b Torus) bool { return math.Abs(r3.Dot(f.Axis, b.Axis)) > scanApartCos })
		if !near && len(best) < 6 {
			best = append(best, f)
		}
	}
	return best
}

// RobustTorus fits the torus to the points that lie near it and tells which do.
// normals may be nil, but then outliers must be few.
func RobustTorus(points, normals []r3.Vec, weight []float64) (Torus, Association, []bool, error) {
	start, err := StartTorus(points, normals)
	if err != nil {
		return Torus{}, Association{}, nil, err
	}
	return Robust(points, weight, start, FitTorus)
}
