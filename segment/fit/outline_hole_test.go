package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Holes of 3 to 20 mm as a scan shows them: points every 0.4 to 0.8 mm, 0.02 mm
// noise, corners rounded by 0.2 mm. The sizes are those drawn.
func TestClassifyHole(t *testing.T) {
	opt := DefaultOutlineOptions()
	right, n := 0, 0
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 3))
		long := between(rng, 6, 20)
		short := long * between(rng, 0.4, 0.8)
		box := [][2]float64{{0, 0}, {long, 0}, {long, short}, {0, short}}
		for _, c := range []struct {
			shape       string
			o           Outline
			long, short float64
		}{
			{"round", Outline{Steps: []Step{{To: [2]float64{-short, 0}, Via: [2]float64{0, short}, Arc: true}, {To: [2]float64{short, 0}, Via: [2]float64{0, -short}, Arc: true}}}, 2 * short, 2 * short},
			{"slot", truthSlot(long, short), long, short},
			{"rectangle", truthOutline(box, nil), long, short},
			{"rectangle", truthOutline(box, []float64{short / 6, short / 6, short / 6, short / 6}), long, short},
			{"diamond", truthOutline([][2]float64{{long / 2, 0}, {0, short / 2}, {-long / 2, 0}, {0, -short / 2}}, nil), long, short},
			{"other", truthOutline([][2]float64{{0, 0}, {long, 0}, {long / 3, short}}, nil), 0, 0},
		} {
			o := turnedOutline(c.o, between(rng, 0, 6), [2]float64{5, -8})
			f, err := FitOutline(scanOutline(o, between(rng, 0.4, 0.8), 0.02, 0.2, rng), nil, nil, opt)
			require.NoError(t, err, c.shape)
			h := ClassifyHole(f)
			n++
			if h.Shape != c.shape {
				t.Logf("seed %d: %s taken for %s: %d steps", seed, c.shape, h.Shape, len(f.Steps))
				continue
			}
			right++
			if h.Shape == "round" {
				assert.InDelta(t, c.long, h.DiameterMM, 0.03)
			} else if c.long > 0 {
				assert.InDelta(t, c.long, h.LongMM, 0.1, "%s seed %d", c.shape, seed)
				assert.InDelta(t, c.short, h.ShortMM, 0.1, "%s seed %d", c.shape, seed)
			}
		}
	}
	assert.GreaterOrEqual(t, right, n*98/100, "of %d", n)
}

// The exact outlines of a drawing are named and measured to rounding.
func TestClassifyHoleExact(t *testing.T) {
	s := turnedOutline(truthSlot(22, 9), 0.4, [2]float64{3, 2})
	h := ClassifyHole(s)
	assert.Equal(t, "slot", h.Shape)
	assert.InDelta(t, 22, h.LongMM, 1e-9)
	assert.InDelta(t, 9, h.ShortMM, 1e-9)
	assert.InDelta(t, 0.4, h.AngleRad, 1e-7)
	assert.InDelta(t, 3, h.CentreMM[0], 1e-9)
	d := ClassifyHole(truthOutline([][2]float64{{2.6, 0}, {0, 1.75}, {-2.6, 0}, {0, -1.75}}, nil))
	assert.Equal(t, "diamond", d.Shape)
	assert.InDelta(t, 5.2, d.LongMM, 1e-9)
	assert.InDelta(t, 3.5, d.ShortMM, 1e-9)
	assert.InDelta(t, 0, math.Remainder(d.AngleRad, math.Pi), 1e-9)
	assert.Equal(t, "other", ClassifyHole(Outline{}).Shape)
}
