package primitive

import (
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// eigen returns the eigenvectors of the symmetric matrix xx xy xz yy yz zz, in
// rising order of eigenvalue.
func eigen(m [6]float64) [3]r3.Vec {
	s := mat.NewSymDense(3, []float64{m[0], m[1], m[2], m[1], m[3], m[4], m[2], m[4], m[5]})
	var e mat.EigenSym
	if !e.Factorize(s, true) {
		return [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
	}
	var v mat.Dense
	e.VectorsTo(&v)
	var out [3]r3.Vec
	for k := range out {
		out[k] = r3.Vec{X: v.At(0, k), Y: v.At(1, k), Z: v.At(2, k)}
	}
	return out
}
