package fit

import "math"

// outlineEdge is a step with its start. For an arc: centre C, radius R and the
// signed angle Sweep from A to B.
type outlineEdge struct {
	A, B  [2]float64
	Arc   bool
	C     [2]float64
	R     float64
	Sweep float64
}

// edges returns the steps with their starts. A three-point arc of no curvature
// is a line.
func (o Outline) edges() []outlineEdge {
	out := make([]outlineEdge, 0, len(o.Steps))
	if len(o.Steps) == 0 {
		return out
	}
	a := o.Steps[len(o.Steps)-1].To
	for _, s := range o.Steps {
		e := outlineEdge{A: a, B: s.To}
		if s.Arc {
			e.throughVia(s.Via)
		}
		out = append(out, e)
		a = s.To
	}
	return out
}

// throughVia fills the arc through A, v and B.
func (e *outlineEdge) throughVia(v [2]float64) {
	x1, y1, x2, y2 := v[0]-e.A[0], v[1]-e.A[1], e.B[0]-e.A[0], e.B[1]-e.A[1]
	det := 2 * (x1*y2 - y1*x2)
	l1, l2 := x1*x1+y1*y1, x2*x2+y2*y2
	if math.Abs(det) <= 1e-14*(l1+l2) {
		return
	}
	cx, cy := (l1*y2-l2*y1)/det, (l2*x1-l1*x2)/det
	e.Arc = true
	e.C = [2]float64{e.A[0] + cx, e.A[1] + cy}
	e.R = math.Hypot(cx, cy)
	// The angle at v sees the chord: the sweep is twice the turn of A→v→B.
	x3, y3 := x2-x1, y2-y1
	e.Sweep = 2 * math.Atan2(x1*y3-y1*x3, x1*x3+y1*y3)
}

// Chords returns the points between a and b on the arc through via, in chords
// that turn by at most turnRad; none where the three lie on a line.
func Chords(a, via, b [2]float64, turnRad float64) [][2]float64 {
	e := outlineEdge{A: a, B: b}
	e.throughVia(via)
	n := int(math.Ceil(math.Abs(e.Sweep) / turnRad))
	out := make([][2]float64, 0, max(n-1, 0))
	from := math.Atan2(a[1]-e.C[1], a[0]-e.C[0])
	for k := 1; k < n; k++ {
		sin, cos := math.Sincos(from + e.Sweep*float64(k)/float64(n))
		out = append(out, [2]float64{e.C[0] + e.R*cos, e.C[1] + e.R*sin})
	}
	return out
}

func (e outlineEdge) length() float64 {
	if e.Arc {
		return e.R * math.Abs(e.Sweep)
	}
	return math.Hypot(e.B[0]-e.A[0], e.B[1]-e.A[1])
}

// onArc tells whether the direction of p from the centre lies in the sweep.
func (e outlineEdge) onArc(p [2]float64) bool {
	x0, y0, x1, y1 := e.A[0]-e.C[0], e.A[1]-e.C[1], p[0]-e.C[0], p[1]-e.C[1]
	a := math.Atan2(x0*y1-y0*x1, x0*x1+y0*y1)
	if a*e.Sweep < 0 {
		a += math.Copysign(2*math.Pi, e.Sweep)
	}
	return math.Abs(a) <= math.Abs(e.Sweep)
}

// dist is the distance of p from the edge.
func (e outlineEdge) dist(p [2]float64) float64 {
	ends := math.Min(math.Hypot(p[0]-e.A[0], p[1]-e.A[1]), math.Hypot(p[0]-e.B[0], p[1]-e.B[1]))
	if e.Arc {
		if e.onArc(p) {
			return math.Min(ends, math.Abs(math.Hypot(p[0]-e.C[0], p[1]-e.C[1])-e.R))
		}
		return ends
	}
	x, y := e.B[0]-e.A[0], e.B[1]-e.A[1]
	l2 := x*x + y*y
	t := (p[0]-e.A[0])*x + (p[1]-e.A[1])*y
	if t <= 0 || t >= l2 {
		return ends
	}
	return math.Abs(x*(p[1]-e.A[1])-y*(p[0]-e.A[0])) / math.Sqrt(l2)
}

// Area is the enclosed area in mm², positive for a counter-clockwise outline.
func (o Outline) Area() float64 {
	sum := 0.0
	var q [2]float64
	for i, e := range o.edges() {
		if i == 0 {
			q = e.A
		}
		sum += (e.A[0]-q[0])*(e.B[1]-q[1]) - (e.A[1]-q[1])*(e.B[0]-q[0])
		if e.Arc {
			sum += e.R * e.R * outlineAngleLessSine(e.Sweep)
		}
	}
	return sum / 2
}

// outlineAngleLessSine is a - sin a without cancellation.
func outlineAngleLessSine(a float64) float64 {
	if math.Abs(a) < 0.02 {
		return a * a * a / 6 * (1 - a*a/20)
	}
	return a - math.Sin(a)
}

// Perimeter is the length of the outline in mm.
func (o Outline) Perimeter() float64 {
	sum := 0.0
	for _, e := range o.edges() {
		sum += e.length()
	}
	return sum
}

// Contains tells whether p lies inside, by the number of turns round p. A point
// on the outline may count as either.
func (o Outline) Contains(p [2]float64) bool { return outlineTurns(o.edges(), p) != 0 }

func outlineTurns(edges []outlineEdge, p [2]float64) int {
	sum := 0.0
	for _, e := range edges {
		x0, y0, x1, y1 := e.A[0]-p[0], e.A[1]-p[1], e.B[0]-p[0], e.B[1]-p[1]
		cross := x0*y1 - y0*x1
		a := math.Atan2(cross, x0*x1+y0*y1)
		if cross == 0 {
			a = math.Abs(a)
		}
		if e.Arc && e.inSegment(p, cross) {
			a += math.Copysign(2*math.Pi, e.Sweep)
		}
		sum += a
	}
	return int(math.Round(sum / (2 * math.Pi)))
}

// inSegment tells whether p lies between the arc and its chord; cross is
// positive for p left of the chord.
func (e outlineEdge) inSegment(p [2]float64, cross float64) bool {
	if math.Hypot(p[0]-e.C[0], p[1]-e.C[1]) >= e.R {
		return false
	}
	if e.Sweep > 0 {
		return cross < 0
	}
	return cross >= 0
}

// Distance returns the signed distance of p to the outline, positive outside,
// and the index of the nearest step. No steps give +Inf and -1.
func (o Outline) Distance(p [2]float64) (float64, int) {
	return outlineDistance(o.edges(), p)
}

// Distances returns Distance of every point.
func (o Outline) Distances(p [][2]float64) []float64 {
	edges := o.edges()
	out := make([]float64, len(p))
	for i := range p {
		out[i], _ = outlineDistance(edges, p[i])
	}
	return out
}

func outlineDistance(edges []outlineEdge, p [2]float64) (float64, int) {
	best, at := math.Inf(1), -1
	for i, e := range edges {
		if d := e.dist(p); d < best {
			best, at = d, i
		}
	}
	if at >= 0 && outlineTurns(edges, p) != 0 {
		best = -best
	}
	return best, at
}

// crossing returns two steps that cross or touch though they are no neighbours,
// seen on chords of at most 6 degrees.
func (o Outline) crossing() (int, int, bool) {
	edges := o.edges()
	var pts [][2]float64
	var who []int
	for i, e := range edges {
		n := 1
		if e.Arc {
			n = 1 + int(math.Abs(e.Sweep)/0.105)
		}
		for k := 0; k < n; k++ {
			pts, who = append(pts, e.at(float64(k)/float64(n))), append(who, i)
		}
	}
	n := len(pts)
	for i := 0; i < n; i++ {
		a, b := pts[i], pts[(i+1)%n]
		for k := i + 2; k < n; k++ {
			if i == 0 && k == n-1 {
				continue
			}
			if outlineChordsCross(a, b, pts[k], pts[(k+1)%n]) {
				return who[i], who[k], true
			}
		}
	}
	return 0, 0, false
}

// at is the point at share t of the edge.
func (e outlineEdge) at(t float64) [2]float64 {
	if !e.Arc {
		return [2]float64{e.A[0] + t*(e.B[0]-e.A[0]), e.A[1] + t*(e.B[1]-e.A[1])}
	}
	s, c := math.Sincos(t * e.Sweep)
	x, y := e.A[0]-e.C[0], e.A[1]-e.C[1]
	return [2]float64{e.C[0] + c*x - s*y, e.C[1] + s*x + c*y}
}

func outlineChordsCross(a, b, c, d [2]float64) bool {
	if math.Max(a[0], b[0]) < math.Min(c[0], d[0]) || math.Max(c[0], d[0]) < math.Min(a[0], b[0]) ||
		math.Max(a[1], b[1]) < math.Min(c[1], d[1]) || math.Max(c[1], d[1]) < math.Min(a[1], b[1]) {
		return false
	}
	side := func(p, q, r [2]float64) float64 {
		return (q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0])
	}
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}
