package fit

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// StartHelix returns a helix near which most of points lie, though up to a
// fifth are elsewhere: the axis and pitch from the screw motion that carries
// the surface into itself, the section from the points carried back to one
// meridian. normals are one a point, either way round; nil has them estimated,
// which takes points closer than a third of the section's radius.
func StartHelix(points, normals []r3.Vec) (Helix, error) {
	s, err := newSample(points, normals, 8)
	if err != nil {
		return Helix{}, err
	}
	if s.normal == nil {
		s.estimateNormals(points)
	}
	var all []Helix
	for _, m := range append(s.motions(), s.pitches()...) {
		var best Helix
		least := math.Inf(1)
		for _, share := range pitchShares() {
			if f, score := s.helixAbout(motion{m.point, m.axis, m.travel * share}); score < least {
				best, least = f, score
			}
		}
		if finite(least) { // one a motion, so that the fits are spread over them
			all = append(all, best)
		}
	}
	f, err := chooseStart(s, all, coarse(helixKind()))
	return helixKind().out(f, &s.cloud), err
}

// pitches returns screws about the axis of the cylinder through the points, of
// the pitches at which the points' rises gather best. Steps of 1/8 of a turn
// over the length, up to 40 turns, cannot step over a pitch.
func (s *sample) pitches() []motion {
	var about []Cylinder
	for _, d := range s.scan(circleFinder()) {
		about = append(about, Cylinder{d.point, d.axis, d.radius})
	}
	c, err := chooseStart(s, about, coarse(cylinderKind()))
	if err != nil {
		return nil
	}
	e, f := Frame(c.Axis)
	height, angle := make([]float64, len(s.at)), make([]float64, len(s.at))
	ext := newExtent()
	for i, q := range s.at {
		t := r3.Sub(q, c.Point)
		height[i], angle[i] = r3.Dot(t, c.Axis), math.Atan2(r3.Dot(t, f), r3.Dot(t, e))
		ext.add(height[i])
	}
	type gathered struct{ turns, share float64 }
	var all []gathered
	for i := 2; i <= 320; i++ {
		for _, hand := range []float64{1, -1} {
			turns := hand * float64(i) / 8
			var sin, cos float64
			for j := range height {
				ds, dc := math.Sincos(2*math.Pi*turns*height[j]/ext.length() - angle[j])
				sin, cos = sin+ds, cos+dc
			}
			all = append(all, gathered{turns, math.Hypot(sin, cos)})
		}
	}
	slices.SortStableFunc(all, func(a, b gathered) int { return cmp.Compare(b.share, a.share) })
	var best []motion
	for _, g := range all[:6] {
		best = append(best, motion{c.Point, c.Axis, ext.length() / g.turns / (2 * math.Pi)})
	}
	return best
}

// pitchShares are the pitches tried, as shares of the motion's: steps of 1.5 %
// keep ten turns of pitch four section radii on one section.
func pitchShares() []float64 {
	var all []float64
	for i := -12; i <= 12; i++ {
		all = append(all, 1+0.015*float64(i))
	}
	return all
}

// helixAbout returns the helix of one screw and its trimmed sum of squares:
// with the points carried along the screw to the meridian of e and wrapped to
// one pitch, the section is a circle to first order once heights are shortened
// by the lead angle's cosine.
func (s *sample) helixAbout(m motion) (Helix, float64) {
	pitch := 2 * math.Pi * math.Abs(m.travel)
	if !(pitch > 1e-3) || !(pitch < flatLimit) {
		return Helix{}, math.Inf(1)
	}
	e, f := Frame(m.axis)
	rho, rise := make([]float64, len(s.at)), make([]float64, len(s.at))
	var sin, cos float64
	for i, q := range s.at {
		t := r3.Sub(q, m.point)
		x, y := r3.Dot(t, e), r3.Dot(t, f)
		rho[i] = math.Hypot(x, y)
		rise[i] = r3.Dot(t, m.axis) - m.travel*math.Atan2(y, x)
		ds, dc := math.Sincos(2 * math.Pi * rise[i] / pitch)
		sin, cos = sin+ds, cos+dc
	}
	middle := math.Atan2(sin, cos) * pitch / (2 * math.Pi)
	sorted := slices.Clone(rho)
	slices.Sort(sorted)
	radius := sorted[len(sorted)/2]
	short := radius / math.Hypot(radius, m.travel)
	flat := make([]r3.Vec, len(s.at))
	for i := range flat {
		h := math.Remainder(rise[i]-middle, pitch)
		flat[i] = r3.Vec{X: rho[i], Y: h * short}
	}
	c, score := s.sectionCircle(flat)
	p := along(m.point, middle+c.point.Y/short, m.axis)
	return Helix{p, m.axis, c.point.X, 2 * math.Pi * m.travel, 0, c.radius}.atFoot(), score
}

// neighbours is how many points a normal is estimated from, itself included.
const neighbours = 10

// estimateNormals takes as the normal of each point of the sample the direction
// of least variance of its nearest points, among at most 20,000 of all.
func (s *sample) estimateNormals(points []r3.Vec) {
	ids := pick(len(points), 20000, s.rng)
	near := min(neighbours, len(ids))
	d2, sorted := make([]float64, len(ids)), make([]float64, len(ids))
	s.normal = make([]r3.Vec, len(s.at))
	for k, q := range s.at {
		p := s.out(q)
		for j, i := range ids {
			t := r3.Sub(points[i], p)
			d2[j] = r3.Dot(t, t)
		}
		copy(sorted, d2)
		_, limit := trimmed(sorted, near)
		group := make([]r3.Vec, 0, near)
		var mean r3.Vec
		for j, i := range ids {
			if d2[j] <= limit && len(group) < 2*near {
				v := s.in(points[i])
				group = append(group, v)
				mean = r3.Add(mean, v)
			}
		}
		mean = r3.Scale(1/float64(len(group)), mean)
		for j := range group {
			group[j] = r3.Sub(group[j], mean)
		}
		_, axes := principal(group, nil)
		s.normal[k] = axes[0]
	}
}

// RobustHelix fits the helix to the points that lie near it and tells which do.
// normals may be nil.
func RobustHelix(points, normals []r3.Vec, weight []float64) (Helix, Association, []bool, error) {
	start, err := StartHelix(points, normals)
	if err != nil {
		return Helix{}, Association{}, nil, err
	}
	return Robust(points, weight, start, FitHelix)
}
