package primitive

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
)

// sprockets are rows of the table of pitch diameters for unit pitch (ASME B29.1
// and ISO 606, sprockets for roller chain): teeth, pitch diameter and outside
// diameter over the pitch.
var sprockets = []struct {
	teeth          int
	pitch, outside float64
}{
	{8, 2.61313, 3.01421},
	{17, 5.44219, 5.94953},
	{60, 19.10732, 19.68114},
}

// TestSprockets cuts wheels to the table for a chain of 6.35 mm pitch with
// rollers of 3.30 mm (ANSI 25, ISO 04C): the count is exact, and the root
// diameter is the pitch diameter less a roller's, both standards' definition.
func TestSprockets(t *testing.T) {
	const pitchMM, rollerMM = 6.35, 3.30
	for _, c := range sprockets {
		t.Run(fmt.Sprint(c.teeth), func(t *testing.T) {
			t.Parallel()
			assert.InDelta(t, 1/math.Sin(math.Pi/float64(c.teeth)), c.pitch, 6e-6) // a chord of the pitch circle
			w := synthetic.ToothedWheel{
				ToothCount: c.teeth, TipDiameterMM: c.outside * pitchMM, RootDiameterMM: c.pitch*pitchMM - rollerMM,
				BoreDiameterMM: 6, ThicknessMM: 1.8, Teeth: synthetic.RollerTeeth(rollerMM),
			}
			p := synthetic.Piece{Name: "sprocket", Shape: w, Pose: aslant()}
			e := recognised(t, p, scanOptions(0.6))
			require.Equal(t, "toothed_wheel", e.Kind)
			count, _ := e.Dim("tooth_count")
			assert.Equal(t, float64(c.teeth), count)
			root, _ := e.Dim("root_diameter_mm")
			assert.InDelta(t, c.pitch*pitchMM-rollerMM, root, 0.05)
			requireTruth(t, p, e, 0.08, 0)
			requireFrame(t, p, e, 0.05, 0.005)
		})
	}
}

// TestStraightTeeth counts teeth with straight flanks, prime and even numbers
// and those with many divisors, each 4 mm along the rim.
func TestStraightTeeth(t *testing.T) {
	for _, n := range []int{11, 36} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			t.Parallel()
			tip := max(4*float64(n)/math.Pi, 16)
			w := synthetic.ToothedWheel{ToothCount: n, TipDiameterMM: tip, RootDiameterMM: tip - 5, ThicknessMM: 3, Teeth: synthetic.StraightTeeth()}
			p := synthetic.Piece{Name: "wheel", Shape: w, Pose: aslant()}
			e := recognised(t, p, scanOptions(0.7))
			requireTruth(t, p, e, 0.08, 0)
			requireFrame(t, p, e, 0.05, 0.01)
		})
	}
}
