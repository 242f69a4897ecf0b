package mesh

import "gonum.org/v1/gonum/spatial/r3"

// difference is a - b in file units, where the hot loops stay. It is a vector of three
// fields, which the compiler keeps in registers as it does no array.
func difference(a, b *[3]float32) r3.Vec {
	return r3.Vec{X: float64(a[0]) - float64(b[0]), Y: float64(a[1]) - float64(b[1]), Z: float64(a[2]) - float64(b[2])}
}

func array(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }
