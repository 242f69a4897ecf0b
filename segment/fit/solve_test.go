package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// lineProblem fits x[0] + x[1] t to y at t = 0, 1, 2, ...
func lineProblem(y ...float64) Problem {
	return Problem{N: len(y), P: 2, Residual: func(x []float64, i int, grad []float64) float64 {
		grad[0], grad[1] = 1, float64(i)
		return x[0] + x[1]*float64(i) - y[i]
	}}
}

// By hand: t = 0..3, Σt = 6, Σt² = 14; y = 1, 3, 4, 4 gives slope 1, intercept
// 1.5, residuals .5, -.5, -.5, .5.
func TestSolveLine(t *testing.T) {
	s, err := Solve(lineProblem(1, 3, 4, 4), []float64{70, -3})
	require.NoError(t, err)
	require.InDeltaSlice(t, []float64{1.5, 1}, s.X, 1e-12)
	require.InDelta(t, 1, s.SSQ, 1e-12)
	require.Equal(t, 2.0, s.DOF)
	// The inverse of (4 6; 6 14) is (14 -6; -6 4)/20.
	require.InDeltaSlice(t, []float64{0.7, -0.3, -0.3, 0.2}, s.Cov, 1e-12)
}

func TestSolveWeights(t *testing.T) {
	pr := lineProblem(1, 3, 4, 4, 100)
	pr.Weight = []float64{1, 1, 1, 1, 0}
	s, err := Solve(pr, []float64{0, 0})
	require.NoError(t, err)
	require.InDeltaSlice(t, []float64{1.5, 1}, s.X, 1e-12)
	require.Equal(t, 2.0, s.DOF)
	pr.Weight = []float64{2, 1, 1, 2, 0} // as if the first and the fourth stood twice
	s, err = Solve(pr, []float64{0, 0})
	require.NoError(t, err)
	twice, err := Solve(Problem{N: 6, P: 2, Residual: func(x []float64, i int, grad []float64) float64 {
		at := []int{0, 0, 1, 2, 3, 3}[i]
		return lineProblem(1, 3, 4, 4).Residual(x, at, grad)
	}}, []float64{0, 0})
	require.NoError(t, err)
	require.InDeltaSlice(t, twice.X, s.X, 1e-12)
	require.InDeltaSlice(t, twice.Cov, s.Cov, 1e-12)
}

// Rosenbrock's valley from its usual start: the minimum is 0 at (1, 1).
func TestSolveValley(t *testing.T) {
	s, err := Solve(Problem{N: 2, P: 2, Residual: func(x []float64, i int, grad []float64) float64 {
		if i == 0 {
			grad[0], grad[1] = -20*x[0], 10
			return 10 * (x[1] - x[0]*x[0])
		}
		grad[0], grad[1] = -1, 0
		return 1 - x[0]
	}}, []float64{-1.2, 1})
	require.NoError(t, err)
	require.InDeltaSlice(t, []float64{1, 1}, s.X, 1e-9)
}

// A circle's centre and radius from a start far off: a brief search leaves no more than
// a hundred thousandth of their standard deviations.
func TestSolveBriefly(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	var at [][2]float64
	for range 400 {
		sin, cos := math.Sincos(rng.Float64() * 4)
		r := 20 + 0.05*rng.NormFloat64()
		at = append(at, [2]float64{3 + r*cos, -7 + r*sin})
	}
	pr := Problem{N: len(at), P: 3, Residual: func(x []float64, i int, grad []float64) float64 {
		u, v := at[i][0]-x[0], at[i][1]-x[1]
		l := math.Hypot(u, v)
		grad[0], grad[1], grad[2] = -u/l, -v/l, -1
		return l - x[2]
	}}
	exact, err := Solve(pr, []float64{10, 5, 9})
	require.NoError(t, err)
	pr.Brief = true
	brief, err := Solve(pr, []float64{10, 5, 9})
	require.NoError(t, err)
	require.Less(t, brief.Iterations, exact.Iterations)
	require.InEpsilon(t, exact.SSQ, brief.SSQ, 1e-11)
	for j, x := range exact.X {
		sd := math.Sqrt(exact.Cov[4*j] * exact.SSQ / exact.DOF)
		require.InDelta(t, x, brief.X[j], 1e-5*sd, "parameter %d", j)
		require.InEpsilon(t, exact.Cov[4*j], brief.Cov[4*j], 1e-3)
	}
}

// Powers of t near 1 are all but parallel: over [1, 1.1] the cubic's columns
// leave 3e-8 of the last, so the normal equations keep no digit of it and QR
// form keeps eight. The coefficients are the design's.
func TestSolveIllConditioned(t *testing.T) {
	design := []float64{1, -2, 3, -1}
	pr := Problem{N: 40, P: 4, Residual: func(x []float64, i int, grad []float64) float64 {
		u := 1 + 0.1*float64(i)/39
		r, p := 0.0, 1.0
		for j := range x {
			grad[j] = p
			r += (x[j] - design[j]) * p
			p *= u
		}
		return r
	}}
	s, err := Solve(pr, []float64{0, 0, 0, 0})
	require.NoError(t, err)
	require.InDeltaSlice(t, design, s.X, 1e-6)
	require.False(t, math.IsNaN(s.Cov[0]))
}

func TestSolveRefuses(t *testing.T) {
	for _, row := range []struct {
		name string
		pr   Problem
		want error
	}{
		{"fewer residuals than parameters", lineProblem(1), ErrTooFew},
		{"none", lineProblem(), ErrTooFew},
		{"two equal columns", Problem{N: 5, P: 2, Residual: func(x []float64, i int, grad []float64) float64 {
			grad[0], grad[1] = 1, 1
			return x[0] + x[1] - float64(i)
		}}, ErrSingular},
		{"a column of zeros", Problem{N: 5, P: 2, Residual: func(x []float64, i int, grad []float64) float64 {
			grad[0], grad[1] = 1, 0
			return x[0] - float64(i)
		}}, ErrSingular},
		{"not a number", Problem{N: 5, P: 1, Residual: func(_ []float64, _ int, grad []float64) float64 {
			grad[0] = 1
			return math.NaN()
		}}, ErrDiverged},
		{"no minimum", Problem{N: 2, P: 1, Residual: func(x []float64, _ int, grad []float64) float64 {
			grad[0] = -math.Exp(-x[0])
			return math.Exp(-x[0])
		}}, nil},
		{"derivatives that lie", Problem{N: 2, P: 1, Residual: func(x []float64, i int, grad []float64) float64 {
			grad[0] = -1
			return 1 + math.Abs(x[0]) + float64(i)
		}}, ErrDiverged},
	} {
		t.Run(row.name, func(t *testing.T) {
			s, err := Solve(row.pr, make([]float64, row.pr.P))
			if row.want == nil { // an end at infinity may be refused or found, but never NaN
				for _, v := range append(s.X, s.Cov...) {
					require.False(t, math.IsNaN(v))
				}
				return
			}
			require.ErrorIs(t, err, row.want)
		})
	}
}

func TestEigen(t *testing.T) {
	// Eigenvalues of (2 1; 1 2) are 1 and 3; a small eigenvalue keeps its digits.
	values, vectors := eigen([]float64{2, 1, 0, 1, 2, 0, 0, 0, 1e-14}, 3)
	require.InDeltaSlice(t, []float64{1e-14, 1, 3}, values, 1e-14)
	require.InEpsilon(t, 1e-14, values[0], 1e-9)
	require.InDelta(t, 1, math.Abs(vectors[0][2]), 1e-12)
	require.InDelta(t, math.Abs(vectors[2][0]), math.Sqrt(0.5), 1e-12)
}
