package fit

import "math"

// tridiagonal is a symmetric matrix reduced to three diagonals, and a vector
// turned with it.
type tridiagonal struct{ diagonal, beside, z []float64 }

// tridiagonal whitens cov by the cells' noise, takes what the base spans away,
// and reduces it (Householder; Golub and Van Loan, Matrix Computations, 8.3.1).
func (c *cells) tridiagonal(cov, z []float64, base [][]float64) tridiagonal {
	n := len(c.n)
	a := make([][]float64, n)
	for i := range a {
		a[i] = make([]float64, n)
		for j := range a[i] {
			a[i][j] = cov[i*n+j] / (c.sd(i) * c.sd(j))
		}
		without(a[i], base)
	}
	column := make([]float64, n)
	for j := range n {
		for i := range n {
			column[i] = a[i][j]
		}
		without(column, base)
		for i := range n {
			a[i][j] = column[i]
		}
	}
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

func (t tridiagonal) trace() float64 {
	sum := 0.0
	for _, v := range t.diagonal {
		sum += v
	}
	return sum
}

// mirrored clears column k of a below its second diagonal, and returns what
// stands there.
func mirrored(a [][]float64, k int, v, p, z []float64) float64 {
	n := len(a)
	length := 0.0
	for i := k + 1; i < n; i++ {
		v[i] = a[i][k]
		length += v[i] * v[i]
	}
	length = math.Sqrt(length)
	if length == 0 {
		return 0
	}
	if v[k+1] > 0 {
		length = -length
	}
	v[k+1] -= length
	half := 0.0
	for i := k + 1; i < n; i++ {
		half += v[i] * v[i]
	}
	half /= 2
	vp, vz := 0.0, 0.0
	for i := k + 1; i < n; i++ {
		sum, row := 0.0, a[i]
		for j := k + 1; j < n; j++ {
			sum += row[j] * v[j]
		}
		p[i] = sum / half
		vp += p[i] * v[i]
		vz += v[i] * z[i]
	}
	for i := k + 1; i < n; i++ {
		p[i] -= vp / (2 * half) * v[i]
		z[i] -= vz / half * v[i]
	}
	for i := k + 1; i < n; i++ {
		row, vi, pi := a[i], v[i], p[i]
		for j := k + 1; j < n; j++ {
			row[j] -= vi*p[j] + pi*v[j]
		}
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
