package fitup

import (
	"context"
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// settledMM is the step, in any unknown, under which nothing more is to be done.
const settledMM = 1e-5

// Shares of a relation's row below which it counts as following from others:
// while parts still lie off by the scan's tilt, rows that will depend on each
// other do so only roughly.
const (
	followsFirst = 0.05
	followsLast  = 1e-4
	followsSteps = 4
)

// settle takes Gauss-Newton steps until nothing moves; it tells whether that was
// reached.
func (m *model) settle(ctx context.Context) (bool, error) {
	if m.unknowns == 0 {
		return true, nil
	}
	for step := range m.opt.Steps {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		share := followsFirst
		if step >= followsSteps {
			share = followsLast
		}
		dx, err := m.step(share)
		if err != nil {
			return false, err
		}
		most := 0.0
		for _, x := range dx {
			most = max(most, math.Abs(x))
		}
		if most < settledMM && step >= followsSteps {
			return true, nil
		}
		m.take(shortened(dx, most, m.stepMostMM()))
	}
	return false, nil
}

// stepMostMM bounds a step: what stock changes is far less.
func (m *model) stepMostMM() float64 {
	l := 0.0
	for _, b := range m.bodies {
		l = max(l, b.reachMM)
	}
	return 0.1 * l
}

func shortened(dx []float64, most, limit float64) []float64 {
	if most <= limit {
		return dx
	}
	out := make([]float64, len(dx))
	for i := range dx {
		out[i] = dx[i] * limit / most
	}
	return out
}

var errSingular = errors.New("fit-up: the equations have no answer; a size or place is out of all measure")

// step solves for one step: least squares of contacts and motion under the bounds,
// with H = Σ w² v vᵀ and g = Σ w² v value:
//
//	H dx + Cᵀλ = -g,  C dx = -c  ⇒  (C H⁻¹ Cᵀ) λ = c - C H⁻¹ g
func (m *model) step(share float64) ([]float64, error) {
	h, g := m.normal(append(m.rows(), m.motion()...))
	bounds := independent(m.bounds(), m.unknowns, share)
	dx, _, err := solve(h, g, bounds)
	return dx, err
}

func (m *model) normal(rows []row) (*mat.SymDense, *mat.VecDense) {
	n := m.unknowns
	h, g := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	raw := h.RawSymmetric()
	for _, r := range rows {
		w := r.weight * r.weight
		for i, a := range r.idx {
			g.SetVec(a, g.AtVec(a)+w*r.val[i]*r.value)
			for j, b := range r.idx {
				if b >= a {
					raw.Data[a*raw.Stride+b] += w * r.val[i] * r.val[j]
				}
			}
		}
	}
	return h, g
}

// solve returns the step and the forces λ of the bounds.
func solve(h *mat.SymDense, g *mat.VecDense, bounds []bound) (dx, force []float64, err error) {
	n := h.SymmetricDim()
	var chol mat.Cholesky
	if !chol.Factorize(h) {
		return nil, nil, errSingular
	}
	x := mat.NewVecDense(n, nil)
	if err := chol.SolveVecTo(x, g); err != nil && !conditioned(err) {
		return nil, nil, errSingular
	}
	x.ScaleVec(-1, x)
	k := len(bounds)
	if k == 0 {
		return x.RawVector().Data, nil, nil
	}
	c, rest := mat.NewDense(k, n, nil), mat.NewVecDense(k, nil)
	for i, b := range bounds {
		sum := b.value
		for j, u := range b.idx {
			c.Set(i, u, c.At(i, u)+b.val[j])
			sum += b.val[j] * x.AtVec(u)
		}
		rest.SetVec(i, sum) // c - C H⁻¹ g
	}
	var y, schur mat.Dense
	if err := chol.SolveTo(&y, c.T()); err != nil && !conditioned(err) {
		return nil, nil, errSingular
	}
	schur.Mul(c, &y)
	sym := mat.NewSymDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			sym.SetSym(i, j, (schur.At(i, j)+schur.At(j, i))/2)
		}
	}
	var of mat.Cholesky
	if !of.Factorize(sym) {
		return nil, nil, errSingular
	}
	lambda := mat.NewVecDense(k, nil)
	if err := of.SolveVecTo(lambda, rest); err != nil && !conditioned(err) {
		return nil, nil, errSingular
	}
	var push mat.VecDense
	push.MulVec(&y, lambda)
	x.SubVec(x, &push)
	for _, v := range x.RawVector().Data {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, nil, errSingular
		}
	}
	return x.RawVector().Data, lambda.RawVector().Data, nil
}

// conditioned tells gonum's warning that digits are lost from a failure: the next
// step takes up what is left.
func conditioned(err error) bool {
	var c mat.Condition
	return errors.As(err, &c)
}
