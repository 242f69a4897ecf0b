package fit

import "math"

// tridiagonal is a symmetric matrix reduced to three diagonals, and a vector
// turned with it.
type tridiagonal struct{ diagonal, beside, z []float64 }

// whiten puts cov over the cells' noise, in its place.
func (c *cells) whiten(cov lower) lower {
	n := len(c.n)
	sd := make([]float64, n)
	for k := range sd {
		sd[k] = c.sd(k)
	}
	for i, row := range cov {
		for j := range row {
			row[j] /= sd[i] * sd[j]
		}
	}
	return cov
}

// spreadTo is PᵀaP of the columns of P, row-major.
func (a lower) spreadTo(push [][]float64) []float64 {
	p, y := len(push), make([]float64, len(a))
	out := make([]float64, p*p)
	for i, x := range push {
		a.times(0, x, y)
		for j, u := range push[:i+1] {
			sum := 0.0
			for k, v := range u {
				sum += v * y[k]
			}
			out[i*p+j], out[j*p+i] = sum, sum
		}
	}
	return out
}

// tridiagonal reduces a, which it does not keep (Householder; Golub and Van Loan,
// Matrix Computations, 8.3.1), and turns z with it.
func (a lower) tridiagonal(z []float64) tridiagonal {
	n := len(a)
	t := tridiagonal{make([]float64, n), make([]float64, n), append([]float64(nil), z...)}
	v, p := make([]float64, n), make([]float64, n)
	for k := 0; k+2 < n; k++ {
		t.beside[k] = mirrored(a, k, v, p, t.z)
	}
	for k := range n {
		t.diagonal[k] = a[k][k]
	}
	if n > 1 {
		t.beside[n-2] = a[n-1][n-2]
	}
	return t
}

// lower holds a symmetric matrix by its lower half: row i has i+1 numbers.
type lower [][]float64

func newLower(n int) lower {
	a, room := make(lower, n), make([]float64, n*(n+1)/2)
	for i := range a {
		a[i], room = room[:i+1], room[i+1:]
	}
	return a
}

// times fills y with the product by x of the part from row and column first on: two
// rows at a time, which fetches x and y half as often.
func (a lower) times(first int, x, y []float64) {
	i := first
	for ; i+1 < len(a); i += 2 {
		upper, low := a[i][first:i], a[i+1][first:i]
		xu, xl, su, sl := x[i], x[i+1], 0.0, 0.0
		xs, ys := x[first:i], y[first:i]
		xs, ys, low = xs[:len(upper)], ys[:len(upper)], low[:len(upper)]
		for j, u := range upper {
			l := low[j]
			su += u * xs[j]
			sl += l * xs[j]
			ys[j] = ys[j] + u*xu + l*xl
		}
		beside := a[i+1][i]
		y[i] = su + a[i][i]*xu + beside*xl
		y[i+1] = sl + beside*xu + a[i+1][i+1]*xl
	}
	if i < len(a) {
		sum := 0.0
		for j, v := range a[i][first:i] {
			sum += v * x[first+j]
			y[first+j] += v * x[i]
		}
		y[i] = sum + a[i][i]*x[i]
	}
}

// subtract takes uwᵀ + wuᵀ from the part from row and column first on, two rows at a
// time.
func (a lower) subtract(first int, u, w []float64) {
	i := first
	for ; i+1 < len(a); i += 2 {
		upper, low := a[i][first:i+1], a[i+1][first:i+1]
		uu, wu, ul, wl := u[i], w[i], u[i+1], w[i+1]
		us, ws := u[first:i+1], w[first:i+1]
		us, ws, low = us[:len(upper)], ws[:len(upper)], low[:len(upper)]
		for j := range upper {
			upper[j] -= uu*ws[j] + wu*us[j]
			low[j] -= ul*ws[j] + wl*us[j]
		}
		a[i+1][i+1] -= ul*wl + wl*ul
	}
	if i < len(a) {
		row := a[i][first : i+1]
		for j := range row {
			row[j] -= u[i]*w[first+j] + w[i]*u[first+j]
		}
	}
}

// mirrorsOnto are mirrors 1 - wwᵀ that together turn an orthonormal base onto the
// first axes; the k-th leaves those before k alone.
func mirrorsOnto(base [][]float64) [][]float64 {
	var out [][]float64
	for k, b := range base {
		w := append([]float64(nil), b...)
		for j, m := range out {
			reflected(w, m, j)
		}
		clear(w[:k])
		toMirror(w, k)
		out = append(out, w)
	}
	return out
}

// toMirror makes of x, from place first on, the mirror 1 - wwᵀ that turns it onto that
// axis, and returns its length there; 0 where there is nothing to turn.
func toMirror(x []float64, first int) float64 {
	length := math.Sqrt(dotFrom(first, x, x))
	if length == 0 {
		return 0
	}
	if x[first] > 0 {
		length = -length
	}
	x[first] -= length
	k := math.Sqrt(2 / dotFrom(first, x, x))
	for i := first; i < len(x); i++ {
		x[i] *= k
	}
	return length
}

// reflected applies the mirror w, of nothing before place first, to x.
func reflected(x, w []float64, first int) {
	d := dotFrom(first, x, w)
	for i := first; i < len(x); i++ {
		x[i] -= d * w[i]
	}
}

func dotFrom(first int, x, y []float64) float64 {
	sum := 0.0
	for i, v := range x[first:] {
		sum += v * y[first+i]
	}
	return sum
}

// turned is z turned by the mirrors, without the axes that their base came onto.
func turned(z []float64, mirrors [][]float64) []float64 {
	out := append([]float64(nil), z...)
	for k, w := range mirrors {
		reflected(out, w, k)
	}
	return out[len(mirrors):]
}

// beyond is what of a, which it does not keep, is left beyond the base of the mirrors:
// turned by them, without the axes that the base came onto.
func (a lower) beyond(mirrors [][]float64) lower {
	y := make([]float64, len(a))
	for k, w := range mirrors {
		a.mirror(k, w, y)
	}
	out := make(lower, len(a)-len(mirrors))
	for i := range out {
		out[i] = a[i+len(mirrors)][len(mirrors):]
	}
	return out
}

// mirror turns the part from row and column first on by the mirror w, on both sides; y
// is room to work in.
func (a lower) mirror(first int, w, y []float64) {
	a.times(first, w, y)
	half := dotFrom(first, w, y) / 2
	for i := first; i < len(w); i++ {
		y[i] -= half * w[i]
	}
	a.subtract(first, w, y)
}

func (a lower) trace() float64 {
	sum := 0.0
	for i := range a {
		sum += a[i][i]
	}
	return sum
}

// mirrored clears column k of a below its second diagonal, and returns what
// stands there. w and y are room to work in.
func mirrored(a lower, k int, w, y, z []float64) float64 {
	for i := k + 1; i < len(a); i++ {
		w[i] = a[i][k]
	}
	length := toMirror(w, k+1)
	if length != 0 {
		a.mirror(k+1, w, y)
		reflected(z, w, k+1)
	}
	return length
}

// weighted returns zᵀ(1 + sT)⁻¹z and the logarithm of the determinant of 1 + sT.
func (t tridiagonal) weighted(s float64) (ssq, logDet float64) {
	d, y := 1.0, 0.0
	for k := range t.diagonal {
		pivot, r := 1+s*t.diagonal[k], t.z[k]
		if k > 0 {
			l := s * t.beside[k-1] / d
			pivot -= l * s * t.beside[k-1]
			r -= l * y
		}
		d, y = math.Max(pivot, 1e-3), r
		ssq += y * y / d
		logDet += math.Log(d)
	}
	return ssq, logDet
}
