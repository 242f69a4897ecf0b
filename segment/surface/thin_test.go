package surface

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestThinned holds what stands for the points of a ball: near them, joined like
// them, and off its sphere no more to one side than they are.
func TestThinned(t *testing.T) {
	const noise, k = 0.05, 6
	f, _, _ := scanned(t, synthetic.Sphere{DiameterMM: 30}, 0.4, noise)
	c, of := f.thinned(len(f.P) / k)
	require.Len(t, of, len(f.P))
	n := len(c.P)
	require.InDelta(t, len(f.P)/k, n, 0.25*float64(n))
	centre := mean(f.P)
	side := 0.0
	for d, q := range c.P {
		out := r3.Sub(q, centre)
		side += (r3.Norm(out) - 15) / float64(n)
		require.Greater(t, r3.Dot(c.N[d], r3.Unit(out)), 0.9)
		for _, g := range c.near(int32(d)) {
			require.NotEqual(t, int32(d), g)
			require.Contains(t, c.near(g), int32(d))
		}
	}
	// Noise along the normal is about half of a vertex's; 0.01 is the sag of facets.
	require.InDelta(t, 0, side, 4*noise/math.Sqrt(float64(n))+0.01)
	for i, d := range of {
		require.Less(t, r3.Norm(r3.Sub(f.P[i], c.P[d])), 2*math.Sqrt(k)*f.SpacingMM)
	}
	same, of := f.thinned(len(f.P)/2 + 1)
	require.Nil(t, of)
	require.Same(t, f, same)
}

// TestThinnedFind holds that surfaces found on a part of the points are those of
// all, with every facet.
func TestThinnedFind(t *testing.T) {
	f, facets, patch := scanned(t, synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 15, LengthMM: 30}, 0.4, 0.03)
	opt := DefaultOptions()
	opt.Points = len(f.P) / 5
	found, label, err := findOnMesh(context.Background(), f, opt)
	require.NoError(t, err)
	require.Len(t, label, len(f.P))
	var types []string
	for _, s := range found {
		types = append(types, Type(s.Ideal))
	}
	assert.Equal(t, []string{"cylinder", "cylinder", "plane", "plane"}, types)
	truth := make([]int, len(patch))
	for i, k := range patch {
		truth[i] = int(k)
	}
	assert.Greater(t, overlap(truth, FacetLabels(label, facets)), 0.97)
}
