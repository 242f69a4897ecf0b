package primitive

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// invert returns the inverse of the symmetric positive row-major n×n matrix a,
// scaled by its diagonal first; rows that no point determines come out zero.
func invert(a []float64, n int) []float64 {
	out := make([]float64, n*n)
	d := make([]float64, n)
	var use []int
	for i := range d {
		if a[i*n+i] > 0 {
			d[i] = math.Sqrt(a[i*n+i])
			use = append(use, i)
		}
	}
	m := mat.NewSymDense(len(use), nil)
	for i, r := range use {
		for j := i; j < len(use); j++ {
			m.SetSym(i, j, a[r*n+use[j]]/(d[r]*d[use[j]]))
		}
	}
	var ch mat.Cholesky
	var inv mat.SymDense
	if len(use) == 0 || !ch.Factorize(m) || ch.InverseTo(&inv) != nil {
		return out
	}
	for i, r := range use {
		for j, c := range use {
			out[r*n+c] = inv.At(i, j) / (d[r] * d[c])
		}
	}
	return out
}
