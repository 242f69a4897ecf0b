// Package fit associates ideal features with measured points by least squares
// on orthogonal distances (Gaussian association, ISO 10360-6).
package fit

import (
	"errors"
	"fmt"
	"math"
)

// Errors of the solver.
var (
	ErrTooFew   = errors.New("too few points for this feature")
	ErrSingular = errors.New("the points do not determine this feature")
	ErrDiverged = errors.New("the fit does not converge")
)

// Problem is a nonlinear least-squares problem in p parameters and n residuals.
//
// Residual returns residual i at x and writes its p derivatives to grad.
// Prepare, if not nil, is called once before the residuals of a new x.
type Problem struct {
	N, P     int
	Prepare  func(x []float64)
	Residual func(x []float64, i int, grad []float64) float64
	Weight   []float64 // one a residual, nil for all 1; the square root is not taken
}

// Solution is a minimum of the sum of w r².
//
// Cov is the row-major p×p inverse of JᵀWJ: multiplied by the variance of a
// residual of weight 1 it is the covariance of X.
type Solution struct {
	X          []float64
	Cov        []float64
	SSQ        float64 // sum of w r²
	DOF        float64 // number of residuals of weight over 0, less p
	Iterations int
	Stop       string // "gradient", "step" or "stalled": why the search ended
}

// maxIterations is far over what these problems take (4 to 15): a search that
// reaches it is reported, not accepted.
const maxIterations = 200

// Solve minimises the problem from x0 by Levenberg and Marquardt's method on
// the normal equations, scaled by the diagonal (Moré 1978). It ends when no
// step within relative 1e-13 of the parameters' scale lowers the sum, so that
// the answer does not depend on the start within its basin.
func Solve(pr Problem, x0 []float64) (Solution, error) {
	p := pr.P
	n := 0
	for i := 0; i < pr.N; i++ {
		if pr.Weight == nil || pr.Weight[i] > 0 {
			n++
		}
	}
	if n < p {
		return Solution{}, fmt.Errorf("%w: %d points, %d parameters", ErrTooFew, n, p)
	}
	x := append([]float64(nil), x0...)
	a, g, grad := make([]float64, p*p), make([]float64, p), make([]float64, p)
	ssq := pr.normal(x, a, g, grad)
	if math.IsNaN(ssq) || math.IsInf(ssq, 0) {
		return Solution{}, ErrDiverged
	}
	lambda := 1e-4
	xt, step, l := make([]float64, p), make([]float64, p), make([]float64, p*p)
	at, gt := make([]float64, p*p), make([]float64, p)
	scale := make([]float64, p)
	sol := Solution{Stop: "stalled"}
	it := 0
	for ; it < maxIterations; it++ {
		for j := 0; j < p; j++ {
			scale[j] = math.Max(scale[j], math.Sqrt(a[j*p+j]))
		}
		copy(l, a)
		for j := 0; j < p; j++ {
			d := scale[j]
			if d == 0 {
				d = 1
			}
			l[j*p+j] += lambda * d * d
		}
		if !cholesky(l, p) {
			lambda = math.Max(lambda*10, 1e-12)
			if lambda > 1e12 {
				return Solution{}, ErrSingular
			}
			continue
		}
		for j := range step {
			step[j] = -g[j]
		}
		cholSolve(l, p, step)
		gain, size := 0.0, 0.0
		for j := range step {
			xt[j] = x[j] + step[j]
			gain -= g[j] * step[j]
			size = math.Max(size, math.Abs(step[j])*scale[j])
		}
		// A step that can change the sum by no more than rounding is the end.
		small := gain <= 1e-26*float64(n)*(1+ssq/float64(n)) || gain <= 1e-15*ssq && lambda <= 1e-3
		t := pr.normal(xt, at, gt, grad)
		if t <= ssq && !math.IsNaN(t) {
			copy(x, xt)
			a, at = at, a
			g, gt = gt, g
			ssq = t
			lambda = math.Max(lambda*0.1, 1e-14)
			if small {
				sol.Stop = "gradient"
				break
			}
			continue
		}
		if small {
			sol.Stop = "step"
			break
		}
		lambda *= 10
		if lambda > 1e16 {
			break
		}
	}
	if it == maxIterations {
		return Solution{}, fmt.Errorf("%w: %d iterations", ErrDiverged, it)
	}
	copy(l, a)
	if !cholesky(l, p) || !wellConditioned(l, a, p) {
		return Solution{}, ErrSingular
	}
	sol.Cov = make([]float64, p*p)
	col := make([]float64, p)
	for j := 0; j < p; j++ {
		clear(col)
		col[j] = 1
		cholSolve(l, p, col)
		for i := 0; i < p; i++ {
			sol.Cov[i*p+j] = col[i]
		}
	}
	sol.X, sol.SSQ, sol.DOF, sol.Iterations = x, ssq, float64(n-p), it+1
	return sol, nil
}

// normal fills a with JᵀWJ and g with JᵀWr at x and returns the sum of w r².
func (pr Problem) normal(x, a, g, grad []float64) float64 {
	clear(a)
	clear(g)
	ssq, p := 0.0, pr.P
	if pr.Prepare != nil {
		pr.Prepare(x)
	}
	for i := 0; i < pr.N; i++ {
		w := 1.0
		if pr.Weight != nil {
			if w = pr.Weight[i]; w == 0 {
				continue
			}
		}
		r := pr.Residual(x, i, grad)
		ssq += w * r * r
		for j := 0; j < p; j++ {
			if grad[j] == 0 {
				continue
			}
			wj := w * grad[j]
			g[j] += wj * r
			for k := 0; k <= j; k++ {
				a[j*p+k] += wj * grad[k]
			}
		}
	}
	for j := 0; j < p; j++ {
		for k := 0; k < j; k++ {
			a[k*p+j] = a[j*p+k]
		}
	}
	return ssq
}

// wellConditioned refuses a pivot that has lost all but 1e-11 of its diagonal:
// there the normal equations hold no digit that the points determine.
func wellConditioned(l, a []float64, p int) bool {
	for j := 0; j < p; j++ {
		if l[j*p+j]*l[j*p+j] < 1e-11*a[j*p+j] {
			return false
		}
	}
	return true
}

// cholesky factors the lower triangle of the row-major p×p matrix a in place.
func cholesky(a []float64, p int) bool {
	for j := 0; j < p; j++ {
		d := a[j*p+j]
		for k := 0; k < j; k++ {
			d -= a[j*p+k] * a[j*p+k]
		}
		if !(d > 0) {
			return false
		}
		d = math.Sqrt(d)
		a[j*p+j] = d
		for i := j + 1; i < p; i++ {
			s := a[i*p+j]
			for k := 0; k < j; k++ {
				s -= a[i*p+k] * a[j*p+k]
			}
			a[i*p+j] = s / d
		}
	}
	return true
}

// cholSolve solves L Lᵀ x = b in place.
func cholSolve(l []float64, p int, b []float64) {
	for i := 0; i < p; i++ {
		for k := 0; k < i; k++ {
			b[i] -= l[i*p+k] * b[k]
		}
		b[i] /= l[i*p+i]
	}
	for i := p - 1; i >= 0; i-- {
		for k := i + 1; k < p; k++ {
			b[i] -= l[k*p+i] * b[k]
		}
		b[i] /= l[i*p+i]
	}
}
