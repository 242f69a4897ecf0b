package fit

import "math"

// outlineBall is the family of circles that touch two lines: centre C0 + s E,
// radius R0 + s R1. Sense is the sign of the curvature.
//
// With outward normals n1, n2 and distances d1, d2 of the lines the centre is as
// far from both: (n1-n2)·c = d1-d2. That holds for parallel lines too.
type outlineBall struct {
	C0, E  [2]float64
	R0, R1 float64
	Sense  float64
}

func outlineTouching(a, b outlineCurve) (outlineBall, bool) {
	u, v := a.u(), b.u()
	n1, n2 := [2]float64{u[1], -u[0]}, [2]float64{v[1], -v[0]}
	d1, d2 := n1[0]*a.Q[0]+n1[1]*a.Q[1], n2[0]*b.Q[0]+n2[1]*b.Q[1]
	m := [2]float64{n1[0] - n2[0], n1[1] - n2[1]}
	mm := m[0]*m[0] + m[1]*m[1]
	if mm < 0.0076 { // 5 degrees
		return outlineBall{}, false
	}
	l := math.Sqrt(mm)
	t := outlineBall{C0: [2]float64{m[0] / mm * (d1 - d2), m[1] / mm * (d1 - d2)}, E: [2]float64{-m[1] / l, m[0] / l}, Sense: 1}
	cross, dot := u[0]*v[1]-u[1]*v[0], u[0]*v[0]+u[1]*v[1]
	switch turn := math.Atan2(cross, dot); {
	case math.Abs(turn) > 2.97: // 170 degrees: the sign says nothing
		t.Sense = math.Copysign(1, -a.Dist(b.Q))
	default:
		t.Sense = math.Copysign(1, turn)
	}
	t.R0 = t.Sense * (d1 - n1[0]*t.C0[0] - n1[1]*t.C0[1])
	t.R1 = -t.Sense * (n1[0]*t.E[0] + n1[1]*t.E[1])
	return t, true
}

// curve is the circle at s, described from its point nearest to p.
func (t outlineBall) curve(s float64, p [2]float64) (outlineCurve, bool) {
	r := t.R0 + s*t.R1
	if !(r > 0) {
		return outlineCurve{}, false
	}
	return outlineOnCircle([2]float64{t.C0[0] + s*t.E[0], t.C0[1] + s*t.E[1]}, r, t.Sense, p), true
}

// through returns the two s whose circles run through p.
func (t outlineBall) through(p [2]float64) (s [2]float64, ok bool) {
	x, y := p[0]-t.C0[0], p[1]-t.C0[1]
	a := 1 - t.R1*t.R1
	b := -2 * (x*t.E[0] + y*t.E[1] + t.R0*t.R1)
	c := x*x + y*y - t.R0*t.R0
	d := b*b - 4*a*c
	if a < 1e-12 || d < 0 {
		return s, false
	}
	d = math.Sqrt(d)
	return [2]float64{(-b - d) / (2 * a), (-b + d) / (2 * a)}, true
}

// fit moves s to the least robust sum of squared distances.
func (t outlineBall) fit(pts []outlinePoint, s float64) (float64, bool) {
	start, ok := t.curve(s, t.C0)
	if !ok {
		return s, false
	}
	scale := outlineScale(pts, start)
	for it := 0; it < 25; it++ {
		c := [2]float64{t.C0[0] + s*t.E[0], t.C0[1] + s*t.E[1]}
		r := t.R0 + s*t.R1
		var g, h float64
		for _, p := range pts {
			x, y := p.P[0]-c[0], p.P[1]-c[1]
			l := math.Hypot(x, y)
			if l == 0 {
				continue
			}
			d := l - r
			j := -(x*t.E[0]+y*t.E[1])/l - t.R1
			w := p.W / p.Var * outlineTukey(d*d/(p.Var*scale))
			g += w * j * d
			h += w * j * j
		}
		if !(h > 0) {
			return s, it > 0
		}
		s -= g / h
		if !outlineFinite(s) {
			return s, false
		}
		if scale == 1 && math.Abs(g/h) < 1e-12*(1+math.Abs(s)) {
			break
		}
		scale = math.Max(1, scale/4)
	}
	return s, true
}

// filletRuns replaces one to three steps between two lines by an arc that is
// tangent to both, and drops a step whose neighbours meet in a corner, where
// that is the shorter description.
func (f *outlineFitter) filletRuns() bool {
	// Runs first: an arc let in at one corner of a chamfer would stand in the way
	// of the arc that is the chamfer.
	runs := f.visitRuns(1, 4)
	return f.visitRuns(0, 0) || runs
}

// visitRuns tries runs of lo to hi steps after every step, in three rounds at
// most. A replacement makes its step the first, and the steps before it are
// looked at again.
func (f *outlineFitter) visitRuns(lo, hi int) bool {
	any := false
	for k, since, visits := 0, 0, 3*len(f.Segs)+20; since < len(f.Segs) && visits > 0 && len(f.Segs) > 2; visits-- {
		done := false
		for run := min(hi, len(f.Segs)-2); run >= lo && !done; run-- {
			done = f.tryRun(k, run)
		}
		since++
		k = f.next(k)
		if done {
			any, since = true, 0
			k = max(0, len(f.Segs)-3)
		}
	}
	return any
}

// outlineRunMax is the number of points from which a straight step is no mistaken
// piece of a rounded corner: an arc of so many points is seen as one.
const outlineRunMax = 25

// tryRun looks at the run steps after step k; 0 looks at the corner after it.
func (f *outlineFitter) tryRun(k, run int) bool {
	n := len(f.Segs)
	after := (k + run + 1) % n
	a, b := f.Segs[k], f.Segs[after]
	if after == k || run == 0 && (a.Arc || b.Arc || f.misfitBeside(k) < f.filletPrice()) {
		return false
	}
	lo, hi := a.Hi, a.Hi
	// The breaks before a and after b stay, so that old and new are compared
	// over the same points.
	old := f.cost(a.Lo, a.Hi, a.C, nil, f.meetAfter(k))
	for i := 1; i <= run; i++ {
		s := f.Segs[(k+i)%n]
		if s.Fillet && run == 1 || !s.Arc && s.Hi-s.Lo > outlineRunMax {
			return false
		}
		ma, mb := f.meetings((k + i) % n)
		old += f.stepPrice(s) + f.cost(s.Lo, s.Hi, s.C, ma, mb)
		hi += s.Hi - s.Lo
	}
	old += f.cost(b.Lo, b.Hi, b.C, f.meetAfter((k+run)%n), nil)
	end := hi + b.Hi - b.Lo
	best, corner := math.Inf(1), 0
	if run == 1 || run == 2 {
		best, corner = f.cornerCost(a, b, lo, hi, end)
	}
	if !a.Arc && !b.Arc {
		try := f.filletCost(a, b, lo, hi, end)
		if c := try.Cost + f.filletPrice(); c < math.Min(best, old)-1e-6 {
			f.Segs[k].C, f.Segs[after].C = try.A, try.B
			f.replaceRun(k, run, try.At, try.To, try.Fillet)
			return true
		}
	}
	if best < old-1e-6 {
		f.replaceRun(k, run, corner, -1, outlineSeg{})
		return true
	}
	return false
}

// misfitBeside is what the twelve points on either side of the corner after step
// k cost over the half that noise may leave on any curve: no arc saves more.
func (f *outlineFitter) misfitBeside(k int) float64 {
	a, b := f.Segs[k], f.Segs[f.next(k)]
	v, sum := f.L.Sigma*f.L.Sigma, 0.0
	add := func(c outlineCurve, lo, hi int) {
		u := c.u()
		for i := lo; i <= hi; i++ {
			d := c.dist(u, f.L.at(i))
			sum += math.Min(outlineMisfitMax, f.L.Share*d*d/v) - 0.5*f.L.Share
		}
	}
	add(a.C, max(a.Lo, a.Hi-12), a.Hi)
	add(b.C, b.Lo, min(b.Hi, b.Lo+12))
	return sum
}

func (f *outlineFitter) stepPrice(s outlineSeg) float64 {
	if s.Fillet {
		return f.filletPrice()
	}
	return f.price(s.Arc)
}

func (f *outlineFitter) filletPrice() float64 { return 2*f.Price.log + outlinePriorStep }

func (f *outlineFitter) meetAfter(k int) *outlineMeeting {
	m := f.meeting(f.Segs[k].C, f.Segs[f.next(k)].C, f.L.at(f.Segs[k].Hi))
	return &m
}

// cornerCost is the cost of a and b with nothing between: they meet at the
// point of the path nearest to their crossing.
func (f *outlineFitter) cornerCost(a, b outlineSeg, lo, hi, end int) (float64, int) {
	x, ok := outlineIntersect(a.C, b.C, f.L.at((lo+hi)/2))
	if !ok {
		return math.Inf(1), 0
	}
	// Few points between may be sides of a clean mesh: see mayDrop.
	gap, least := f.L.path(lo, hi), math.Min(f.L.path(a.Lo, a.Hi), f.L.path(b.Lo, b.Hi))
	if hi-lo < 4 && gap > 250*f.L.Sigma && (gap > 0.5*least || a.Hi-a.Lo < 2 || b.Hi-b.Lo < 2) {
		return math.Inf(1), 0
	}
	at, best := lo, math.Inf(1)
	for i := lo; i <= hi; i++ {
		p := f.L.at(i)
		if d := math.Hypot(p[0]-x[0], p[1]-x[1]); d < best {
			at, best = i, d
		}
	}
	m := f.meeting(a.C, b.C, f.L.at(at))
	if !m.Crosses || math.Abs(m.Turn) < 0.1 || !f.ahead(a, m.X, a.Lo, 1) || !f.ahead(b, m.X, b.Hi, -1) {
		return math.Inf(1), 0
	}
	return f.cost(a.Lo, at, a.C, nil, &m) + f.cost(at, end, b.C, &m, nil), at
}

// ahead tells whether x lies ahead of point i along step s, or behind for sign -1.
func (f *outlineFitter) ahead(s outlineSeg, x [2]float64, i int, sign float64) bool {
	if s.Arc {
		return true
	}
	u, p := s.C.u(), f.L.at(i)
	return sign*((x[0]-p[0])*u[0]+(x[1]-p[1])*u[1]) > f.L.Sigma
}

// outlineTry is a fillet in place of a run of steps, from point At to point To,
// with the lines beside it as they are then.
type outlineTry struct {
	Fillet outlineSeg
	A, B   outlineCurve
	At, To int
	Cost   float64 // of the fillet and both lines
}

// filletCost fits the tangent arc between lines a and b to the points between.
func (f *outlineFitter) filletCost(a, b outlineSeg, lo, hi, end int) outlineTry {
	best := outlineTry{Cost: math.Inf(1)}
	t, ok := outlineTouching(a.C, b.C)
	if !ok {
		return best
	}
	mid := (lo + hi) / 2
	starts, ok := t.through(f.L.at(mid))
	if !ok {
		return best
	}
	for _, s := range starts {
		if try, ok := f.growFillet(a, b, s, lo, mid, hi, end); ok && try.Cost < best.Cost {
			best = try
		}
	}
	return best
}

// growFillet lets the arc, its breaks and the lines beside it settle from the
// place s on the bisector.
func (f *outlineFitter) growFillet(a, b outlineSeg, s float64, lo, mid, hi, end int) (outlineTry, bool) {
	try := outlineTry{A: a.C, B: b.C, At: lo, To: hi}
	for round := range 8 {
		t, ok := outlineTouching(try.A, try.B)
		if !ok {
			return try, false
		}
		if round > 0 {
			o := try.Fillet.C.Centre()
			s = (o[0]-t.C0[0])*t.E[0] + (o[1]-t.C0[1])*t.E[1]
			if s, ok = t.fit(f.gather(try.At, try.To, try.A, nil, nil), s); !ok {
				return try, false
			}
		}
		c, ok := t.curve(s, f.L.at(mid))
		if !ok {
			return try, false
		}
		try.Fillet = outlineSeg{Arc: true, Fillet: true, C: c}
		at := f.bestBreak(try.A, c, a.Lo+1, try.At, mid)
		to := f.bestBreak(c, try.B, max(mid, at+2), try.To, end-1)
		if to < at+2 {
			return try, false
		}
		if round > 1 && at == try.At && to == try.To {
			break
		}
		try.At, try.To = at, to
		if at-a.Lo >= 4 {
			if c, _, ok := f.fitFresh(a.Lo, at, false); ok {
				try.A = c
			}
		}
		if end-to >= 4 {
			if c, _, ok := f.fitFresh(to, end, false); ok {
				try.B = c
			}
		}
	}
	c := try.Fillet.C
	if math.Abs(c.K)*f.L.Corner*1.2 > 1 || f.sweep(try.At, try.To, c.Centre())*c.K <= 0 || !f.chordsFit(try.At, try.To, c) {
		return try, false
	}
	try.Cost = f.cost(a.Lo, try.At, try.A, nil, nil) + f.cost(try.At, try.To, c, nil, nil) + f.cost(try.To, end, try.B, nil, nil)
	return try, true
}

// replaceRun puts one fillet from point at to point to, or a corner at point at
// (to < 0), in place of the run steps after step k.
func (f *outlineFitter) replaceRun(k, run, at, to int, fillet outlineSeg) {
	n := len(f.Segs)
	var out []outlineSeg
	a, b := f.Segs[k], f.Segs[(k+run+1)%n]
	end := a.Hi
	for i := 1; i <= run+1; i++ {
		s := f.Segs[(k+i)%n]
		end += s.Hi - s.Lo
	}
	a.Hi = at
	out = append(out, a)
	b.Lo, b.Hi = at, end
	if to >= 0 {
		fillet.Lo, fillet.Hi = at, to
		out = append(out, fillet)
		b.Lo = to
	}
	out = append(out, b)
	for i := run + 2; i < n; i++ {
		out = append(out, f.Segs[(k+i)%n])
	}
	f.Segs = out
	for i := range f.Segs {
		f.normalise(i)
	}
}
