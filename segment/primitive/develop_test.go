package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestPerforatedRolled holds that a rolled strip of which a fifth to a third is
// holes is a rolled plate still: the scan of it is all there, and walls of holes
// are part of its surface, for the deviation and after the surface was kept. Holes
// of 6 mm: 27 of them are 0.31 of the strip, 14 are 0.18 of the cone's blank.
func TestPerforatedRolled(t *testing.T) {
	strip := synthetic.RolledPlate{InsideDiameterMM: 70, ThicknessMM: 3, WidthMM: 29, SweepDeg: 135}
	for i := range 27 {
		strip.Holes = append(strip.Holes, synthetic.RoundHole(9.5*float64(i%9)+5, 9.5*float64(i/9-1), 6))
	}
	cone := synthetic.RolledCone{LargeInsideDiameterMM: 70, SmallInsideDiameterMM: 46, ThicknessMM: 3, SlantMM: 32, SweepDeg: 130}
	for i := range 14 {
		cone.Holes = append(cone.Holes, synthetic.RoundHole(9*float64(i%7)+7, 11*(float64(i/7)-0.5), 6))
	}
	for name, s := range map[string]synthetic.Shape{"strip": strip, "cone": cone} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := synthetic.Piece{Name: name, Shape: s, Pose: aslant()}
			e := recognised(t, p, scanOptions(1.2))
			requireTruth(t, p, e, 0.06, 0.2)
			assert.Greater(t, e.Coverage, 0.95)
			sum := 0.0
			for _, d := range e.DeviationMM {
				sum += d * d
			}
			// All of it is noise, 0.02 mm, and facets that a wall leaves to its rims.
			assert.Less(t, math.Sqrt(sum/float64(len(e.DeviationMM))), 0.04)

			data, err := e.Ideal()
			require.NoError(t, err)
			var kept Element
			require.NoError(t, kept.SetIdeal(data))
			for _, q := range []r3.Vec{{X: 31, Y: -17, Z: 44}, {X: 60, Y: -30, Z: 50}, e.Frame.OriginMM} {
				assert.Equal(t, e.DistanceMM(q), kept.DistanceMM(q))
			}
		})
	}
}
