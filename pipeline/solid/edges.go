package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// creaseDeg is from where on an edge between facets is drawn: less is the scan's
// roughness or its curvature.
const creaseDeg = 25

// ellipseSteps a turn keep chords within 1e-3 of the long axis.
const ellipseSteps = 72

// Edges are the edges that one sees on a shape, in its frame: lines, arcs, and
// chords of ellipses and splines. Seams, where a face meets itself or goes on
// beyond the edge, are left out; of a faceted shell all but creases and borders.
func Edges(s Shape) ([]Wire, error) { return edges(s, false) }

// SharpEdges are Edges without those over which one face runs on into the next
// with the same tangent, as where a slot's sides meet its rounds.
func SharpEdges(s Shape) ([]Wire, error) { return edges(s, true) }

func edges(s Shape, sharp bool) ([]Wire, error) {
	b, err := s.Body()
	if err != nil {
		return nil, err
	}
	_, faceted := s.(Facets)
	sides := make([][]Surface, len(b.Edges))
	for _, shell := range append([][]Face{b.Faces}, b.Voids...) {
		for _, f := range shell {
			for _, l := range f.Loops {
				for _, u := range l {
					sides[u.Edge] = append(sides[u.Edge], f.Surface)
				}
			}
		}
	}
	var out []Wire
	for i, e := range b.Edges {
		if len(sides[i]) == 2 && goesOn(sides[i][0], sides[i][1], faceted) {
			continue
		}
		w := b.wire(e)
		if sharp && len(sides[i]) == 2 && smooth(sides[i][0], sides[i][1], w.middle()) {
			continue
		}
		out = append(out, w)
	}
	return out, nil
}

// middle is a point inside the wire.
func (w Wire) middle() r3.Vec {
	if w.Arc != nil {
		sin, cos := math.Sincos(w.Arc.SweepRad / 2)
		return w.Arc.At.Point(w.Arc.RadiusMM*cos, w.Arc.RadiusMM*sin, 0)
	}
	if len(w.Points) == 2 {
		return r3.Scale(0.5, r3.Add(w.Points[0], w.Points[1]))
	}
	return w.Points[len(w.Points)/2]
}

// smoothDeg is the angle between faces under which an edge is not seen.
const smoothDeg = 1

// smooth tells whether two faces have one tangent plane at a point of both.
func smooth(a, b Surface, p r3.Vec) bool {
	na, ok := normalAt(a, p)
	nb, ok2 := normalAt(b, p)
	return ok && ok2 && math.Abs(r3.Dot(na, nb)) > math.Cos(smoothDeg*math.Pi/180)
}

// normalAt is a unit normal of the surface at a point on it, either way; ok is
// false where it has none, and for a patch.
func normalAt(s Surface, p r3.Vec) (n r3.Vec, ok bool) {
	switch x := s.(type) {
	case Plane:
		return x.At.Z, true
	case Cylinder:
		q := x.At.Local(p)
		n = x.At.Dir(q.X, q.Y, 0)
	case Cone:
		q := x.At.Local(p)
		n = x.At.Dir(q.X, q.Y, -x.Slope*math.Hypot(q.X, q.Y))
	case Sphere:
		n = r3.Sub(p, x.At.Origin)
	case Torus:
		q := x.At.Local(p)
		k := x.RadiusMM / math.Max(math.Hypot(q.X, q.Y), leastMM)
		n = x.At.Dir(q.X-k*q.X, q.Y-k*q.Y, q.Z)
	default:
		return n, false
	}
	l := r3.Norm(n)
	if !(l > leastMM) {
		return n, false
	}
	return r3.Scale(1/l, n), true
}

// goesOn tells whether two faces are parts of one surface.
func goesOn(a, b Surface, faceted bool) bool {
	switch x := a.(type) {
	case Plane:
		y, plane := b.(Plane)
		return plane && faceted && r3.Dot(x.At.Z, y.At.Z) > math.Cos(creaseDeg*math.Pi/180)
	case Cylinder:
		y, round := b.(Cylinder)
		return round && x.RadiusMM == y.RadiusMM && x.At.Z == y.At.Z && x.At.Origin == y.At.Origin
	case Cone:
		y, cone := b.(Cone)
		return cone && x == y
	case Sphere:
		_, ball := b.(Sphere)
		return ball
	case Torus:
		y, torus := b.(Torus)
		return torus && x == y
	case Patch: // of a coil; those of a rolled plate meet at corners
		y, patch := b.(Patch)
		return patch && x.Weights != nil && y.Weights != nil
	}
	return false
}

// wire is an edge as a line, an arc, or chords.
func (b Body) wire(e Edge) Wire {
	from, to := b.Vertices[e.A], b.Vertices[e.B]
	switch c := e.Curve.(type) {
	case Circle:
		sweep := turnBetween(c.At.Local(from), c.At.Local(to), e.A == e.B)
		return Wire{Arc: &Arc{NewFrame(c.At.Origin, c.At.Z, r3.Sub(from, c.At.Origin)), c.RadiusMM, sweep}}
	case Ellipse:
		flat := func(p r3.Vec) r3.Vec { // on the circle that the ellipse is of
			q := c.At.Local(p)
			return r3.Vec{X: q.X / c.A, Y: q.Y / c.B}
		}
		p := flat(from)
		start, sweep := math.Atan2(p.Y, p.X), turnBetween(p, flat(to), e.A == e.B)
		n := max(2, int(math.Ceil(sweep*ellipseSteps/(2*math.Pi))))
		var w Wire
		for k := range n + 1 {
			sin, cos := math.Sincos(start + sweep*float64(k)/float64(n))
			w.Points = append(w.Points, c.At.Point(c.A*cos, c.B*sin, 0))
		}
		return w
	case Spline:
		return Wire{Points: c.points()}
	}
	return Wire{Points: []r3.Vec{from, to}}
}

// turnBetween is the angle about z from one point to another, in 0 … 2π.
func turnBetween(from, to r3.Vec, whole bool) float64 {
	if whole {
		return 2 * math.Pi
	}
	d := math.Atan2(to.Y, to.X) - math.Atan2(from.Y, from.X)
	return math.Mod(d+4*math.Pi, 2*math.Pi)
}

// spanSteps are the chords of a span between two knots.
const spanSteps = 2

// points lie on the spline, its ends included.
func (s Spline) points() []r3.Vec {
	var knots []float64
	for i, k := range s.Knots {
		for range s.Mults[i] {
			knots = append(knots, k)
		}
	}
	var out []r3.Vec
	for i := 1; i < len(s.Knots); i++ {
		a, b := s.Knots[i-1], s.Knots[i]
		for k := range spanSteps {
			out = append(out, s.at(knots, a+(b-a)*float64(k)/spanSteps))
		}
	}
	return append(out, s.Points[len(s.Points)-1])
}

// at is the point at parameter t, by de Boor's recursion; knots are listed with
// their multiplicity.
func (s Spline) at(knots []float64, t float64) r3.Vec {
	k := s.Degree
	for k+1 < len(s.Points) && knots[k+1] <= t {
		k++
	}
	d := make([]r3.Vec, s.Degree+1)
	copy(d, s.Points[k-s.Degree:k+1])
	for r := 1; r <= s.Degree; r++ {
		for j := s.Degree; j >= r; j-- {
			lo, hi := knots[j+k-s.Degree], knots[j+1+k-r]
			a := 0.0
			if hi > lo {
				a = (t - lo) / (hi - lo)
			}
			d[j] = r3.Add(r3.Scale(1-a, d[j-1]), r3.Scale(a, d[j]))
		}
	}
	return d[s.Degree]
}
