package pipeline

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestHistogramOfANormalDeviation: of a normal distribution 68.27 % lie within one
// standard deviation and 99.73 % within three (e.g. NIST/SEMATECH e-Handbook of
// Statistical Methods, 1.3.6.7.1), and as much on each side of zero.
func TestHistogramOfANormalDeviation(t *testing.T) {
	const n, sigma, ratio = 200000, 0.04, 10
	r := rand.New(rand.NewPCG(1, 2))
	e := &element{}
	for range n {
		e.DeviationMM = append(e.DeviationMM, sigma*r.NormFloat64())
		e.vertexMM2 = append(e.vertexMM2, 0.3)
	}
	h := newDeviation(e, ratio, 3).histogram
	require.Len(t, h.shares, histogramBins)
	assert.InDelta(t, 1.2, h.edgesMM[histogramBins], 1e-12, "1.5 × 1.96 × 0.4 mm, rounded up")
	sum, one, right := h.below+h.above, 0.0, h.above
	for i, s := range h.shares {
		sum += s
		if math.Max(math.Abs(h.edgesMM[i]), math.Abs(h.edgesMM[i+1])) <= 0.4+1e-9 {
			one += s
		}
		if h.edgesMM[i] >= 0 {
			right += s
		}
	}
	assert.InDelta(t, 1, sum, 1e-9)
	assert.InDelta(t, 0.6827, one, 0.004)
	assert.InDelta(t, 0.5, right, 0.004)
	assert.InDelta(t, 1-0.9973, h.below+h.above, 0.001)
}

func TestRoundUp(t *testing.T) {
	for x, want := range map[float64]float64{0: 0.01, 0.011: 0.012, 1: 1, 1.01: 1.2, 2.1: 3, 8.1: 10, 97: 100} {
		assert.InDelta(t, want, roundUp(x), 1e-12, "%v", x)
	}
}
