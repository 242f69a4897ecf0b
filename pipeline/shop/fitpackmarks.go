package shop

import (
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/solid"
)

// PunchPoints are points of a shape that a punch finds, SITE: corners, ends and
// eighths of round edges and their outermost points along SITE's axes; on a ball
// and a round ring, which have no edges, the outermost points. At most pointsMost.
func PunchPoints(frame solid.Frame, shape solid.Shape) ([]r3.Vec, error) {
	edges, err := solid.Edges(shape)
	if err != nil {
		return nil, err
	}
	var out []r3.Vec
	for i, e := range edges {
		if !inner(e, edges, i) {
			out = append(out, onWire(frame, e)...)
		}
	}
	switch s := shape.(type) {
	case solid.Ball:
		for _, d := range sixWays() {
			out = append(out, r3.Add(frame.Origin, r3.Scale(s.DiameterMM/2, d)))
		}
	case solid.RoundRing:
		out = append(out, onRing(frame, s.CentrelineMM/2, s.SectionMM/2)...)
	}
	return spread(out, pointsMost), nil
}

// inner says whether an arc lies within a larger one in its plane: the edge of a
// bore or hole about the same axis, which the other part often covers.
func inner(w solid.Wire, edges []solid.Wire, at int) bool {
	for i, e := range edges {
		if i == at || w.Arc == nil || e.Arc == nil || e.Arc.RadiusMM <= w.Arc.RadiusMM {
			continue
		}
		apart := r3.Norm(r3.Sub(e.Arc.At.Origin, w.Arc.At.Origin))
		if apart < 1e-6*e.Arc.RadiusMM && math.Abs(r3.Dot(e.Arc.At.Z, w.Arc.At.Z)) > 1-1e-9 {
			return true
		}
	}
	return false
}

// pointsMost keep the base of a disc within 1 % of its radius.
const pointsMost = 48

func sixWays() [6]r3.Vec {
	return [6]r3.Vec{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}
}

// onWire are the ends of lines, corners of polylines, eighths of arcs.
func onWire(f solid.Frame, w solid.Wire) []r3.Vec {
	var out []r3.Vec
	for _, p := range w.Points {
		out = append(out, f.Point(p.X, p.Y, p.Z))
	}
	if w.Arc == nil {
		return out
	}
	at := w.Arc.At
	turns := []float64{0, w.Arc.SweepRad}
	for k := 1; float64(k)*math.Pi/4 < w.Arc.SweepRad-1e-6; k++ {
		turns = append(turns, float64(k)*math.Pi/4)
	}
	for _, d := range sixWays() {
		l := f.LocalDir(d)
		turn := math.Mod(math.Atan2(r3.Dot(l, at.Y()), r3.Dot(l, at.X))+2*math.Pi, 2*math.Pi)
		if turn < w.Arc.SweepRad {
			turns = append(turns, turn)
		}
	}
	for _, t := range turns {
		s, c := math.Sincos(t)
		q := at.Point(w.Arc.RadiusMM*c, w.Arc.RadiusMM*s, 0)
		out = append(out, f.Point(q.X, q.Y, q.Z))
	}
	return out
}

// onRing are eighths of a torus on both sides, and its outermost points along
// SITE's axes.
func onRing(f solid.Frame, radius, section float64) []r3.Vec {
	var out []r3.Vec
	for k := range 8 {
		s, c := math.Sincos(float64(k) * math.Pi / 4)
		out = append(out, f.Point(radius*c, radius*s, section), f.Point(radius*c, radius*s, -section))
	}
	for _, d := range sixWays() {
		flat := unitOr0(r3.Sub(d, r3.Scale(r3.Dot(d, f.Z), f.Z)))
		if flat == (r3.Vec{}) {
			continue
		}
		out = append(out, r3.Add(f.Origin, r3.Add(r3.Scale(radius, flat), r3.Scale(section, d))))
	}
	return out
}

// spread picks at most n points that lie far apart, beginning with the one that is
// farthest from their mean (Gonzalez, Theoretical Computer Science 38 (1985) 293).
// Points that coincide are taken once.
func spread(points []r3.Vec, n int) []r3.Vec {
	if len(points) == 0 {
		return nil
	}
	off := make([]float64, len(points))
	var mean r3.Vec
	for _, p := range points {
		mean = r3.Add(mean, r3.Scale(1/float64(len(points)), p))
	}
	for i, p := range points {
		off[i] = r3.Norm(r3.Sub(p, mean))
	}
	var out []r3.Vec
	for len(out) < n {
		far := 0
		for i := range points {
			if off[i] > off[far]+1e-6 {
				far = i
			}
		}
		if off[far] < 1e-3 && len(out) > 0 {
			break
		}
		out = append(out, points[far])
		for i, p := range points {
			d := r3.Norm(r3.Sub(p, points[far]))
			if off[i] = min(off[i], d); len(out) == 1 {
				off[i] = d
			}
		}
	}
	return out
}

// Mark is a punched mark.
type Mark struct {
	Part, Number int // numbers of a part count from 1
	AtMM         r3.Vec
	Where        string // on the part, as it stands on site: top, +x, -y
}

// marksOf punches a part.
func marksOf(part int, b Body, most int) []Mark {
	var out []Mark
	lo, hi := b.points()[0], b.points()[0]
	for _, p := range b.points() {
		lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y), Z: min(lo.Z, p.Z)}
		hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y), Z: max(hi.Z, p.Z)}
	}
	for k, p := range spread(b.PointsMM, most) {
		out = append(out, Mark{part, k + 1, p, placeOf(p, lo, hi)})
	}
	return out
}

// placeOf says in which outer quarters of a box a point lies.
func placeOf(p, lo, hi r3.Vec) string {
	type side struct {
		at, long  float64
		low, high string
	}
	sides := []side{{p.Z - lo.Z, hi.Z - lo.Z, "bottom", "top"}, {p.X - lo.X, hi.X - lo.X, "-x", "+x"}, {p.Y - lo.Y, hi.Y - lo.Y, "-y", "+y"}}
	var words []string
	for _, s := range sides {
		switch {
		case s.long < 1:
		case s.at < s.long/4:
			words = append(words, s.low)
		case s.at > s.long*3/4:
			words = append(words, s.high)
		}
	}
	if len(words) == 0 {
		return "middle"
	}
	return strings.Join(words, ", ")
}
