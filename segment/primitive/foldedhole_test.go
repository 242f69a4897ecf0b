package primitive

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestHoleOfFoldedRim: a rim that folds back over a few points is cut in two steps, of
// which one is an arc all round; the hole is round, and so are its edge and area.
func TestHoleOfFoldedRim(t *testing.T) {
	const r, n = 6.0, 116
	var w wallLoop
	for k := range n {
		s, c := math.Sincos(2 * math.Pi * float64(k) / n)
		w.Chain = append(w.Chain, [2]float64{r * c, r * s})
		if k == 40 { // back by two points, and on again
			for _, b := range []float64{39.2, 38.1, 39.4} {
				s, c := math.Sincos(2 * math.Pi * b / n)
				w.Chain = append(w.Chain, [2]float64{(r + 0.06) * c, (r + 0.06) * s})
			}
		}
		off := r + 0.005*float64(k*7%5-2)
		w.Point, w.Normal = append(w.Point, [2]float64{off * c, off * s}), append(w.Normal, [2]float64{-c, -s})
	}
	w.AreaMM2, w.Hole = polygonAreaMM2(w.Chain), true
	var c plate
	c.z = [2]float64{-2, 2}
	c.fitHoles(&Patch{NoiseMM: 0.01, EdgeMM: 0.3, SizeMM: 50}, []wallLoop{w}, association{RMSMM: 0.01})
	require.Len(t, c.inner, 1)
	h := c.inner[0]
	require.False(t, h.outline.Circle)
	assert.Equal(t, "round", h.hole.Shape)
	for k := range 24 {
		s, co := math.Sincos(float64(k) * math.Pi / 12)
		assert.InDelta(t, 0.1, h.line.distance((r+0.1)*co, (r+0.1)*s), 0.02)
	}
	assert.InEpsilon(t, -math.Pi*r*r, c.netMM2, 1e-3)
}

// TestHoleOfNoArc: specks of wall in a row, an arc of any radius, are no hole.
func TestHoleOfNoArc(t *testing.T) {
	for seed := range uint64(700) {
		r := rand.New(rand.NewPCG(seed, 1))
		var w wallLoop
		n := 4 + r.IntN(20)
		for k := range n {
			w.Chain = append(w.Chain, [2]float64{0.05 * r.NormFloat64(), 6 * float64(k) / float64(n)})
		}
		w.AreaMM2, w.Hole = polygonAreaMM2(w.Chain), true
		var c plate
		c.z = [2]float64{-2, 2}
		c.fitHoles(&Patch{NoiseMM: 0.03, EdgeMM: 0.5, SizeMM: 50}, []wallLoop{w}, association{RMSMM: 0.03})
		for _, h := range c.inner {
			assert.LessOrEqual(t, h.hole.DiameterMM, 6.1*holeSpan)
		}
	}
}
