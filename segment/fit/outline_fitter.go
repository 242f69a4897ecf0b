package fit

import "math"

// outlineFitter holds a loop cut into steps while the cut is improved.
type outlineFitter struct {
	L     *outlineLoop
	Price outlinePrice
	Segs  []outlineSeg
	BySeg [][]outlinePoint // side points of every step
	// SideOnly: the loop's points are means of side points and count only where
	// a step has none.
	SideOnly bool
}

func (f *outlineFitter) next(k int) int { return (k + 1) % len(f.Segs) }
func (f *outlineFitter) prev(k int) int { return (k + len(f.Segs) - 1) % len(f.Segs) }

func (f *outlineFitter) price(arc bool) float64 {
	if arc {
		return f.Price.arc
	}
	return f.Price.line
}

// outlineMeeting is where a step gives way to the next.
type outlineMeeting struct {
	X       [2]float64
	Turn    float64 // change of direction, positive to the left
	Reach   float64 // length beside X in which the scan may have rounded the corner
	Crosses bool    // false: the curves do not meet near the break
}

// meeting finds the corner between two curves near the break point p.
//
// Crosses is refused where the crossing lies farther from the break than the
// spacing of the points, the rounding of the corner and the noise explain.
func (f *outlineFitter) meeting(a, b outlineCurve, p [2]float64) outlineMeeting {
	x, ok := outlineIntersect(a, b, p)
	m := outlineMeeting{X: x, Crosses: ok}
	m.Turn, m.Reach = f.turnAt(a, b, x)
	s, c := math.Sincos(math.Abs(m.Turn) / 2)
	far := 2*f.L.spacing() + 6*f.L.Sigma/math.Max(s, 0.02) + 3*f.L.Corner/math.Max(c, 0.15)
	if ok && math.Hypot(x[0]-p[0], x[1]-p[1]) <= far {
		return m
	}
	// Curves that touch or pass within noise meet half way.
	q, r := outlineNearest(a, b, p)
	m.X = [2]float64{(q[0] + r[0]) / 2, (q[1] + r[1]) / 2}
	m.Turn, m.Reach = f.turnAt(a, b, m.X)
	m.Crosses = math.Hypot(q[0]-r[0], q[1]-r[1]) <= 4*f.L.Sigma && math.Hypot(m.X[0]-p[0], m.X[1]-p[1]) <= far
	if !m.Crosses {
		m.X, m.Reach = p, 0
	}
	return m
}

func (f *outlineFitter) turnAt(a, b outlineCurve, x [2]float64) (turn, reach float64) {
	u, v := a.Tangent(x), b.Tangent(x)
	turn = math.Atan2(u[0]*v[1]-u[1]*v[0], u[0]*v[0]+u[1]*v[1])
	return turn, f.L.Corner * math.Min(3, math.Tan(math.Min(math.Abs(turn)/2, 1.3)))
}

// gather returns the points of the path from lo to hi for a curve that meets
// its neighbours at ma and mb (nil: unknown). Points that the rounding of a
// corner may have moved get a larger variance by as much as it can be; points
// past a corner are left out.
func (f *outlineFitter) gather(lo, hi int, c outlineCurve, ma, mb *outlineMeeting) []outlinePoint {
	pts := make([]outlinePoint, 0, hi-lo+1)
	for i := lo; i <= hi; i++ {
		if q, past := f.weigh(i, lo, hi, c, ma, mb); q.W > 0 && past == 0 {
			pts = append(pts, q)
		}
	}
	return pts
}

// weigh returns point i as a point of the curve c from lo to hi, and how far it
// lies past a corner, 0 for one that does not.
func (f *outlineFitter) weigh(i, lo, hi int, c outlineCurve, ma, mb *outlineMeeting) (outlinePoint, float64) {
	q := outlinePoint{P: f.L.at(i), W: f.L.W[i%f.L.N] * f.L.Share, Var: f.L.Sigma * f.L.Sigma}
	past := 0.0
	if ma != nil && f.L.path(lo, i) <= 2*ma.Reach+5*f.L.spacing() {
		past = f.besideCorner(&q, c.Tangent(ma.X), ma)
	}
	if mb != nil && f.L.path(i, hi) <= 2*mb.Reach+5*f.L.spacing() {
		u := c.Tangent(mb.X)
		past = math.Max(past, f.besideCorner(&q, [2]float64{-u[0], -u[1]}, mb))
	}
	return q, past
}

// besideCorner weighs a point by its place along u from the corner and returns
// how far it lies past it, beyond noise.
func (f *outlineFitter) besideCorner(q *outlinePoint, u [2]float64, m *outlineMeeting) float64 {
	if math.Abs(m.Turn) < 0.1 {
		return 0
	}
	t := (q.P[0]-m.X[0])*u[0] + (q.P[1]-m.X[1])*u[1]
	q.Var += outlineRounding(t, m.Reach, f.L.Corner)
	if t < -2*f.L.Sigma-1e-9*f.L.Size {
		return -t
	}
	return 0
}

// outlineRounding is the square of what a rounding of radius rho, that starts
// reach before the corner, takes off at t from the corner.
func outlineRounding(t, reach, rho float64) float64 {
	if t >= reach || rho <= 0 {
		return 0
	}
	d := reach - math.Max(0, t)
	b := d * d / (2 * rho)
	return b * b
}

// break points of the neighbours of step k.
func (f *outlineFitter) meetings(k int) (ma, mb *outlineMeeting) {
	if len(f.Segs) < 2 {
		return nil, nil
	}
	s := f.Segs[k]
	a := f.meeting(f.Segs[f.prev(k)].C, s.C, f.L.at(s.Lo))
	b := f.meeting(s.C, f.Segs[f.next(k)].C, f.L.at(s.Hi))
	return &a, &b
}

// start fits every step on its points without those at its ends, where enough are left.
func (f *outlineFitter) start() {
	for k := range f.Segs {
		s := &f.Segs[k]
		c, arc, ok := f.fitFresh(s.Lo, s.Hi, s.Arc)
		if ok {
			s.C, s.Arc = c, arc
		}
	}
}

// fitFresh fits a line or an arc to a stretch with no knowledge of its neighbours.
func (f *outlineFitter) fitFresh(lo, hi int, arc bool) (outlineCurve, bool, bool) {
	trim := 0
	if hi-lo >= 4 {
		trim = 1
	}
	for trim > 0 && hi-lo-2*trim >= 6 && f.L.path(lo, lo+trim) < f.L.Corner && f.L.path(hi-trim, hi) < f.L.Corner {
		trim++
	}
	pts := f.gather(lo+trim, hi-trim, outlineCurve{}, nil, nil)
	if len(pts) < 2 {
		pts = f.gather(lo, hi, outlineCurve{}, nil, nil)
	}
	if arc {
		if c, ok := f.arcThrough(pts, lo, hi); ok {
			return c, true, true
		}
	}
	c, ok := fitOutlineLine(pts, f.chord(lo, hi))
	return c, false, ok
}

func (f *outlineFitter) chord(lo, hi int) [2]float64 {
	p, q := f.L.at(lo), f.L.at(hi)
	return [2]float64{q[0] - p[0], q[1] - p[1]}
}

// arcThrough fits an arc to points in the order of the path, from lo to hi.
func (f *outlineFitter) arcThrough(pts []outlinePoint, lo, hi int) (outlineCurve, bool) {
	if len(pts) < 4 {
		return outlineCurve{}, false
	}
	var m outlineMoments
	o := pts[len(pts)/2].P
	for _, p := range pts {
		m.add([2]float64{p.P[0] - o[0], p.P[1] - o[1]}, p.W/p.Var)
	}
	cx, cy, r, _, ok := m.circle()
	if !ok || r > 1e4*f.L.Size {
		return outlineCurve{}, false
	}
	centre := [2]float64{o[0] + cx, o[1] + cy}
	sense := f.sweep(lo, hi, centre)
	if sense == 0 {
		return outlineCurve{}, false
	}
	c := outlineOnCircle(centre, r, sense, o)
	c, ok = fitOutlineArc(pts, c)
	if !ok || f.sweep(lo, hi, c.Centre())*c.K <= 0 {
		return c, false
	}
	return c.at(f.L.at((lo + hi) / 2)), true
}

// outlineOnCircle describes a circle from its point nearest to p; sense is
// positive for a counter-clockwise run.
func outlineOnCircle(centre [2]float64, r, sense float64, p [2]float64) outlineCurve {
	a := math.Atan2(p[1]-centre[1], p[0]-centre[0])
	s, k := math.Sincos(a)
	q := [2]float64{centre[0] + r*k, centre[1] + r*s}
	if sense < 0 {
		return outlineCurve{Q: q, Theta: a - math.Pi/2, K: -1 / r}
	}
	return outlineCurve{Q: q, Theta: a + math.Pi/2, K: 1 / r}
}

// sweep is the angle about the centre that the path runs through from lo to hi.
func (f *outlineFitter) sweep(lo, hi int, c [2]float64) float64 {
	sum := 0.0
	for i := lo; i < hi; i++ {
		p, q := f.L.at(i), f.L.at(i+1)
		x0, y0, x1, y1 := p[0]-c[0], p[1]-c[1], q[0]-c[0], q[1]-c[1]
		sum += math.Atan2(x0*y1-y0*x1, x0*x1+y0*y1)
	}
	return sum
}
