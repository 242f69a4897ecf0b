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

// TestShallowArcs reads bars and tubes bent so little that they could be bowed:
// under twice the form limit high they are straight, with the bow in form; from
// four times on they are arcs of 1 to 10 degrees, their sweep right.
func TestShallowArcs(t *testing.T) {
	for seed := range uint64(20) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			rng := rand.New(rand.NewPCG(seed, 0x626f77))
			within := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
			d, noise := within(4, 10), within(0.02, 0.05)
			long := d * within(8, 20)
			limit := max(0.02*d, 5*noise)
			bow := limit * within(1, 2)
			bent := seed%2 == 1
			if bent {
				bow = limit * within(4, 6)
			}
			sweep := 8 * bow / long
			if sweep < math.Pi/180 { // no shape has less
				sweep = math.Pi / 180
				bow = sweep * long / 8
				require.Less(t, bow, 2*limit)
			}
			a := synthetic.Arc{CentrelineDiameterMM: 2 * long / sweep, SectionDiameterMM: d, SweepDeg: sweep * 180 / math.Pi}
			straight := "bar"
			if rng.IntN(2) == 0 {
				a.SectionBoreMM, straight = 0.7*d, "tube"
			}
			opt := scanOptions(d / 7)
			opt.NoiseMM = noise
			e := recognised(t, synthetic.Piece{Name: "arc", Shape: a, Pose: aslant()}, opt)
			if !bent {
				require.Equal(t, straight, e.Kind, "%+v, bow %.2f mm, limit %.2f mm", a, bow, limit)
				assert.InDelta(t, bow, e.Form.StraightnessMM, 0.25*bow+2*noise)
				assert.InDelta(t, d, e.dimension("outside_diameter_mm").Value, 0.02)
				return
			}
			require.Equal(t, "arc", e.Kind, "%+v, bow %.2f mm, limit %.2f mm", a, bow, limit)
			got := e.dimension("sweep_deg")
			assert.InDelta(t, a.SweepDeg, got.Value, max(2*got.U95, 0.05))
			radius := e.dimension("centreline_diameter_mm")
			assert.InDelta(t, a.CentrelineDiameterMM, radius.Value, 2*radius.U95)
		})
	}
}

// TestSlightTaper reads bars that taper so little that weld at an end could be why: up to
// 0.4 of the form limit from the middle to an end they are straight, from 0.8 on cones.
func TestSlightTaper(t *testing.T) {
	for seed := range uint64(8) {
		rng := rand.New(rand.NewPCG(seed, 0x746170))
		d, noise := 4+6*rng.Float64(), 0.02+0.03*rng.Float64()
		long, share := d*(6+6*rng.Float64()), 0.2+0.2*rng.Float64()
		want := "bar"
		if seed%2 == 1 {
			want, share = "cone", 0.8+0.4*rng.Float64()
		}
		taper := share * max(0.02*d, 5*noise)
		opt := scanOptions(d / 8)
		opt.NoiseMM = noise
		e := recognised(t, synthetic.Piece{Name: "bar", Shape: synthetic.Cone{LargeDiameterMM: d + 2*taper, SmallDiameterMM: d - 2*taper, HeightMM: long}, Pose: aslant()}, opt)
		assert.Equal(t, want, e.Kind, "seed %d: Ø%.2f, %.2f long, taper %.3f, noise %.3f", seed, d, long, taper, noise)
	}
}
