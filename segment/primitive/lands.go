package primitive

import (
	"math"
	"slices"

	"pointup/segment/fit"
)

// lands fits the circles of tops and bottoms about one centre, to sound teeth
// only, away from corners that a meshing filter rounds; where the bottoms are
// round seats, their depth comes from the seat's own circle. Least squares on
// radii, linear in the centre's small error.
func (t *teeth) lands(w *wallLoop, noiseMM, edgeMM, marginMM float64) {
	for pass := 0; pass < 3; pass++ {
		land := [2][]polar{t.landOf(w, 0, edgeMM, marginMM), t.landOf(w, 1, edgeMM, marginMM)}
		if len(land[0]) < 6 || len(land[1]) < 6 { // pointed teeth or gaps
			t.form = "other"
			t.tipU, t.rootU = noiseMM, noiseMM
			if len(land[1]) >= 6 {
				t.residualMM = noiseMM
				t.seats(w, edgeMM, marginMM)
			}
			return
		}
		t.concentric(land)
	}
	t.seats(w, edgeMM, marginMM)
}

// landOf returns the points of the tops (0) or bottoms (1) of sound teeth that
// face outward and lie well inside the land.
func (t *teeth) landOf(w *wallLoop, which int, edgeMM, marginMM float64) []polar {
	depth := t.tip - t.root
	var out []polar
	var reach []float64
	keep := func(q polar) (float64, bool) {
		x, i := t.local(q.phi)
		if which == 1 { // bottoms lie between teeth
			x, i = t.local(q.phi + t.pitch()/2)
			if !t.sound(i) || !t.sound((i+t.n-1)%t.n) {
				return 0, false
			}
			return x * q.r, q.r < t.root+0.25*depth && q.nr > 0.93
		}
		return x * q.r, t.sound(i) && q.r > t.tip-0.25*depth && q.nr > 0.93
	}
	for _, q := range t.points(w) {
		if x, ok := keep(q); ok {
			out = append(out, q)
			reach = append(reach, math.Abs(x))
		}
	}
	limit := quantile(slices.Clone(reach), 0.97)
	limit -= min(max(0.3*edgeMM, marginMM), 0.6*limit)
	var kept []polar
	for i, q := range out {
		if reach[i] <= limit {
			kept = append(kept, q)
		}
	}
	if len(kept) < 2*t.n { // a land of two rows of points has no inside
		return out
	}
	return kept
}

// concentric solves for both radii and the centre: r = R + cx cos φ + cy sin φ,
// leaving out points over 4.5 robust deviations off.
func (t *teeth) concentric(land [2][]polar) {
	const p = 4
	off := [2]float64{t.tip, t.root}
	x := []float64{t.tip, t.root, 0, 0}
	var noise [2]float64
	var seen walls
	for pass := 0; pass < 4; pass++ {
		seen = walls{}
		a, b := make([]float64, p*p), make([]float64, p)
		for s, pts := range land {
			r := make([]float64, len(pts))
			for i, q := range pts {
				sin, cos := math.Sincos(q.phi)
				r[i] = q.r - x[s] - x[2]*cos - x[3]*sin
			}
			abs := make([]float64, len(r))
			for i := range r {
				abs[i] = math.Abs(r[i])
			}
			gate := math.Inf(1)
			if pass > 0 {
				gate = max(4.5*1.4826*median(abs), 1e-6*off[s])
			}
			ss, m := 0.0, 0.0
			for i, q := range pts {
				if math.Abs(r[i]) > gate {
					continue
				}
				sin, cos := math.Sincos(q.phi)
				row := [p]float64{0, 0, cos, sin}
				row[s] = 1
				seen.add(q.phi, q.r, r[i], row[:], s)
				for j := range row {
					b[j] += row[j] * q.r
					for k := range row {
						a[j*p+k] += row[j] * row[k]
					}
				}
				ss += r[i] * r[i]
				m++
			}
			noise[s] = math.Sqrt(ss / max(m-2, 1))
		}
		cov := invert(a, p)
		for j := range x {
			x[j] = 0
			for k := range b {
				x[j] += cov[j*p+k] * b[k]
			}
		}
	}
	t.tip, t.root = x[0], x[1]
	t.centre[0] += x[2]
	t.centre[1] += x[3]
	u := seen.u95()
	t.tipU, t.rootU = u[0], u[1]
	t.residualMM = max(noise[0], noise[1])
	t.form = "straight"
}

// seats fits one circle to the bottoms of all tooth gaps folded on each other.
// They are round seats where the circle explains them better than a land at one
// radius does, its bulge over the bottom is over three deviations, and heights or
// normals across the land bear it out; then the root is the bottom of the seat.
func (t *teeth) seats(w *wallLoop, edgeMM, marginMM float64) {
	depth := t.tip - t.root
	var p [][2]float64
	var along []float64
	for _, q := range t.points(w) {
		x, i := t.local(q.phi + t.pitch()/2)
		if !t.sound(i) || !t.sound((i+t.n-1)%t.n) || q.r > t.root+0.3*depth || q.nr < 0.5 {
			continue
		}
		sin, cos := math.Sincos(x)
		p = append(p, [2]float64{q.r * sin, q.r * cos})
		along = append(along, q.nt*cos+q.nr*sin)
	}
	if len(p) < 12 {
		return
	}
	c, rho, rms, n, ok := circleOf(p)
	if !ok || c[1] < t.root || rho > t.tip/2 {
		return
	}
	wide := 0.0
	for _, q := range p {
		wide = max(wide, math.Abs(q[0]))
	}
	// A roller's seat reaches round a third of it at least, and rollers side by side
	// leave room for the teeth: a filter's rounding at both sides of a flat does not.
	if wide < 0.5*rho || 2*rho > 0.8*2*c[1]*math.Sin(t.pitch()/2) {
		return
	}
	if !turning(p, along, rho, wide) && !t.hollow(w, edgeMM, marginMM) {
		return
	}
	bulge := rho - math.Sqrt(max(rho*rho-wide*wide, 0))
	if rms > max(2.5*t.residualMM, 0.02*depth) || bulge < max(3*rms, 0.05*depth) {
		return
	}
	if likelier, ok := t.seatLikelier(w, c[1], rho, marginMM); ok && !likelier {
		return
	}
	t.form, t.seatMM = "round-seated", rho
	t.root = c[1] - rho
	k := coverage95(float64(n))
	t.rootU = 2.5 * k * rms / math.Sqrt(float64(n)) // centre and radius are correlated
	t.seatAtU, t.seatU = seatScatter(p, c)
	t.seatAtU, t.seatU = k*rms*t.seatAtU, k*rms*t.seatU
}

// seatScatter is the standard deviation of the height and of the radius of the
// circle about c for residuals of 1.
func seatScatter(p [][2]float64, c [2]float64) (height, radius float64) {
	m := make([]float64, 9)
	for _, q := range p {
		dx, dy := q[0]-c[0], q[1]-c[1]
		l := hypot(dx, dy)
		if l == 0 {
			continue
		}
		g := [3]float64{dx / l, dy / l, 1}
		for i := range g {
			for j := range g {
				m[3*i+j] += g[i] * g[j]
			}
		}
	}
	cov := invert(m, 3)
	return math.Sqrt(max(cov[4], 0)), math.Sqrt(max(cov[8], 0))
}

// hollow tells whether the bottoms curve across the land itself: the radius
// rises from its middle to its sides by over 1.5 deviations and a fiftieth of
// the teeth's depth.
func (t *teeth) hollow(w *wallLoop, edgeMM, marginMM float64) bool {
	var l line
	wide := 0.0
	for _, q := range t.landOf(w, 1, edgeMM, marginMM) {
		x, _ := t.local(q.phi + t.pitch()/2)
		x *= q.r
		l.add(x*x, q.r)
		wide = max(wide, math.Abs(x))
	}
	return l.slope()*wide*wide > max(1.5*t.noiseMM, 0.02*(t.tip-t.root))
}

// turning tells whether the normals across the bottom, folded points and normals
// along the rim, turn as those of a seat of that radius do: one over the radius
// along the way, within a third of it and by over four deviations. Points near
// the sides are left out, where a corner that a filter rounded turns too. Where
// a land holds two rows of points, their normals tell what their heights cannot.
func turning(p [][2]float64, along []float64, seatMM, wideMM float64) bool {
	var l line
	for i, q := range p {
		if math.Abs(q[0]) <= 0.6*wideMM {
			l.add(q[0], along[i])
		}
	}
	if l.n < 12 {
		return false
	}
	slope, ss, mean := l.slope(), 0.0, l.x/l.n
	for i, q := range p {
		if math.Abs(q[0]) <= 0.6*wideMM {
			d := along[i] - l.y/l.n - slope*(q[0]-mean)
			ss += d * d
		}
	}
	sd := math.Sqrt(ss / (l.n - 2) / max(l.xx-l.n*mean*mean, 1e-12))
	return math.Abs(-slope*seatMM-1) < 0.34 && -slope > 4*sd
}

// circleOf fits a circle to points of the plane, leaving out those over 4.5
// robust deviations off.
func circleOf(p [][2]float64) (c [2]float64, r, rms float64, n int, ok bool) {
	x := make([]float64, 3)
	start := quadraticCircle(p)
	if start[2] <= 0 {
		return c, 0, 0, 0, false
	}
	copy(x, start[:])
	w := make([]float64, len(p))
	for i := range w {
		w[i] = 1
	}
	for pass := 0; pass < 4; pass++ {
		sol, err := fit.Solve(fit.Problem{N: len(p), P: 3, Weight: w,
			Residual: func(x []float64, i int, g []float64) float64 {
				dx, dy := p[i][0]-x[0], p[i][1]-x[1]
				l := hypot(dx, dy)
				if l > 0 {
					g[0], g[1] = -dx/l, -dy/l
				}
				g[2] = -1
				return l - x[2]
			}}, x)
		if err != nil {
			return c, 0, 0, 0, false
		}
		copy(x, sol.X)
		rms = math.Sqrt(sol.SSQ / max(sol.DOF, 1))
		n = int(sol.DOF) + 3
		abs := make([]float64, len(p))
		for i, q := range p {
			abs[i] = math.Abs(hypot(q[0]-x[0], q[1]-x[1]) - x[2])
		}
		gate := max(4.5*1.4826*median(slices.Clone(abs)), 1e-6*x[2])
		for i := range w {
			w[i] = 0
			if abs[i] <= gate {
				w[i] = 1
			}
		}
	}
	return [2]float64{x[0], x[1]}, x[2], rms, n, x[2] > 0
}

// quadraticCircle is the linear least-squares circle (Kåsa, IEEE Trans. Instrum.
// Meas. 25 (1976) 8), a start only: centre x, y and radius.
func quadraticCircle(p [][2]float64) [3]float64 {
	var mx, my float64
	for _, q := range p {
		mx += q[0] / float64(len(p))
		my += q[1] / float64(len(p))
	}
	var xx, xy, yy, xz, yz, zz float64
	for _, q := range p {
		x, y := q[0]-mx, q[1]-my
		z := x*x + y*y
		xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
		xz, yz, zz = xz+x*z, yz+y*z, zz+z
	}
	det := xx*yy - xy*xy
	if !(det > 1e-12*(xx+yy)*(xx+yy)) {
		return [3]float64{}
	}
	a, b := (xz*yy-yz*xy)/(2*det), (yz*xx-xz*xy)/(2*det)
	return [3]float64{a + mx, b + my, math.Sqrt(a*a + b*b + zz/float64(len(p)))}
}

func average(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x
	}
	return s / float64(len(v))
}

// line is a running straight-line regression.
type line struct{ n, x, y, xx, xy float64 }

func (l *line) add(x, y float64) {
	l.n++
	l.x += x
	l.y += y
	l.xx += x * x
	l.xy += x * y
}

func (l *line) slope() float64 {
	d := l.n*l.xx - l.x*l.x
	if d <= 0 {
		return 0
	}
	return (l.n*l.xy - l.x*l.y) / d
}
