package primitive

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
)

// anyWheel has straight teeth with flat bottoms, or seats for rollers of half to
// three fifths of the pitch.
func anyWheel(rng *rand.Rand, flat bool) synthetic.ToothedWheel {
	within := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	n, pitch := 10+rng.IntN(24), within(4.5, 8)
	half := math.Pi / float64(n)
	w := synthetic.ToothedWheel{ToothCount: n, BoreDiameterMM: 6, ThicknessMM: within(2.4, 5)}
	if flat {
		w.TipDiameterMM, w.RootDiameterMM = pitch/math.Sin(half)+within(.4, .6)*pitch, pitch/math.Sin(half)-within(.4, .6)*pitch
		w.Teeth = synthetic.Teeth{TipShare: within(.15, .3), BottomShare: within(.2, .35)}
		return w
	}
	roller := within(.5, .62) * pitch
	w.TipDiameterMM, w.RootDiameterMM = pitch*(0.6+1/math.Tan(half)), pitch/math.Sin(half)-roller
	w.Teeth = synthetic.RollerTeeth(roller)
	return w
}

// TestBottoms tells flat bottoms of teeth from round seats in noise of 0.05 mm:
// of these nine flat ones a circle alone explained seven, 0.07 to 0.12 mm too
// deep.
func TestBottoms(t *testing.T) {
	for _, c := range []struct {
		flat  bool
		form  string
		seeds []uint64
	}{{true, "straight", []uint64{1, 3, 5, 9, 10, 14, 16, 21, 22}}, {false, "round-seated", []uint64{1, 2, 3, 4}}} {
		for _, seed := range c.seeds {
			t.Run(fmt.Sprint(c.form, seed), func(t *testing.T) {
				t.Parallel()
				rng := rand.New(rand.NewPCG(seed, 77))
				w := anyWheel(rng, c.flat)
				opt := scanOptions(.45 + .35*rng.Float64())
				opt.NoiseMM, opt.Seed = 0.05, seed
				e := recognised(t, synthetic.Piece{Name: "wheel", Shape: w, Pose: aslant()}, opt)
				require.Equal(t, "toothed_wheel", e.Kind)
				assert.Equal(t, []Word{{"tooth_form", c.form}}, e.Words)
				root := e.dimension("root_diameter_mm")
				assert.InDelta(t, w.RootDiameterMM, root.Value, max(2*root.U95, 0.05))
			})
		}
	}
}
