package solid

import "gonum.org/v1/gonum/spatial/r3"

// A curve of which point and derivative are known at equal steps is written as a
// cubic B-spline through them: its error is at most h⁴/384 of the largest fourth
// derivative (Birkhoff and Priver, J. Math. and Phys. 46 (1967) 440).
//
// hermiteSteps a full turn: of a circle, (2π/64)⁴/384 = 2.4e-7 of its radius.
const hermiteSteps = 64

// hermitePoints are the control points: points and derivatives by the parameter
// at its n+1 places, h apart.
func hermitePoints(at, d []r3.Vec, h float64) []r3.Vec {
	n := len(at) - 1
	out := append(make([]r3.Vec, 0, 2*n+2), at[0], r3.Add(at[0], r3.Scale(h/3, d[0])))
	for i := 1; i < n; i++ {
		out = append(out, r3.Sub(at[i], r3.Scale(h/3, d[i])), r3.Add(at[i], r3.Scale(h/3, d[i])))
	}
	return append(out, r3.Sub(at[n], r3.Scale(h/3, d[n])), at[n])
}

// hermiteKnots go with them: double inside, four-fold at the ends.
func hermiteKnots(n int, h float64) (knots []float64, mults []int) {
	for i := range n + 1 {
		knots = append(knots, float64(i)*h)
		mults = append(mults, 2)
	}
	mults[0], mults[n] = 4, 4
	return knots, mults
}

// hermite is the spline along n equal steps of t from 0 to 1.
func hermite(n int, curve func(t float64) (at, d r3.Vec)) Spline {
	var at, d []r3.Vec
	for i := range n + 1 {
		p, v := curve(float64(i) / float64(n))
		at, d = append(at, p), append(d, v)
	}
	h := 1 / float64(n)
	knots, mults := hermiteKnots(n, h)
	return Spline{3, hermitePoints(at, d, h), knots, mults}
}
