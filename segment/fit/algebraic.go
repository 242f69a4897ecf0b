package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// roundAxis is what a scan over axes finds: an axis, a radius at point, the
// tangent of the half angle.
type roundAxis struct {
	point, axis     r3.Vec
	radius, tangent float64
	score           float64
}

// shadowCircle returns the algebraic circle of the points of ids seen along d.
func (s *sample) shadowCircle(d r3.Vec, ids []int) (roundAxis, bool) {
	e, f := Frame(d)
	u, v, r, ok := taubin(len(ids), func(k int) (float64, float64) {
		return r3.Dot(s.at[ids[k]], e), r3.Dot(s.at[ids[k]], f)
	})
	return roundAxis{point: along(r3.Scale(u, e), v, f), axis: d, radius: r}, ok
}

// taubin returns the circle that minimises Σ(z-c)²/Σ|∇z|² over n points, where
// z-c vanishes on it; it is all but free of the bias towards small circles that
// noise on a short arc brings (Taubin, IEEE PAMI 13, 1991; the Newton form is
// Chernov's, Circular and Linear Regression, 2010).
func taubin(n int, at func(k int) (u, v float64)) (cu, cv, r float64, ok bool) {
	var mu, mv float64
	for k := range n {
		u, v := at(k)
		mu, mv = mu+u/float64(n), mv+v/float64(n)
	}
	var xx, yy, xy, xz, yz, zz float64
	for k := range n {
		u, v := at(k)
		u, v = u-mu, v-mv
		z := u*u + v*v
		xx, yy, xy = xx+u*u, yy+v*v, xy+u*v
		xz, yz, zz = xz+u*z, yz+v*z, zz+z*z
	}
	s := 1 / float64(n)
	xx, yy, xy, xz, yz, zz = xx*s, yy*s, xy*s, xz*s, yz*s, zz*s
	z := xx + yy
	det, spread := xx*yy-xy*xy, zz-z*z
	if !(det > 1e-12*z*z) {
		return 0, 0, 0, false
	}
	a1 := spread*z + 4*det*z - xz*xz - yz*yz
	a0 := xz*(xz*yy-yz*xy) + yz*(yz*xx-xz*xy) - spread*det
	x, last := 0.0, math.Inf(1)
	for range 30 {
		y := a0 + x*(a1+x*(-3*z*z-zz+4*x*z))
		if !(math.Abs(y) < last) {
			break
		}
		last = math.Abs(y)
		x -= y / (a1 + x*(2*(-3*z*z-zz)+12*x*z))
	}
	det = x*x - x*z + det
	cu, cv = (xz*(yy-x)-yz*xy)/det/2, (yz*(xx-x)-xz*xy)/det/2
	r = math.Sqrt(cu*cu + cv*cv + z)
	return cu + mu, cv + mv, r, r > 0 && r < flatLimit
}

// each calls do for the points of ids, nil for all.
func each(at []r3.Vec, ids []int, do func(r3.Vec)) {
	if ids == nil {
		for _, q := range at {
			do(q)
		}
		return
	}
	for _, i := range ids {
		do(at[i])
	}
}

// linear is a small linear least-squares problem gathered row by row.
type linear struct {
	p    int
	a, b []float64
}

func newLinear(p int) *linear { return &linear{p, make([]float64, p*p), make([]float64, p)} }

func (l *linear) add(right float64, row ...float64) {
	for j, v := range row {
		l.b[j] += v * right
		for k := 0; k <= j; k++ {
			l.a[j*l.p+k] += v * row[k]
		}
	}
}

// solve returns the solution, or false where rounding would make it up.
func (l *linear) solve() ([]float64, bool) {
	diag := make([]float64, l.p)
	for j := range diag {
		diag[j] = l.a[j*l.p+j]
	}
	if !cholesky(l.a, l.p) {
		return nil, false
	}
	for j, d := range diag {
		if v := l.a[j*l.p+j]; !(v*v > 1e-12*d) {
			return nil, false
		}
	}
	cholSolve(l.a, l.p, l.b)
	return l.b, true
}
