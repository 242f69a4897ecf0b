package pipeline

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/result"
)

// TestSolidsOfDemo: every element of the demo has a closed solid whose surface
// lies on the fitted one, as far as the noise and the corners that are cut allow;
// the wheel with round seats, whose flanks are not known, within 1 mm on the
// maquette.
func TestSolidsOfDemo(t *testing.T) {
	j, path, _ := demo(t)
	w, err := measure(context.Background(), j, path, newKeeper("", "", true), nil)
	require.NoError(t, err)
	pieces, findings := w.solids(w.scannedParts(), true)
	require.Empty(t, findings)
	require.Len(t, pieces, len(w.elements))
	for i, p := range pieces {
		e := &w.elements[i]
		assert.Equal(t, e.id, p.Mark)
		_, _, off, err := w.nearestSolid(w.partAtSite(e), e)
		require.NoError(t, err)
		limit := 0.2 * w.scaled.Ratio
		if e.Kind == "toothed_wheel" {
			limit = 1 * w.scaled.Ratio
		}
		assert.Less(t, off, limit, "%s %s", e.id, e.Kind)
		for _, n := range p.Notes {
			assert.False(t, strings.Contains(n, "leaves") && e.Kind != "toothed_wheel", "%s: %s", e.id, n)
		}
	}
	mast := pieces[2] // by hand: 180 × 15 mm tube, 5 m long
	require.Equal(t, "mast", mast.Name)
	assert.InEpsilon(t, math.Pi/4*(180*180-150*150)*5000, mast.Shape.VolumeMM3(), 1e-3)
	p := r3.Vec{X: 12, Y: -7, Z: 33}
	assert.Less(t, r3.Norm(r3.Sub(p, w.scanPoint(w.scaled.SiteMM(p)))), 1e-9)
	patternsOfDemo(t, w)
}

// patternsOfDemo: what goes to the floor is written for every kind that is cut,
// bent or set out, the same bytes every time; what cannot be drawn is told.
func patternsOfDemo(t *testing.T, w *work) {
	var sums [2]map[string]string
	for i := range sums {
		folder, err := result.OpenFolder(t.TempDir())
		require.NoError(t, err)
		defer folder.Abort()
		findings, err := w.writePatterns(folder, w.metal.assembly.Parts, w.metal.contacts)
		require.NoError(t, err)
		require.Empty(t, findings)
		sums[i] = folder.Sums()
	}
	require.Equal(t, sums[0], sums[1])
	for _, name := range []string{"E01.dxf", "E01.svg", "E02.dxf", "E04-bend-1.svg", "E05-on-E03.pdf", "E05-on-E03-hole.dxf", "E11-jig.dxf", "E17-end-1.pdf",
		"sheet-PL-60-1.dxf", "flat.csv", "bends.csv", "teeth.csv", "saddles.csv"} {
		assert.NotEmpty(t, sums[0]["patterns/"+name], name)
	}
}
