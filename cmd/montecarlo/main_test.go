package main

import (
	"bytes"
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestBoundByHand holds the bound of a thickness against the textbook's: two
// faces of n vertices each, spread about the axis, fix it to σ√(2/n), since the
// common lean and the thickness are uncorrelated; that of a radius by the wall
// alone is σ/√n.
func TestBoundByHand(t *testing.T) {
	s := specimens()[2]
	require.Equal(t, "disc", s.name)
	bounds, err := boundsOf(s, false)
	require.NoError(t, err)
	low, high, wall := counted(t, s)
	assert.InEpsilon(t, noiseMM*math.Sqrt(1/low+1/high), bounds["thickness_mm"], 0.01)
	assert.InEpsilon(t, 2*noiseMM/math.Sqrt(wall), bounds["outside_diameter_mm"], 0.01)
	all, err := boundsOf(s, true)
	require.NoError(t, err)
	for key, b := range bounds {
		assert.Less(t, all[key], b, "%s: more vertices, less doubt", key)
	}
}

func counted(t *testing.T, s specimen) (low, high, wall float64) {
	shell, err := meshOf(s)
	require.NoError(t, err)
	count := make([]float64, 3)
	for _, p := range shell.Points {
		if on := surfacesOf(s.ideal.distance(s.ideal.truth, p), edgeShare*s.edgeMM); len(on) == 1 {
			count[on[0]]++
		}
	}
	return count[1], count[2], count[0]
}

// TestIdealsMatchShapes holds that each clean vertex lies on a surface of the
// parametrised shape, so that the bound is that of the piece scanned.
func TestIdealsMatchShapes(t *testing.T) {
	for _, s := range specimens() {
		if s.ideal == nil {
			continue
		}
		shell, err := meshOf(s)
		require.NoError(t, err)
		for _, p := range shell.Points {
			least := math.Inf(1)
			for _, d := range s.ideal.distance(s.ideal.truth, p) {
				least = min(least, math.Abs(d))
			}
			require.Less(t, least, 1e-9, s.name)
		}
	}
}

func TestSameOnAnyCores(t *testing.T) {
	run := func(cores int) string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		var b bytes.Buffer
		_, err := command(context.Background(), []string{"-seeds", "10", "-kind", "bar"}, &b)
		require.NoError(t, err)
		return b.String()
	}
	assert.Equal(t, run(1), run(3))
}

func TestRefusals(t *testing.T) {
	for name, args := range map[string][]string{
		"kind":  {"-kind", "cube"},
		"seeds": {"-seeds", "1"},
		"word":  {"tube"},
		"flag":  {"-fast"},
	} {
		_, err := command(context.Background(), args, &bytes.Buffer{})
		assert.Error(t, err, name)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := command(ctx, []string{"-seeds", "10"}, &bytes.Buffer{})
	assert.ErrorIs(t, err, context.Canceled)
}
