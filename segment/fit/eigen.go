package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// eigen returns the eigenvalues of the symmetric row-major n×n matrix a,
// rising, and its unit eigenvectors as rows, by cyclic Jacobi rotations, which
// keep small eigenvalues to their own last digits. It overwrites a.
func eigen(a []float64, n int) (values []float64, vectors [][]float64) {
	v := make([]float64, n*n)
	for i := 0; i < n; i++ {
		v[i*n+i] = 1
	}
	for range 60 { // 6 to 8 sweeps are usual
		off := 0.0
		for i := 0; i < n; i++ {
			for j := 0; j < i; j++ {
				off += math.Abs(a[i*n+j])
				rotate(a, v, n, j, i)
			}
		}
		if off == 0 || !finite(off) {
			break
		}
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
		for k := i; k > 0 && a[order[k]*n+order[k]] < a[order[k-1]*n+order[k-1]]; k-- {
			order[k], order[k-1] = order[k-1], order[k]
		}
	}
	for _, i := range order {
		row := make([]float64, n)
		for k := range row {
			row[k] = v[k*n+i]
		}
		values, vectors = append(values, a[i*n+i]), append(vectors, row)
	}
	return values, vectors
}

// rotate zeroes a[p][q] by one Jacobi rotation and gathers it in v.
func rotate(a, v []float64, n, p, q int) {
	apq := a[p*n+q]
	if math.Abs(apq) <= 1e-18*math.Sqrt(math.Abs(a[p*n+p]*a[q*n+q])) || math.Abs(apq) < 1e-300 {
		a[p*n+q], a[q*n+p] = 0, 0
		return
	}
	theta := (a[q*n+q] - a[p*n+p]) / (2 * apq)
	t := 1 / (math.Abs(theta) + math.Sqrt(theta*theta+1))
	if theta < 0 {
		t = -t
	}
	c := 1 / math.Sqrt(t*t+1)
	s := t * c
	a[p*n+p] -= t * apq
	a[q*n+q] += t * apq
	a[p*n+q], a[q*n+p] = 0, 0
	for k := 0; k < n; k++ {
		if k != p && k != q {
			x, y := a[k*n+p], a[k*n+q]
			a[k*n+p], a[k*n+q] = c*x-s*y, s*x+c*y
			a[p*n+k], a[q*n+k] = a[k*n+p], a[k*n+q]
		}
		x, y := v[k*n+p], v[k*n+q]
		v[k*n+p], v[k*n+q] = c*x-s*y, s*x+c*y
	}
}

// principal returns the rising eigenvalues and unit eigenvectors of Σ w v vᵀ
// over vectors v, w nil for all 1.
func principal(v []r3.Vec, w []float64) (value [3]float64, axis [3]r3.Vec) {
	var a [9]float64
	for i, q := range v {
		wi := 1.0
		if w != nil {
			wi = w[i]
		}
		a[0] += wi * q.X * q.X
		a[1] += wi * q.X * q.Y
		a[2] += wi * q.X * q.Z
		a[4] += wi * q.Y * q.Y
		a[5] += wi * q.Y * q.Z
		a[8] += wi * q.Z * q.Z
	}
	a[3], a[6], a[7] = a[1], a[2], a[5]
	val, vec := eigen(a[:], 3)
	for i := range axis {
		value[i] = val[i]
		axis[i] = r3.Vec{X: vec[i][0], Y: vec[i][1], Z: vec[i][2]}
	}
	return value, axis
}
