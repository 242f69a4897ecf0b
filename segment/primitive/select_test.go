package primitive

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Selection against sorting, of lists in the orders that scans have.
func TestQuantileOfSorted(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	order := map[string]func(i, n int) float64{
		"random":     func(int, int) float64 { return rng.NormFloat64() },
		"rising":     func(i, _ int) float64 { return float64(i) },
		"falling":    func(i, _ int) float64 { return -float64(i) },
		"there":      func(i, n int) float64 { return float64(min(i, n-i)) },
		"few":        func(int, int) float64 { return float64(rng.IntN(3)) },
		"the same":   func(int, int) float64 { return 7 },
		"to and fro": func(i, _ int) float64 { return float64(i%100) + float64(i%7)/10 },
	}
	for name, at := range order {
		for _, n := range []int{1, 2, 3, 10, 1001, 20000} {
			v := make([]float64, n)
			var s weighted
			for i := range v {
				v[i] = at(i, n)
				s.add(v[i], float64(1+i%3)) // whole weights: sums are exact in any order
			}
			sorted := slices.Sorted(slices.Values(v))
			for _, q := range []float64{0, 0.002, 0.31, 0.5, 0.68, 0.998, 1} {
				x := q * float64(n-1)
				want := sorted[int(x)]
				if i := int(x); i+1 < n {
					want += (x - float64(i)) * (sorted[i+1] - want)
				}
				require.Equal(t, want, quantile(v, q), "%s, %d, %g", name, n, q)
				byWeight := slices.Clone(s.v)
				slices.SortFunc(byWeight, func(a, b weightedValue) int { return cmp.Compare(a.x, b.x) })
				require.Equal(t, weightedBySorting(byWeight, q*s.total), s.quantile(q), "%s, %d, %g", name, n, q)
			}
		}
	}
}

func weightedBySorting(v []weightedValue, least float64) float64 {
	sum := 0.0
	for _, y := range v {
		if sum += y.w; sum >= least {
			return y.x
		}
	}
	return v[len(v)-1].x
}
