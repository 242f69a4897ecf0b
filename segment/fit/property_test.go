package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func drawMotion(t *rapid.T, reach float64) motionOf {
	number := rapid.Float64Range(-1, 1)
	axis := unit(r3.Vec{X: number.Draw(t, "x"), Y: number.Draw(t, "y"), Z: number.Draw(t, "z")})
	if axis == (r3.Vec{}) {
		axis = r3.Vec{Z: 1}
	}
	return motionOf{
		k: math.Pow(10, rapid.Float64Range(-3, 3).Draw(t, "decades")),
		r: r3.NewRotation(rapid.Float64Range(-3, 3).Draw(t, "angle"), axis),
		t: r3.Scale(reach, r3.Vec{X: number.Draw(t, "tx"), Y: number.Draw(t, "ty"), Z: number.Draw(t, "tz")}),
	}
}

// A scan that is turned, moved and scaled gives the feature turned, moved and
// scaled, from a start that is off by a tenth of a radian and of a size.
func TestMotionMovesTheAnswer(t *testing.T) {
	for _, tr := range trials() {
		points, ssq := tr.nudged(0.02, 11)
		t.Run(tr.name, rapid.MakeCheck(func(t *rapid.T) {
			m := drawMotion(t, 300)
			moved := m.all(points)
			got, a, err := tr.fit(moved, nil, tr.moved(motionOf{m.k * 1.003, m.r, m.t}))
			require.NoError(t, err)
			size := m.k*100 + norm(m.t)
			for _, q := range tr.points {
				require.InDelta(t, 0, got.Distance(m.at(q)), 1e-10*size)
			}
			require.InEpsilon(t, ssq*m.k*m.k, a.SSQ, 1e-6)
		}))
	}
}

// At a minimum the residuals are orthogonal to every column of the Jacobian.
func TestResidualsAreOrthogonal(t *testing.T) {
	for _, tr := range trials() {
		t.Run(tr.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(5, 5))
			points := make([]r3.Vec, len(tr.points))
			for i, p := range tr.points {
				points[i] = along(p, 0.05*rng.NormFloat64(), tr.normals[i])
			}
			got, _, err := tr.fit(points, nil, tr.exact)
			require.NoError(t, err)
			r := make([]float64, len(points))
			for i, p := range points {
				r[i] = got.Distance(p)
			}
			for j, col := range jacobianAt(got, points) {
				cos := dot(col, r) / math.Sqrt(dot(col, col)*dot(r, r))
				require.InDelta(t, 0, cos, 1e-8, "parameter %d", j)
			}
		})
	}
}

// jacobianAt is columnsOf with the type found.
func jacobianAt(f fitted, points []r3.Vec) [][]float64 {
	switch f := f.(type) {
	case Plane:
		return columnsOf(f, points, planeKind())
	case Sphere:
		return columnsOf(f, points, sphereKind())
	case Cylinder:
		return columnsOf(f, points, cylinderKind())
	case Cone:
		return columnsOf(f, points, coneKind())
	case Torus:
		return columnsOf(f, points, torusKind())
	case Helix:
		return columnsOf(f, points, helixKind())
	}
	panic("no such feature")
}

// The normal is the gradient of the distance: it is of length 1, and a step of
// 1e-3 along it changes the distance by that to 1e-6.
func TestNormalIsTheGradient(t *testing.T) {
	for _, tr := range trials() {
		t.Run(tr.name, func(t *testing.T) {
			for i, p := range tr.points {
				require.InDelta(t, 0, tr.exact.Distance(p), 1e-10)
				q := along(p, 0.7, tr.normals[i])
				require.InDelta(t, 0.7, tr.exact.Distance(q), 1e-9)
				n := tr.exact.Normal(q)
				require.InDelta(t, 1, norm(n), 1e-12)
				require.InDelta(t, 1, r3.Dot(n, tr.normals[i]), 1e-9)
			}
		})
	}
}

// Points a kilometre off keep a micrometre: float64 holds 1e-10 mm there.
func TestFarOffCoordinates(t *testing.T) {
	for _, tr := range trials() {
		t.Run(tr.name, func(t *testing.T) {
			m := motionOf{1, r3.NewRotation(0, r3.Vec{Z: 1}), r3.Vec{X: 1e6, Y: -1e6, Z: 1e6}}
			points, _ := tr.nudged(0.02, 3)
			got, _, err := tr.fit(m.all(points), nil, tr.moved(m))
			require.NoError(t, err)
			for _, q := range tr.points {
				require.InDelta(t, 0, got.Distance(m.at(q)), 1e-6)
			}
		})
	}
}

// A weight of 2 is the point twice, a weight of 0 is no point, and the order of
// points moves no more than the last digits.
func TestWeightsAndOrder(t *testing.T) {
	for _, tr := range trials() {
		t.Run(tr.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(8, 8))
			var points, twice []r3.Vec
			var w []float64
			for i, p := range tr.points {
				p = along(p, 0.05*rng.NormFloat64(), tr.normals[i])
				points, w = append(points, p), append(w, float64(i%3))
				for range i % 3 {
					twice = append(twice, p)
				}
			}
			rng.Shuffle(len(twice), func(i, j int) { twice[i], twice[j] = twice[j], twice[i] })
			a, fa, err := tr.fit(points, w, tr.exact)
			require.NoError(t, err)
			b, fb, err := tr.fit(twice, nil, tr.exact)
			require.NoError(t, err)
			for _, q := range tr.points {
				require.InDelta(t, b.Distance(q), a.Distance(q), 1e-9)
			}
			require.InEpsilon(t, fb.SSQ, fa.SSQ, 1e-9)
			require.Equal(t, len(tr.points)-(len(tr.points)+2)/3, fa.Points)
		})
	}
}
