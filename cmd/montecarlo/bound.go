package main

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// ideal is a shape as a function of parameters: the signed distance of a point
// from each of its surfaces, outward positive, and the dimensions that follow.
type ideal struct {
	truth    []float64
	distance func(x []float64, p r3.Vec) []float64
	dims     map[string]func(x []float64) float64
}

// edgeShare of the facet's edge is how near a surface must be for a clean vertex
// to lie on it: far above rounding, far below any facet.
const edgeShare = 1e-6

// boundsOf returns the Cramér-Rao bound of each dimension: the square root of
// g'(J'J)⁻¹g times the noise, J the derivatives of the clean vertices' distances
// by the parameters, g those of the dimension, both by central differences.
//
// Noise is independent along x, y and z, so that a vertex on an edge of the
// piece tells of each of its surfaces for itself. Where edges is false such
// vertices are left out: where edges are rounded, or it is not known which
// vertices lie on them, they tell nothing.
func boundsOf(s specimen, edges bool) (map[string]float64, error) {
	shell, err := meshOf(s)
	if err != nil {
		return nil, err
	}
	n := len(s.ideal.truth)
	info := mat.NewSymDense(n, nil)
	row := mat.NewVecDense(n, nil)
	for _, p := range shell.Points {
		on := surfacesOf(s.ideal.distance(s.ideal.truth, p), edgeShare*s.edgeMM)
		if len(on) > 1 && !edges {
			continue
		}
		for _, at := range on {
			for j, d := range slopes(s.ideal.truth, func(x []float64) float64 { return s.ideal.distance(x, p)[at] }) {
				row.SetVec(j, d)
			}
			info.SymRankOne(info, 1, row)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(info) {
		return nil, fmt.Errorf("%s: the vertices do not fix all parameters; give the piece more facets", s.name)
	}
	out := map[string]float64{}
	var half mat.VecDense
	for key, dim := range s.ideal.dims {
		g := mat.NewVecDense(n, slopes(s.ideal.truth, dim))
		if err := chol.SolveVecTo(&half, g); err != nil {
			return nil, fmt.Errorf("%s: %s: %w", s.name, key, err)
		}
		out[key] = noiseMM * math.Sqrt(mat.Dot(g, &half))
	}
	return out, nil
}

func meshOf(s specimen) (synthetic.Shell, error) { return synthetic.Mesh(s.shape, s.edgeMM) }

// surfacesOf lists the surfaces that a clean vertex lies on: two on an edge.
func surfacesOf(distance []float64, within float64) (on []int) {
	for i, d := range distance {
		if math.Abs(d) < within {
			on = append(on, i)
		}
	}
	return on
}

// slopes are the derivatives of f at x. The step of 1e-5 leaves some 1e-10 of
// rounding and of curvature.
func slopes(x []float64, f func([]float64) float64) []float64 {
	const step = 1e-5
	out, y := make([]float64, len(x)), append([]float64(nil), x...)
	for j := range x {
		y[j] = x[j] + step
		hi := f(y)
		y[j] = x[j] - step
		out[j] = (hi - f(y)) / (2 * step)
		y[j] = x[j]
	}
	return out
}
