package fit

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Products and updates of the lower half are those of the whole matrix, from any row
// on, whether rows pair up or one is left over.
func TestLowerHalves(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 5))
	for _, n := range []int{1, 2, 3, 7, 12} {
		for first := range n {
			a, whole := make(lower, n), make([][]float64, n)
			for i := range a {
				a[i], whole[i] = make([]float64, i+1), make([]float64, n)
			}
			x, w := make([]float64, n), make([]float64, n)
			for i := range a {
				x[i], w[i] = rng.NormFloat64(), rng.NormFloat64()
				for j := range a[i] {
					a[i][j] = rng.NormFloat64()
					whole[i][j], whole[j][i] = a[i][j], a[i][j]
				}
			}
			y := make([]float64, n)
			a.times(first, x, y)
			for i := range n {
				want := 0.0
				for j := first; j < n && i >= first; j++ {
					want += whole[i][j] * x[j]
				}
				require.InDelta(t, want, y[i], 1e-12, "row %d of %d from %d", i, n, first)
			}
			a.subtract(first, x, w)
			for i := range a {
				for j := range a[i] {
					want := whole[i][j]
					if j >= first {
						want -= x[i]*w[j] + w[i]*x[j]
					}
					require.InDelta(t, want, a[i][j], 1e-12, "%d, %d of %d from %d", i, j, n, first)
				}
			}
		}
	}
}

// A covariance of unit noise spreads to the parameters as PᵀaP, summed one by one.
func TestSpread(t *testing.T) {
	a := lower{{2}, {0.5, 3}, {-1, 0.25, 4}}
	push := [][]float64{{1, 2, 3}, {-1, 0, 2}}
	// a·(1,2,3) = (0, 7.25, 11.5), a·(-1,0,2) = (-4, 0, 9)
	require.InDeltaSlice(t, []float64{49, 23, 23, 22}, a.spreadTo(push), 1e-12)
}
