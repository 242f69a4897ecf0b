// Package fit associates ideal features with measured points by least squares
// on orthogonal distances (Gaussian association, ISO 10360-6).
//
// Every feature has a value type with Distance and Normal, a start that needs
// no guess (StartCylinder), the association itself (FitCylinder) and a variant
// that leaves outliers out (RobustCylinder). Lengths are in mm, but nothing
// here depends on the unit: points times k give lengths times k.
package fit

import (
	"errors"
	"fmt"
	"math"
)

// Errors of the solver and of the features.
var (
	ErrInput    = errors.New("the points are not usable")
	ErrTooFew   = errors.New("too few points for this feature")
	ErrSingular = errors.New("the points do not determine this feature")
	ErrDiverged = errors.New("the fit does not converge")
)

// Problem is a nonlinear least-squares problem in p parameters and n residuals.
//
// Residual returns residual i at x and writes its p derivatives to grad.
// Prepare, where given, is called once before the residuals at a new x.
type Problem struct {
	N, P     int
	Prepare  func(x []float64)
	Residual func(x []float64, i int, grad []float64) float64
	Weight   []float64 // one a residual, nil for all 1; the square root is not taken
	Coarse   bool      // end with a step that gains under 1e-3 of the sum, or after 30, as a search for a start does
	Brief    bool      // end with a step that gains under 1e-9 of the sum, of 16,000 points 1/250 of a standard deviation, and take it on trust; Cov is from before it
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
// the answer does not depend on the start within its basin. Where the normal
// equations have lost six digits the end is polished in QR form, which loses
// half as many.
//
// Errors: ErrTooFew, ErrSingular, ErrDiverged.
func Solve(pr Problem, x0 []float64) (Solution, error) {
	n := 0
	for i := 0; i < pr.N; i++ {
		if pr.Weight == nil || pr.Weight[i] > 0 {
			n++
		}
	}
	if n < pr.P {
		return Solution{}, fmt.Errorf("%w: %d residuals, %d parameters", ErrTooFew, n, pr.P)
	}
	s := newSearch(pr, x0, n)
	if !finite(s.ssq) {
		return Solution{}, fmt.Errorf("%w: the start has no finite residuals", ErrDiverged)
	}
	if pr.Coarse {
		return s.coarse(), nil
	}
	stop, it := "", 0
	for ; stop == "" && it < maxIterations; it++ {
		var err error
		if stop, err = s.step(); err != nil {
			return Solution{}, err
		}
	}
	if stop == "" || stop == "stalled" && !s.stationary() {
		return Solution{}, fmt.Errorf("%w: %d iterations", ErrDiverged, it)
	}
	if !pr.Brief {
		it += s.settle()
	}
	cov, err := s.covariance()
	if err != nil {
		return Solution{}, err
	}
	return Solution{X: s.x, Cov: cov, SSQ: s.ssq, DOF: float64(n - pr.P), Iterations: it, Stop: stop}, nil
}

// coarse returns where a short search ends, without a covariance. Its last step is
// taken on trust: the residuals there are not looked at.
func (s *search) coarse() Solution {
	for range 30 {
		last := s.ssq
		if gain, ok := s.propose(); ok && s.damping <= 1e-3 && gain <= coarseGain*last {
			return Solution{X: s.xt, SSQ: last - gain}
		}
		stop, err := s.step()
		if stop != "" || err != nil || s.ssq < last && last-s.ssq <= coarseGain*last {
			break
		}
	}
	return Solution{X: s.x, SSQ: s.ssq}
}

// coarseGain is the share of the sum under which a step's gain ends a short search.
const coarseGain = 1e-3

// search is the state of Solve: the best x so far with JᵀWJ (a), JᵀWr (g) and
// the sum there, and the same at the trial.
type search struct {
	pr           Problem
	n, p         int
	x, a, g      []float64
	xt, at, gt   []float64
	l, d, grad   []float64
	scale        []float64
	ssq, damping float64
}

func newSearch(pr Problem, x0 []float64, n int) *search {
	p := pr.P
	s := &search{pr: pr, n: n, p: p, damping: 1e-4}
	s.x = append([]float64(nil), x0...)
	s.a, s.at, s.l = make([]float64, p*p), make([]float64, p*p), make([]float64, p*p)
	s.g, s.gt, s.xt = make([]float64, p), make([]float64, p), make([]float64, p)
	s.d, s.grad, s.scale = make([]float64, p), make([]float64, p), make([]float64, p)
	s.ssq = pr.normal(s.x, s.a, s.g, s.grad)
	return s
}

// propose sets the trial to the next step's end and returns by how much that should
// lower the sum; ok is false where there is none at this damping.
func (s *search) propose() (gain float64, ok bool) {
	p := s.p
	copy(s.l, s.a)
	for j := 0; j < p; j++ {
		s.scale[j] = math.Max(s.scale[j], math.Sqrt(s.a[j*p+j]))
		d := s.scale[j]
		if d == 0 {
			d = 1
		}
		s.l[j*p+j] += s.damping * d * d
	}
	if !cholesky(s.l, p) {
		return 0, false
	}
	for j := range s.d {
		s.d[j] = -s.g[j]
	}
	cholSolve(s.l, p, s.d)
	for j := range s.d {
		s.xt[j] = s.x[j] + s.d[j]
		gain -= s.g[j] * s.d[j]
	}
	return gain, true
}

// step tries one step and says why the search ends, or "" to go on.
func (s *search) step() (string, error) {
	gain, ok := s.propose()
	if !ok {
		s.damping = math.Max(s.damping*10, 1e-12)
		if !(s.damping < 1e12) {
			return "", ErrSingular
		}
		return "", nil
	}
	// A step that can change the sum by no more than rounding is the end.
	least := 1e-15
	if s.pr.Brief {
		least = 1e-9
	}
	small := gain <= 1e-26*(float64(s.n)+s.ssq) || gain <= least*s.ssq && s.damping <= 1e-3
	if small && s.pr.Brief {
		s.x, s.xt, s.ssq = s.xt, s.x, s.ssq-gain
		return "gradient", nil
	}
	t := s.pr.normal(s.xt, s.at, s.gt, s.grad)
	if t <= s.ssq {
		s.accept(t)
		s.damping = math.Max(s.damping*0.1, 1e-14)
		if small {
			return "gradient", nil
		}
		return "", nil
	}
	if small {
		return "step", nil
	}
	if s.damping *= 10; s.damping > 1e16 {
		return "stalled", nil
	}
	return "", nil
}

// settle takes plain Gauss-Newton steps while each is shorter than 0.7 of the
// last: where the sum is flat to rounding (a relative 1e-16 of it is 1e-8 of a
// residual) the gradient still tells the minimum to its last digits.
func (s *search) settle() int {
	last := math.Inf(1)
	for it := range 60 { // 0.7^60 is 5e-10: with the 1e-8 above, float64's end
		copy(s.l, s.a)
		if !cholesky(s.l, s.p) || !(s.kept() > normalLost) {
			return it
		}
		for j := range s.d {
			s.d[j] = -s.g[j]
		}
		cholSolve(s.l, s.p, s.d)
		gain := 0.0
		for j := range s.d {
			s.xt[j] = s.x[j] + s.d[j]
			gain -= s.g[j] * s.d[j]
		}
		if !(gain < 0.49*last) || gain <= 1e-28*s.ssq || gain <= 1e-30*float64(s.n) {
			return it
		}
		t := s.pr.normal(s.xt, s.at, s.gt, s.grad)
		if !(t <= s.ssq*(1+1e-12)) {
			return it
		}
		s.accept(t)
		last = gain
	}
	return 60
}

// accept makes the trial the best.
func (s *search) accept(t float64) {
	s.x, s.xt = s.xt, s.x
	s.a, s.at = s.at, s.a
	s.g, s.gt = s.gt, s.g
	s.ssq = t
}

// stationary tells whether the residuals are orthogonal to the columns of the
// Jacobian to 1e-6, the cosine that rounding leaves at a minimum in float64.
func (s *search) stationary() bool {
	for j, g := range s.g {
		if !(math.Abs(g) <= 1e-6*math.Sqrt(s.a[j*s.p+j]*s.ssq)+1e-26) {
			return false
		}
	}
	return true
}

// normal fills a with JᵀWJ and g with JᵀWr at x and returns the sum of w r².
func (pr Problem) normal(x, a, g, grad []float64) float64 {
	clear(a)
	clear(g)
	if pr.Prepare != nil {
		pr.Prepare(x)
	}
	ssq, p := 0.0, pr.P
	for i := 0; i < pr.N; i++ {
		w := 1.0
		if pr.Weight != nil {
			if w = pr.Weight[i]; w == 0 {
				continue
			}
		}
		r := pr.Residual(x, i, grad)
		ssq += w * r * r
		for j, gj := range grad[:p] {
			if gj == 0 {
				continue
			}
			wj := w * gj
			g[j] += wj * r
			row := a[j*p:][:j+1]
			for k, gk := range grad[:len(row)] {
				row[k] += wj * gk
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

func finite(x float64) bool { return x-x == 0 }
