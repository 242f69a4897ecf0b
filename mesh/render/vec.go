package render

import "math"

func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// unit returns v at length 1; a zero vector stays.
func unit(v [3]float64) [3]float64 {
	l := norm(v)
	if !(l > 0) {
		return v
	}
	return [3]float64{v[0] / l, v[1] / l, v[2] / l}
}

func norm(v [3]float64) float64 { return math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2]) }
