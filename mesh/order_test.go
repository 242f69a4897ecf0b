package mesh

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// The sort by words against a comparison sort: long runs of equal x and y, both
// signs, both zeros, the ends of the range.
func TestRankPoints(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	values := []float32{0, float32(math.Copysign(0, -1)), 1, -1, math.MaxFloat32, -math.MaxFloat32, math.SmallestNonzeroFloat32, -math.SmallestNonzeroFloat32, 3.5}
	for _, n := range []int{0, 1, 100, 5000} {
		points := make([][3]float32, n)
		for i := range points {
			for k := range 3 {
				points[i][k] = values[r.IntN(len(values))]
				if k == 2 && i%2 == 0 {
					points[i][k] = float32(r.NormFloat64())
				}
			}
		}
		vertex, distinct := rankPoints(points)
		want := slices.Clone(points)
		slices.SortFunc(want, func(a, b [3]float32) int { return comparePoints(a, b, 0) })
		want = slices.Compact(want) // == takes both zeros for one
		require.True(t, slices.Equal(want, distinct))
		for i, v := range vertex {
			require.True(t, points[i] == distinct[v])
		}
	}
}
