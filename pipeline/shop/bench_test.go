package shop

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// headOnPost is a foot, a post of 100 kg on it and a head of 40 kg on the post whose
// seam of so many mm looks down; on the bench the post stands on its head.
func headOnPost(seamMM float64) ([]stock.Part, []Body, []WeldJoint) {
	foot, b0 := block(r3.Vec{X: -800, Y: -800}, r3.Vec{X: 800, Y: 800, Z: 50}, 900)
	post, b1 := block(r3.Vec{X: -100, Y: -100, Z: 50}, r3.Vec{X: 100, Y: 100, Z: 2050}, 100)
	head, b2 := block(r3.Vec{X: -300, Y: -300, Z: 2050}, r3.Vec{X: 300, Y: 300, Z: 2090}, 40)
	under := seamed(1, 2, r3.Vec{Z: 2050}, r3.Vec{Y: 1, Z: -1}, seamMM)
	top := seamed(0, 1, r3.Vec{Z: 50}, r3.Vec{Y: 1, Z: 1}, 800)
	return []stock.Part{foot, post, head}, []Body{b0, b1, b2}, []WeldJoint{top, under}
}

// TestBenchSparesOverhead by hand: 3 m overhead at 2 h/m is 6 h in place; on the bench
// none, for a lift from it of 0.5 h and a turn of 0.5 h. A seam of 0.3 m, 0.6 h, does
// not pay for that.
func TestBenchSparesOverhead(t *testing.T) {
	opt := DefaultOrderOptions()
	opt.TurnMostKG = 500 // the foot is too heavy to be turned with it
	parts, bodies, joints := headOnPost(3000)
	orders, left, err := BuildOrder(context.Background(), parts, bodies, joints, opt)
	require.NoError(t, err)
	require.Empty(t, left)
	require.InDelta(t, 3, orders[0].Best.OverheadM, 1e-9)
	got, err := Benches(context.Background(), parts, bodies, joints, orders[0], opt)
	require.NoError(t, err)
	require.NotNil(t, got)
	require.Len(t, got.Units, 2)
	assert.Zero(t, got.OverheadM)
	assert.InDelta(t, orders[0].Best.Hours-6+0.5+0.5, got.Hours, 1e-9)
	for _, u := range got.Units {
		if len(u.Parts) > 1 {
			assert.Equal(t, []int{1, 2}, u.Parts)
			assert.Equal(t, 1, u.Lead)
			assert.Equal(t, r3.Vec{Z: -1}, u.Bench.Steps[1].Up, "on its head")
			assert.InDelta(t, 3000, u.Bench.Steps[1].SeamMM[WeldHorizontal]+u.Bench.Steps[1].SeamMM[WeldFlat], 1e-9)
		}
	}
	set := got.Set.Steps[1]
	assert.Equal(t, 1, set.Part)
	assert.InDelta(t, 140, set.AddedKG, 1e-9)
	assert.InDelta(t, (900*25+100*1050+40*2070)/1040.0, set.CentreMM.Z, 1e-9)
	parts, bodies, joints = headOnPost(300)
	orders, _, err = BuildOrder(context.Background(), parts, bodies, joints, opt)
	require.NoError(t, err)
	got, err = Benches(context.Background(), parts, bodies, joints, orders[0], opt)
	require.NoError(t, err)
	assert.Nil(t, got)
}

// TestInUnits: every part is set once, as one or with its unit, masses add up, and a
// part that is in two units is refused.
func TestInUnits(t *testing.T) {
	parts, bodies, joints := headOnPost(500)
	got, err := InUnits(context.Background(), parts, bodies, joints, [][]int{{0, 1}, {2}}, DefaultOrderOptions())
	require.NoError(t, err)
	require.Len(t, got.Set.Steps, 2)
	assert.Equal(t, 0, got.Set.Steps[0].Part, "the foot leads the unit with the post")
	assert.InDelta(t, 1000, got.Set.Steps[0].AddedKG, 1e-9)
	assert.InDelta(t, 1040, got.Set.Steps[1].MassKG, 1e-9)
	_, err = InUnits(context.Background(), parts, bodies, joints, [][]int{{0, 1}, {1, 2}}, DefaultOrderOptions())
	assert.ErrorContains(t, err, "in two")
}
