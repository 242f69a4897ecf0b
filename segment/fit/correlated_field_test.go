package fit

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// levelOf sees a sheet of n by n points as a plane of known slope: one
// parameter, its height, whose estimate is the mean. It returns the residuals'
// doubt and the mean.
func levelOf(n int, k float64, height []float64) (Doubt, float64) {
	s := Sightings{P: 1}
	mean := 0.0
	for _, h := range height {
		mean += k * h / float64(n*n)
	}
	for i, p := range sheet(n) {
		p.Z = height[i]
		s.At, s.Normal = append(s.At, r3.Scale(k, p)), append(s.Normal, r3.Vec{Z: 1})
		s.Residual, s.Slope = append(s.Residual, k*height[i]-mean), append(s.Slope, -1)
		s.Surface = append(s.Surface, 0)
	}
	return s.Doubt([]float64{1 / float64(n*n)}), mean
}

// White noise leaves a mean of n² points the textbook's 1.96 σ/n; what is
// believed of fields that are not there may add a little.
func TestDoubtOfWhiteNoise(t *testing.T) {
	const n, sheets = 40, 40
	rng := rand.New(rand.NewPCG(5, 5))
	width := 0.0
	for range sheets {
		d, _ := levelOf(n, 1, smooth(n, 0, rng))
		width += d.HalfWidth([]float64{1}, 0.95) / sheets
	}
	require.InEpsilon(t, 1.96/n, width, 0.1)
}

// Of 150 sheets of smooth noise and white noise, 95 % of the means lie within
// their intervals, give or take three standard deviations of 1.8 %; the longest
// kernel is a fifth of the sheet. Independent points would hold 30 % or less.
func TestDoubtOfSmoothNoise(t *testing.T) {
	const n, sheets = 30, 150
	rng := rand.New(rand.NewPCG(6, 6))
	for _, h := range []float64{1, 2, 4} {
		inside := 0.0
		for range sheets {
			r := smooth(n, h, rng)
			for i := range r {
				r[i] += 0.05 * rng.NormFloat64()
			}
			d, mean := levelOf(n, 1, r)
			if math.Abs(mean) <= d.HalfWidth([]float64{1}, 0.95) {
				inside += 1.0 / sheets
			}
		}
		require.InDelta(t, 0.95, inside, 0.055, "h = %g", h)
	}
}

// Points times k give k times the width.
func TestDoubtScales(t *testing.T) {
	r := smooth(30, 2, rand.New(rand.NewPCG(7, 7)))
	one, _ := levelOf(30, 1, r)
	many, _ := levelOf(30, 1000, r)
	require.InEpsilon(t, 1000*one.HalfWidth([]float64{1}, 0.95), many.HalfWidth([]float64{1}, 0.95), 1e-6)
}

// Few or exact points give a finite width, never a NaN.
func TestDoubtOfOddInput(t *testing.T) {
	for n := range 6 {
		for _, r := range [][]float64{make([]float64, n*n), smooth(n, 0, rand.New(rand.NewPCG(8, 8)))} {
			d, _ := levelOf(n, 1, r)
			u := d.HalfWidth([]float64{1}, 0.95)
			require.True(t, u >= 0 && !math.IsInf(u, 0), "%d: %g", n, u)
		}
	}
	require.Zero(t, Doubt{}.HalfWidth(nil, 0.95))
	s := Sightings{P: 1, Surface: make([]int, 30)}
	for range 30 { // all in one place
		s.At, s.Normal = append(s.At, r3.Vec{}), append(s.Normal, r3.Vec{})
		s.Residual, s.Slope = append(s.Residual, 1), append(s.Slope, 0)
	}
	u := s.Doubt([]float64{1}).HalfWidth([]float64{1}, 0.95)
	require.False(t, math.IsNaN(u))
}

// The reduced matrix gives the quadratic form and the determinant of the dense
// one, here solved by Cholesky.
func TestTridiagonal(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	c := cells{white: []float64{1}}
	const n = 12
	z := make([]float64, n)
	for k := range n {
		c.n, c.surface = append(c.n, 1), append(c.surface, 0)
		c.at, c.normal = append(c.at, r3.Vec{X: rng.Float64(), Y: rng.Float64()}), append(c.normal, r3.Vec{Z: 1})
		c.spread = append(c.spread, 0.01)
		z[k] = rng.NormFloat64()
	}
	cov := c.skin(0.5)
	whole := mat.NewSymDense(n, nil)
	for i := range cov {
		for j, v := range cov[i] {
			whole.SetSym(i, j, v)
		}
	}
	u := make([]float64, n)
	for k := range u {
		u[k] = 1 / math.Sqrt(n)
	}
	v := make([]float64, n)
	v[3], v[7] = math.Sqrt(0.5), -math.Sqrt(0.5)
	for _, base := range [][][]float64{nil, {u}, {u, v}} {
		var full mat.Dense
		full.CloneFrom(whole)
		for _, b := range base {
			project := mat.NewDense(n, n, nil) // 1 - bbᵀ
			for i := range n {
				project.Set(i, i, 1)
				for j := range n {
					project.Set(i, j, project.At(i, j)-b[i]*b[j])
				}
			}
			full.Product(project, &full, project)
		}
		z := slices.Clone(z)
		without(z, base)
		mirrors := mirrorsOnto(base)
		a := c.whiten(c.kernel(0.5, fieldSkin, cov)).beyond(mirrors)
		ssq, logDet := a.tridiagonal(turned(z, mirrors)).weighted(3)
		dense := mat.NewSymDense(n, nil)
		for i := range n {
			for j := range n {
				dense.SetSym(i, j, 3*full.At(i, j))
			}
			dense.SetSym(i, i, 1+3*full.At(i, i))
		}
		var chol mat.Cholesky
		require.True(t, chol.Factorize(dense))
		var x mat.VecDense
		require.NoError(t, chol.SolveVecTo(&x, mat.NewVecDense(n, z)))
		require.InEpsilon(t, mat.Dot(&x, mat.NewVecDense(n, z)), ssq, 1e-9)
		require.InDelta(t, chol.LogDet(), logDet, 1e-9)
	}
}

func BenchmarkDoubt(b *testing.B) {
	r := smooth(100, 2, rand.New(rand.NewPCG(1, 1))) // 1e4 points
	for b.Loop() {
		d, _ := levelOf(100, 1, r)
		sink += d.HalfWidth([]float64{1}, 0.95)
	}
}
