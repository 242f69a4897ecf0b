package fit

import "math"

// outlineCurve is a straight line or a circle that runs through Q in direction
// Theta with curvature K (positive turning left). K = 0 is a line.
//
// The description by a point, a direction and a curvature has no singular case
// between a gentle arc and a line (Karimäki 1991, Comput. Phys. Commun. 69).
type outlineCurve struct {
	Q     [2]float64
	Theta float64
	K     float64
}

// outlinePoint is a point that a curve is fitted to: W its weight, Var the
// variance of its distance in mm².
type outlinePoint struct {
	P      [2]float64
	W, Var float64
}

func (c outlineCurve) u() [2]float64 {
	s, k := math.Sincos(c.Theta)
	return [2]float64{k, s}
}

// Dist returns the signed distance of p, positive on the right of the run,
// which is outside for a counter-clockwise outline.
func (c outlineCurve) Dist(p [2]float64) float64 { return c.dist(c.u(), p) }

// dist is Dist with the direction at Q at hand.
func (c outlineCurve) dist(u, p [2]float64) float64 {
	x, y := p[0]-c.Q[0], p[1]-c.Q[1]
	xi, eta := u[0]*x+u[1]*y, u[0]*y-u[1]*x
	f := c.K*(xi*xi+eta*eta)/2 - eta
	return 2 * f / (1 + math.Sqrt(math.Max(0, 1+2*c.K*f)))
}

// grad returns the distance of p and its derivatives by the sideways shift of Q
// (to the left), the turn of the direction and the curvature.
func (c outlineCurve) grad(u [2]float64, p [2]float64) (d float64, g [3]float64) {
	x, y := p[0]-c.Q[0], p[1]-c.Q[1]
	xi, eta := u[0]*x+u[1]*y, u[0]*y-u[1]*x
	h := xi*xi + eta*eta
	f := c.K*h/2 - eta
	s := math.Sqrt(math.Max(1e-12, 1+2*c.K*f))
	d = 2 * f / (1 + s)
	return d, [3]float64{(1 - c.K*eta) / s, xi / s, (h - d*d) / (2 * s)}
}

// moved returns c after a sideways shift a, a turn b and a change of curvature k.
func (c outlineCurve) moved(a, b, k float64) outlineCurve {
	u := c.u()
	return outlineCurve{Q: [2]float64{c.Q[0] - a*u[1], c.Q[1] + a*u[0]}, Theta: c.Theta + b, K: c.K + k}
}

// Centre is the centre of an arc.
func (c outlineCurve) Centre() [2]float64 {
	u := c.u()
	return [2]float64{c.Q[0] - u[1]/c.K, c.Q[1] + u[0]/c.K}
}

// Foot returns the nearest point of the curve.
func (c outlineCurve) Foot(p [2]float64) [2]float64 {
	n := c.Tangent(p) // the right-hand normal is (n[1], -n[0])
	d := c.Dist(p)
	return [2]float64{p[0] - d*n[1], p[1] + d*n[0]}
}

// Tangent returns the unit direction of the run beside p.
func (c outlineCurve) Tangent(p [2]float64) [2]float64 {
	u := c.u()
	if c.K == 0 {
		return u
	}
	x, y := p[0]-c.Q[0], p[1]-c.Q[1]
	// tangent = u - K·(left normal component); the field of circles round the centre.
	t := [2]float64{u[0] - c.K*y, u[1] + c.K*x}
	l := math.Hypot(t[0], t[1])
	if l < 1e-12 {
		return u
	}
	return [2]float64{t[0] / l, t[1] / l}
}

// at returns c described from its foot at p.
func (c outlineCurve) at(p [2]float64) outlineCurve {
	t := c.Tangent(p)
	return outlineCurve{Q: c.Foot(p), Theta: math.Atan2(t[1], t[0]), K: c.K}
}

// outlineTukey is the biweight of a squared distance over its variance. The
// noise is known, so that the cut can lie at 7 sigma, where 98 % of the
// efficiency of least squares is kept and a short edge keeps all its points.
func outlineTukey(r2 float64) float64 {
	const c2 = 7.0 * 7.0
	if r2 >= c2 {
		return 0
	}
	w := 1 - r2/c2
	return w * w
}

// outlineLossMax bounds what one point can cost in units of its variance.
const outlineLossMax = 12.0

// outlineMisfitMax bounds it where the point before it stands out too.
const outlineMisfitMax = 60.0

func outlineLoss(r2 float64) float64 { return math.Min(r2, outlineLossMax) }

// fitOutlineLine fits a line by orthogonal distances, first by plain then by
// robust weights; dir gives the sense of the run. ok is false where the points coincide.
func fitOutlineLine(pts []outlinePoint, dir [2]float64) (c outlineCurve, ok bool) {
	scale := 1.0
	for it := 0; it < 8; it++ {
		next, good := outlineLineByMoments(pts, c, it > 0, scale, dir)
		if !good {
			return c, ok
		}
		done := it > 0 && scale == 1 && outlineSame(c, next)
		c, ok = next, true
		if it > 0 {
			scale = math.Max(1, scale/4)
		} else {
			scale = outlineScale(pts, c)
		}
		if done {
			break
		}
	}
	return c, ok
}

func outlineSame(a, b outlineCurve) bool {
	return math.Abs(a.Theta-b.Theta) < 1e-14 && math.Abs(a.Dist(b.Q)) < 1e-14*(1+math.Abs(b.Q[0])+math.Abs(b.Q[1]))
}

// outlineScale returns by how much the variances must be multiplied so that the
// median point is within 1 sigma, at least 1: the start of a robust descent.
func outlineScale(pts []outlinePoint, c outlineCurve) float64 {
	r := make([]float64, 0, len(pts))
	u := c.u()
	for _, p := range pts {
		if p.W > 0 {
			d := c.dist(u, p.P)
			r = append(r, d*d/p.Var)
		}
	}
	return math.Max(1, 2.2*outlineMedian(r))
}

func outlineLineByMoments(pts []outlinePoint, c outlineCurve, robust bool, scale float64, dir [2]float64) (outlineCurve, bool) {
	var sw, mx, my float64
	w := make([]float64, len(pts))
	u := c.u()
	for i, p := range pts {
		w[i] = p.W / p.Var
		if robust {
			d := c.dist(u, p.P)
			w[i] *= outlineTukey(d * d / (p.Var * scale))
		}
		sw += w[i]
		mx += w[i] * p.P[0]
		my += w[i] * p.P[1]
	}
	if !(sw > 0) {
		return c, false
	}
	mx, my = mx/sw, my/sw
	var xx, xy, yy float64
	for i, p := range pts {
		x, y := p.P[0]-mx, p.P[1]-my
		xx += w[i] * x * x
		xy += w[i] * x * y
		yy += w[i] * y * y
	}
	if !(xx+yy > 0) {
		return c, false
	}
	th := 0.5 * math.Atan2(2*xy, xx-yy)
	s, k := math.Sincos(th)
	if k*dir[0]+s*dir[1] < 0 {
		th = math.Remainder(th+math.Pi, 2*math.Pi)
	}
	return outlineCurve{Q: [2]float64{mx, my}, Theta: th}, true
}

// fitOutlineArc fits a circle by orthogonal distances from the start c by Gauss
// and Newton's method with robust weights.
func fitOutlineArc(pts []outlinePoint, c outlineCurve) (outlineCurve, bool) {
	scale := outlineScale(pts, c)
	size := 0.0
	for _, p := range pts {
		size = math.Max(size, math.Hypot(p.P[0]-c.Q[0], p.P[1]-c.Q[1]))
	}
	for it := 0; it < 25; it++ {
		step, ok := outlineArcStep(pts, c, scale)
		if !ok {
			return c, false
		}
		c = c.moved(step[0], step[1], step[2])
		move := math.Abs(step[0]) + size*math.Abs(step[1]) + size*size*math.Abs(step[2])
		if math.IsNaN(move) || move > 1e3*size || math.Abs(c.K) > 1e6/(size+1e-300) {
			return c, false
		}
		if scale == 1 && move < 1e-12*(1+size) {
			break
		}
		scale = math.Max(1, scale/4)
	}
	return c, c.K != 0
}

func outlineArcStep(pts []outlinePoint, c outlineCurve, scale float64) (g [3]float64, ok bool) {
	var a [9]float64
	u := c.u()
	for _, p := range pts {
		d, j := c.grad(u, p.P)
		w := p.W / p.Var * outlineTukey(d*d/(p.Var*scale))
		for i := 0; i < 3; i++ {
			g[i] -= w * j[i] * d
			for k := 0; k <= i; k++ {
				a[3*i+k] += w * j[i] * j[k]
			}
		}
	}
	// A trace of damping keeps a step finite where the points barely bend.
	for i := 0; i < 3; i++ {
		a[4*i] *= 1 + 1e-10
	}
	if !cholesky(a[:], 3) {
		return g, false
	}
	cholSolve(a[:], 3, g[:])
	return g, true
}

// outlineCost sums the squared distances in units of the variance, bounded by
// outlineLossMax for one point that stands out alone, by outlineMisfitMax for
// those that follow it: a row of such points is not noise. The first and the
// last point may belong to the neighbours and cost outlineDropPrice at most.
// The bounds hold after the weight: points that count little because they are
// alike do not make a misfit cheap.
// It also counts the points over outlineLossMax.
func outlineCost(pts []outlinePoint, c outlineCurve) (sum float64, outliers int) {
	row := false
	u := c.u()
	for i, p := range pts {
		if p.W <= 0 {
			continue
		}
		d := c.dist(u, p.P)
		r2 := p.W * d * d / p.Var
		most := outlineLossMax
		if row {
			most = outlineMisfitMax
		}
		if (i == 0 || i == len(pts)-1) && len(pts) > 3 {
			most = outlineDropPrice
		}
		if row = r2 > outlineLossMax; row {
			outliers++
		}
		sum += math.Min(r2, most)
	}
	return sum, outliers
}
