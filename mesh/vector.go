package mesh

import "gonum.org/v1/gonum/spatial/r3"

// The three below work on file units, where the hot loops stay.

func difference(a, b [3]float32) [3]float64 {
	return [3]float64{float64(a[0]) - float64(b[0]), float64(a[1]) - float64(b[1]), float64(a[2]) - float64(b[2])}
}

func crossed(u, v [3]float64) [3]float64 {
	return [3]float64{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}
}

func squared(u [3]float64) float64 { return u[0]*u[0] + u[1]*u[1] + u[2]*u[2] }

func array(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }
