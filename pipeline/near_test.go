package pipeline

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// TestFacetDistance holds the distance from a triangle against a dense sampling
// of it, and that a box out of reach is passed over.
func TestFacetDistance(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 0))
	at := func(k float64) r3.Vec {
		return r3.Vec{X: k * rng.NormFloat64(), Y: k * rng.NormFloat64(), Z: k * rng.NormFloat64()}
	}
	for range 200 {
		a, b, c, q := at(1), at(1), at(1), at(2)
		got := math.Sqrt(facetDistance2(q, a, b, c, math.Inf(1)))
		const n = 120
		near := math.Inf(1)
		for i := range n + 1 {
			for k := range n + 1 - i {
				u, v := float64(i)/n, float64(k)/n
				p := r3.Add(r3.Scale(1-u-v, a), r3.Add(r3.Scale(u, b), r3.Scale(v, c)))
				near = min(near, r3.Norm(r3.Sub(p, q)))
			}
		}
		require.LessOrEqual(t, got, near+1e-12)
		require.InDelta(t, near, got, 0.05, "the sampling's step")
		require.True(t, math.IsInf(facetDistance2(q, a, b, c, 1e-9*got), 1) || got < 1e-3 || facetDistance2(q, a, b, c, 1e-9*got) >= 1e-9*got)
	}
	a, b, c := r3.Vec{}, r3.Vec{X: 100}, r3.Vec{Y: 100}
	require.Equal(t, 4.0, facetDistance2(r3.Vec{X: 30, Y: 30, Z: 2}, a, b, c, 25), "amid a large facet, far from its corners")
	require.Equal(t, 9.0, facetDistance2(r3.Vec{X: -3}, a, a, a, 25), "a facet of no area")
}
