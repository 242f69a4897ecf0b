package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// DistanceMM is the signed distance of a point in SCAN from the element's ideal
// surface, outside positive; NaN for freeform.
func (e *Element) DistanceMM(p r3.Vec) float64 {
	if e.solid == nil {
		return math.NaN()
	}
	return e.solid.distance(r3.Sub(p, e.solidOriginMM))
}

// Normal is the outward direction of the element's surface near a point in SCAN:
// the gradient of its distance.
func (e *Element) Normal(p r3.Vec) r3.Vec {
	const h = 1e-3
	d := e.DistanceMM(p)
	n := r3.Vec{
		X: e.DistanceMM(r3.Add(p, r3.Vec{X: h})) - d,
		Y: e.DistanceMM(r3.Add(p, r3.Vec{Y: h})) - d,
		Z: e.DistanceMM(r3.Add(p, r3.Vec{Z: h})) - d,
	}
	if l := norm(n); l > 0 {
		return r3.Scale(1/l, n)
	}
	return n
}
