package surface

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

func addOuter(m *[6]float64, v r3.Vec) {
	m[0] += v.X * v.X
	m[1] += v.X * v.Y
	m[2] += v.X * v.Z
	m[3] += v.Y * v.Y
	m[4] += v.Y * v.Z
	m[5] += v.Z * v.Z
}

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

// solve3 solves the symmetric 3×3 system a x = b by Cramer's rule.
func solve3(a [6]float64, b r3.Vec) (r3.Vec, bool) {
	c0 := r3.Vec{X: a[0], Y: a[1], Z: a[2]}
	c1 := r3.Vec{X: a[1], Y: a[3], Z: a[4]}
	c2 := r3.Vec{X: a[2], Y: a[4], Z: a[5]}
	det := r3.Dot(c0, r3.Cross(c1, c2))
	scale := (a[0] + a[3] + a[5]) / 3
	if !(math.Abs(det) > 1e-9*scale*scale*scale) {
		return r3.Vec{}, false
	}
	return r3.Vec{
		X: r3.Dot(b, r3.Cross(c1, c2)) / det,
		Y: r3.Dot(c0, r3.Cross(b, c2)) / det,
		Z: r3.Dot(c0, r3.Cross(c1, b)) / det,
	}, true
}
