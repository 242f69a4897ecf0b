package synthetic

import (
	"fmt"
	"math"
)

// Step is one edge of an outline: from where the step before ended, straight to
// To, or by the circular arc through Via where Arc is set. Coordinates in mm.
type Step struct {
	To  [2]float64 `json:"to"`
	Via [2]float64 `json:"via"`
	Arc bool       `json:"arc"`
}

// Line is a straight step.
func Line(x, y float64) Step { return Step{To: [2]float64{x, y}} }

// ArcVia is a step along the circle through a point on the way.
func ArcVia(viaX, viaY, x, y float64) Step {
	return Step{To: [2]float64{x, y}, Via: [2]float64{viaX, viaY}, Arc: true}
}

// Polygon returns the closed outline through the given corners.
func Polygon(corners ...[2]float64) []Step {
	out := make([]Step, len(corners))
	for i, c := range corners {
		out[i].To = c
	}
	return out
}

// Rectangle returns the outline of a rectangle about the origin, length along x.
func Rectangle(lengthMM, widthMM float64) []Step {
	l, w := lengthMM/2, widthMM/2
	return Polygon([2]float64{-l, -w}, [2]float64{l, -w}, [2]float64{l, w}, [2]float64{-l, w})
}

// edge is one straight or circular edge of a loop; radius 0 means straight.
// A sweep over 0 turns counter-clockwise.
type edge struct {
	from, to             [2]float64
	centre               [2]float64
	radius, start, sweep float64
}

// loop is a closed chain of edges.
type loop []edge

func (e edge) length() float64 {
	if e.radius > 0 {
		return e.radius * math.Abs(e.sweep)
	}
	return math.Hypot(e.to[0]-e.from[0], e.to[1]-e.from[1])
}

// at returns the point at share t of the edge's length.
func (e edge) at(t float64) [2]float64 {
	if e.radius > 0 {
		s, c := math.Sincos(e.start + t*e.sweep)
		return [2]float64{e.centre[0] + e.radius*c, e.centre[1] + e.radius*s}
	}
	return [2]float64{e.from[0] + t*(e.to[0]-e.from[0]), e.from[1] + t*(e.to[1]-e.from[1])}
}

func (e edge) reversed() edge {
	e.from, e.to = e.to, e.from
	e.start, e.sweep = e.start+e.sweep, -e.sweep
	return e
}

// moments returns the edge's share of area, and of the first moments in x and
// y, of the loop it belongs to, by Green's theorem.
func (e edge) moments() (area, mx, my float64) {
	p, q := e.from, e.to
	cross := p[0]*q[1] - q[0]*p[1]
	area, mx, my = cross/2, cross*(p[0]+q[0])/6, cross*(p[1]+q[1])/6
	if e.radius == 0 {
		return area, mx, my
	}
	// The circular segment between chord and arc, signed with the sweep.
	r, h := e.radius, e.sweep/2
	seg := r * r / 2 * (e.sweep - math.Sin(e.sweep))
	arm := 2 * r * r * r / 3 * math.Pow(math.Sin(h), 3) // its area × the distance of its centroid
	s, c := math.Sincos(e.start + h)
	return area + seg, mx + seg*e.centre[0] + arm*c, my + seg*e.centre[1] + arm*s
}

func (l loop) moments() (area, mx, my float64) {
	for _, e := range l {
		a, x, y := e.moments()
		area, mx, my = area+a, mx+x, my+y
	}
	return area, mx, my
}

// wound returns l counter-clockwise, or clockwise for a hole.
func (l loop) wound(hole bool) loop {
	if area, _, _ := l.moments(); (area < 0) == hole {
		return l
	}
	out := make(loop, len(l))
	for i, e := range l {
		out[len(l)-1-i] = e.reversed()
	}
	return out
}

func circle(x, y, radius float64) loop {
	p := [2]float64{x + radius, y}
	return loop{{from: p, to: p, centre: [2]float64{x, y}, radius: radius, sweep: 2 * math.Pi}}
}

// loopOf turns an outline into edges. It refuses fewer than two steps, steps of
// no length, and arcs through three points on a line.
func loopOf(what string, outline []Step) (loop, error) {
	if len(outline) < 2 {
		return nil, fmt.Errorf("%s: outline has %d steps; give at least two", what, len(outline))
	}
	from := outline[len(outline)-1].To
	out := make(loop, len(outline))
	for i, s := range outline {
		e := edge{from: from, to: s.To}
		if s.Arc {
			e = arcThrough(from, s.Via, s.To)
		}
		if l := e.length(); !(l >= 1e-3 && l <= 1e6) {
			return nil, fmt.Errorf("%s: step %d of the outline is %g mm long; give steps from 0.001 to 1000000 mm, arcs through three points not on a line", what, i+1, l)
		}
		out[i], from = e, s.To
	}
	return out, nil
}

// arcThrough returns the arc from p over via to q; a NaN radius where the three
// are on a line.
func arcThrough(p, via, q [2]float64) edge {
	ax, ay := via[0]-p[0], via[1]-p[1]
	bx, by := q[0]-p[0], q[1]-p[1]
	d := 2 * (ax*by - ay*bx)
	a2, b2 := ax*ax+ay*ay, bx*bx+by*by
	if math.Abs(d) <= 1e-12*(a2+b2) {
		return edge{from: p, to: q, radius: 1, sweep: math.NaN()}
	}
	cx, cy := (by*a2-ay*b2)/d, (ax*b2-bx*a2)/d
	e := edge{from: p, to: q, centre: [2]float64{p[0] + cx, p[1] + cy}, radius: math.Hypot(cx, cy)}
	e.start = math.Atan2(-cy, -cx)
	e.sweep = math.Atan2(by-cy, bx-cx) - e.start
	if d > 0 && e.sweep < 0 {
		e.sweep += 2 * math.Pi
	}
	if d < 0 && e.sweep > 0 {
		e.sweep -= 2 * math.Pi
	}
	return e
}

// arcStepMax is the most an arc may turn in one facet: 15 facets a turn, so
// that the smallest hole still reads as round.
const arcStepMax = 24 * math.Pi / 180

// points returns the vertices of a loop in facets of about edgeMM, and the
// number of the edge that each segment from a vertex to the next lies on.
func (l loop) points(edgeMM float64) (at [][2]float64, on []int32) {
	for i, e := range l {
		n := steps(e.length(), edgeMM, 1)
		if e.radius > 0 {
			n = max(n, int(math.Ceil(math.Abs(e.sweep)/arcStepMax-1e-9)))
		}
		for k := range n {
			at = append(at, e.at(float64(k)/float64(n)))
			on = append(on, int32(i))
		}
	}
	return at, on
}
