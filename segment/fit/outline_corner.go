package fit

import "math"

// outlineIntersect returns the crossing of two curves nearest to p.
func outlineIntersect(a, b outlineCurve, p [2]float64) ([2]float64, bool) {
	if a.K == 0 && b.K == 0 {
		return outlineLineLine(a, b)
	}
	if math.Abs(a.K) > math.Abs(b.K) {
		a, b = b, a
	}
	if a.K == 0 {
		return outlineLineArc(a, b, p)
	}
	return outlineArcArc(a, b, p)
}

func outlineLineLine(a, b outlineCurve) ([2]float64, bool) {
	u, v := a.u(), b.u()
	det := u[0]*v[1] - u[1]*v[0]
	if math.Abs(det) < 1e-9 {
		return [2]float64{}, false
	}
	x, y := b.Q[0]-a.Q[0], b.Q[1]-a.Q[1]
	t := (x*v[1] - y*v[0]) / det
	return [2]float64{a.Q[0] + t*u[0], a.Q[1] + t*u[1]}, true
}

// outlineLineArc solves in the frame of the foot of p, so that gentle arcs lose
// no digits: the points p0 + t u of the line with distance 0 to the circle.
func outlineLineArc(a, b outlineCurve, p [2]float64) ([2]float64, bool) {
	u := a.u()
	o := a.Foot(p)
	// F(t) = K|o+tu-Q|²/2 - n·(o+tu-Q) with n the left normal of b at Q.
	v := b.u()
	x, y := o[0]-b.Q[0], o[1]-b.Q[1]
	qa := b.K / 2
	qb := b.K*(x*u[0]+y*u[1]) - (v[0]*u[1] - v[1]*u[0])
	qc := b.K*(x*x+y*y)/2 - (v[0]*y - v[1]*x)
	t, ok := outlineNearRoot(qa, qb, qc)
	return [2]float64{o[0] + t*u[0], o[1] + t*u[1]}, ok
}

// outlineNearRoot returns the root of a t² + b t + c nearest to 0.
func outlineNearRoot(a, b, c float64) (float64, bool) {
	d := b*b - 4*a*c
	if d < 0 {
		return 0, false
	}
	q := math.Abs(b) + math.Sqrt(d)
	if q == 0 {
		return 0, c == 0
	}
	return -2 * c / math.Copysign(q, b), true
}

// outlineArcArc crosses b with the radical line of both circles.
func outlineArcArc(a, b outlineCurve, p [2]float64) ([2]float64, bool) {
	c, d := a.Centre(), b.Centre()
	r, s := 1/math.Abs(a.K), 1/math.Abs(b.K)
	x, y := c[0]-d[0], c[1]-d[1]
	l := math.Hypot(x, y)
	if l < 1e-12*(r+s) {
		return [2]float64{}, false
	}
	// Distance from d towards c of the common chord.
	h := (l*l + (s-r)*(s+r)) / (2 * l)
	line := outlineCurve{Q: [2]float64{d[0] + x/l*h, d[1] + y/l*h}, Theta: math.Atan2(x, -y)}
	return outlineLineArc(line, b, p)
}

// outlineNearest returns the points where two curves that do not cross come
// nearest, near p.
func outlineNearest(a, b outlineCurve, p [2]float64) (onA, onB [2]float64) {
	switch {
	case a.K == 0 && b.K == 0:
		onB = b.Foot(a.Foot(p))
		return a.Foot(onB), onB
	case a.K == 0:
		onA = a.Foot(b.Centre())
		return onA, b.Foot(onA)
	case b.K == 0:
		onB = b.Foot(a.Centre())
		return a.Foot(onB), onB
	}
	c, d := a.Centre(), b.Centre()
	x, y := d[0]-c[0], d[1]-c[1]
	l := math.Hypot(x, y)
	if l == 0 {
		onB = b.Foot(a.Foot(p))
		return a.Foot(onB), onB
	}
	best := math.Inf(1)
	for _, s := range []float64{1, -1} {
		q := [2]float64{c[0] + s*x/(l*math.Abs(a.K)), c[1] + s*y/(l*math.Abs(a.K))}
		r := b.Foot(q)
		if g := math.Hypot(q[0]-r[0], q[1]-r[1]); g < best {
			best, onA, onB = g, q, r
		}
	}
	return onA, onB
}
