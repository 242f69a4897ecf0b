package primitive

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestMayRun: an angle may run along its length, whichever end of it is hidden, and a
// little off; a wheel may not along its plane.
func TestMayRun(t *testing.T) {
	angle := upright(synthetic.Profile{Section: synthetic.Angle(20, 16, 3), LengthMM: 50})
	none := func(r3.Vec) bool { return false }
	along := r3.Vec{Z: 1}
	assert.True(t, MayRun(cutPatch(t, angle, 0.7, none), along))
	assert.True(t, MayRun(cutPatch(t, angle, 0.7, func(q r3.Vec) bool { return q.Z < -22 }), along))
	assert.True(t, MayRun(cutPatch(t, angle, 0.7, none), r3.Unit(r3.Vec{X: 0.02, Y: -0.02, Z: 1})))
	mitred := upright(synthetic.Profile{Section: synthetic.Angle(20, 16, 3), LengthMM: 50, Ends: [2]synthetic.End{{MitreDeg: 30, AzimuthDeg: 90}}})
	assert.True(t, MayRun(cutPatch(t, mitred, 0.7, none), along))
	wheel := upright(synthetic.ToothedWheel{ToothCount: 17, TipDiameterMM: 50, RootDiameterMM: 40, ThicknessMM: 5, Teeth: synthetic.StraightTeeth()})
	assert.False(t, MayRun(cutPatch(t, wheel, 0.7, none), r3.Vec{X: 1}))
	require.Equal(t, "profile", Recognise(cutPatch(t, angle, 0.7, none), DefaultOptions()).Kind)
}

// TestMainFaces: a plate is seen on its faces first, a block, none of whose sides has
// half its surface, every way.
func TestMainFaces(t *testing.T) {
	none := func(r3.Vec) bool { return false }
	axes := unlocated([]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}})
	across, others := mainFaces(cutPatch(t, upright(synthetic.Plate{Outline: synthetic.Rectangle(40, 30), ThicknessMM: 4}), 0.8, none), axes)
	require.Len(t, across, 1)
	assert.Equal(t, r3.Vec{Z: 1}, across[0].f.D)
	assert.Len(t, others, 2)
	across, others = mainFaces(cutPatch(t, upright(synthetic.Plate{Outline: synthetic.Rectangle(22, 20), ThicknessMM: 18}), 0.8, none), axes)
	assert.Len(t, across, 3)
	assert.Empty(t, others)
}
