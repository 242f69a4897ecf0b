package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A clean coarse mesh: every point is a corner, and the answer is the points.
func TestOutlineOfCornersOnly(t *testing.T) {
	opt := DefaultOutlineOptions()
	opt.NoiseMM = 0
	for name, p := range map[string][][2]float64{
		"rectangle": {{0, 0}, {40, 0}, {40, 25}, {0, 25}},
		"triangle":  {{0, 0}, {30, 0}, {10, 22}},
		"hexagon":   {{10, 0}, {5, 8.660254037844386}, {-5, 8.660254037844386}, {-10, 0}, {-5, -8.660254037844386}, {5, -8.660254037844386}},
		"angle":     {{0, 0}, {40, 0}, {40, 5}, {5, 5}, {5, 30}, {0, 30}},
	} {
		o, err := FitOutline(p, nil, nil, opt)
		require.NoError(t, err, name)
		require.Len(t, o.Steps, len(p), name)
		assert.InDelta(t, outlinePolygonArea(p), o.Area(), 1e-9, name)
	}
}

// The accuracy that a user may count on: 40 mm plates, 0.03 mm noise, 1 mm
// spacing, corners rounded by 0.3 mm. Limits: 0.03 mm median, 0.08 mm worst.
func TestOutlinePlateSize(t *testing.T) {
	opt := DefaultOutlineOptions()
	opt.NoiseMM = 0.03
	var errs []float64
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 11))
		truth := turnedOutline(truthOutline([][2]float64{{0, 0}, {40, 0}, {40, 26}, {0, 26}}, nil), between(rng, 0, 6), [2]float64{30, -20})
		o, err := FitOutline(scanOutline(truth, 1, 0.03, 0.3, rng), nil, nil, opt)
		require.NoError(t, err)
		require.Len(t, o.Steps, 4)
		r := SmallestRectangle(o)
		errs = append(errs, math.Abs(r.LengthMM-40), math.Abs(r.WidthMM-26))
	}
	assert.Less(t, outlineMedian(errs), 0.03)
	assert.Less(t, errs[len(errs)-1], 0.08) // outlineMedian sorts
}
