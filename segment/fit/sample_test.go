package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// A score is refused exactly where it is not under the least, with outliers and
// without.
func TestScoreUnder(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	refused := 0
	for _, kept := range []int{65, 100} {
		s := &sample{kept: kept}
		for range 100 {
			s.at = append(s.at, r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64()})
		}
		d2 := make([]float64, len(s.at))
		for range 200 {
			f := flatCircle{roundAxis{point: r3.Vec{X: rng.NormFloat64()}, radius: 2 * rng.Float64()}}
			want := s.score(f, d2)
			for _, least := range []float64{math.Inf(1), 1.001 * want, want, 0.9 * want, 0.1 * want} {
				got := s.scoreUnder(least, f, d2)
				if want < least {
					require.Equal(t, want, got)
				} else {
					require.True(t, math.IsInf(got, 1))
					refused++
				}
			}
		}
	}
	require.Equal(t, 2*200*3, refused)
}
