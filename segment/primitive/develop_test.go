package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
)

// TestPerforatedRolled holds that a rolled strip of which a third is holes is a
// rolled plate still: the scan of it is all there, and walls of holes are part of
// its surface, for the deviation and after the surface was kept. 3 rows of 9
// holes of 6 mm, 9.5 mm apart: 0.31 of the strip.
func TestPerforatedRolled(t *testing.T) {
	s := synthetic.RolledPlate{InsideDiameterMM: 70, ThicknessMM: 3, WidthMM: 29, SweepDeg: 135}
	for i := range 27 {
		s.Holes = append(s.Holes, synthetic.RoundHole(9.5*float64(i%9)+5, 9.5*float64(i/9-1), 6))
	}
	p := synthetic.Piece{Name: "strip", Shape: s, Pose: aslant()}
	e := recognised(t, p, scanOptions(1.2))
	requireTruth(t, p, e, 0.05, 0.2)
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
	for _, o := range e.solid.(*sector).inner {
		q := e.solid.(*sector).f.at(e.solid.(*sector).ri, 0, o.v)
		q.X, q.Y, q.Z = q.X+e.solidOriginMM.X, q.Y+e.solidOriginMM.Y, q.Z+e.solidOriginMM.Z
		assert.Equal(t, e.DistanceMM(q), kept.DistanceMM(q))
	}
}
