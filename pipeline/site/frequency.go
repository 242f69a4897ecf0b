package site

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// FrequenciesHz returns the lowest frequencies of the unloaded frame, rising, at
// most count, fewer where the mass has fewer ways to move. N/mm over kg is 1000/s².
func (f *Frame) FrequenciesHz(count int) ([]float64, error) {
	values, err := f.highest(f.weight, count, max(2*count, count+8), 1e-9)
	if err != nil {
		return nil, err
	}
	return hertz(values, count), nil
}

// highest are the highest values of weight over stiffness, falling, at least count
// where the weight has so many ways; the search goes on in size ways until none of them changes by
// more than a share.
//
// Subspace iteration (Bathe and Wilson, Numerical Methods in Finite Element
// Analysis (1976), ch. 12, from memory) in the metric of the stiffness, so that ways
// without weight do no harm.
func (f *Frame) highest(weight *mat.SymBandDense, count, size int, share float64) ([]float64, error) {
	size = min(f.n, size)
	if size == 0 || count <= 0 {
		return nil, nil
	}
	random := rand.New(rand.NewPCG(1, 2)) // where the search starts; the answer does not depend on it
	x := mat.NewDense(f.n, size, nil)
	for i := range f.n {
		for j := range size {
			x.Set(i, j, random.Float64()-0.5)
		}
	}
	var last []float64
	for range 300 {
		x = f.softened(weight, x)
		if x == nil {
			return nil, nil // no weight
		}
		values, vectors, err := f.ritz(weight, x)
		if err != nil {
			return nil, err
		}
		var turned mat.Dense
		turned.Mul(x, vectors)
		x = &turned
		if settled(last, values, count, share) {
			return values, nil
		}
		last = values
	}
	return nil, errors.New("the search for frequencies, or for the load that buckles, did not settle")
}

// softened solves stiffness·y = weight·x and makes the columns of y orthonormal in
// the stiffness, twice (Gram and Schmidt); dependent ones are dropped. Nil if none is left.
func (f *Frame) softened(weight *mat.SymBandDense, x *mat.Dense) *mat.Dense {
	_, cols := x.Dims()
	var kept, stiff []*mat.VecDense
	for j := range cols {
		b, y, ky := mat.NewVecDense(f.n, nil), mat.NewVecDense(f.n, nil), mat.NewVecDense(f.n, nil)
		weight.MulVecTo(b, false, x.ColView(j))
		f.solve(y, b)
		ky.CopyVec(b)
		for pass := range 2 {
			if pass > 0 {
				f.stiff.MulVecTo(ky, false, y)
			}
			norm := math.Sqrt(max(mat.Dot(y, ky), 0))
			if norm == 0 || pass > 0 && norm < 1e-9 {
				y = nil
				break
			}
			y.ScaleVec(1/norm, y)
			ky.ScaleVec(1/norm, ky)
			for i := range kept {
				along := mat.Dot(stiff[i], y)
				y.AddScaledVec(y, -along, kept[i])
				ky.AddScaledVec(ky, -along, stiff[i])
			}
		}
		if y != nil {
			kept, stiff = append(kept, y), append(stiff, ky)
		}
	}
	if len(kept) == 0 {
		return nil
	}
	out := mat.NewDense(f.n, len(kept), nil)
	for j, k := range kept {
		out.SetCol(j, k.RawVector().Data)
	}
	return out
}

// ritz solves the small problem: eigenvalues of the weight, falling, and vectors.
func (f *Frame) ritz(weight *mat.SymBandDense, x *mat.Dense) ([]float64, *mat.Dense, error) {
	_, cols := x.Dims()
	small := mat.NewSymDense(cols, nil)
	for j := range cols {
		mx := mat.NewVecDense(f.n, nil)
		weight.MulVecTo(mx, false, x.ColView(j))
		for i := range j + 1 {
			small.SetSym(i, j, mat.Dot(x.ColView(i), mx))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(small, true) {
		return nil, nil, errors.New("the small problem of frequencies or of buckling has no answer")
	}
	var v mat.Dense
	eigen.VectorsTo(&v)
	values, falling := eigen.Values(nil), mat.NewDense(cols, cols, nil)
	slices.Reverse(values)
	for j := range cols {
		falling.SetCol(j, mat.Col(nil, cols-1-j, &v))
	}
	return values, falling, nil
}

// settled asks of every value that is wanted that it changed by no more than a share.
func settled(last, now []float64, count int, share float64) bool {
	if len(last) != len(now) {
		return false
	}
	for i := range min(count, len(now)) {
		if math.Abs(now[i]-last[i]) > share*now[i] {
			return false
		}
	}
	return true
}

func hertz(values []float64, count int) []float64 {
	var out []float64
	for _, v := range values[:min(count, len(values))] {
		if v > 1e-14*values[0] {
			out = append(out, math.Sqrt(1000/v)/(2*math.Pi))
		}
	}
	return out
}
