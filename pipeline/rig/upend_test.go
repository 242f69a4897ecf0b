package rig

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/job"
)

// TestUpendColumn: a column of 4 m with a foot lies, and is turned up by a quarter
// or nearly, its head lug near its top; the turn ends as it stands.
func TestUpendColumn(t *testing.T) {
	column := block("E01", r3.Vec{X: 500, Y: 700}, 300, 200, 4000, 400)
	u, err := Upend([]Body{column}, 9, bare(60))
	require.NoError(t, err)
	require.True(t, u.Needed)
	assert.InDelta(t, 200, u.Lies.HeightMM, 1e-6)
	assert.InDelta(t, 4000, u.Lies.LengthMM, 1e-6)
	assert.Greater(t, u.Head.AtMM.Z, 3500.0)
	assert.InDelta(t, 650, u.Head.AtMM.X, 1) // in the middle plane
	last := u.Turn.Poses[len(u.Turn.Poses)-1]
	assert.InDelta(t, 90, last.TurnDeg, 1e-6)
	assert.InDelta(t, 2000, last.CentreMM.Z, 1e-6)
	assert.InDelta(t, u.Head.AtMM.Z, last.HeadMM.Z, 1e-6)
	first := u.Turn.Poses[0]
	assert.InDelta(t, 100, first.CentreMM.Z, 1e-6)
	assert.InDelta(t, 400*2000/u.Head.AtMM.Z, first.HeadKG, 1e-6) // lever about the foot
}

// TestUpendTurned: the same column elsewhere, turned about the vertical.
func TestUpendTurned(t *testing.T) {
	column := block("E01", r3.Vec{X: 500, Y: 700}, 300, 200, 4000, 400)
	a, err := Upend([]Body{column}, 9, bare(60))
	require.NoError(t, err)
	b, err := Upend([]Body{moved(column, up, 0.9, r3.Vec{X: 80})}, 9, bare(60))
	require.NoError(t, err)
	assert.InDelta(t, a.Head.AtMM.Z, b.Head.AtMM.Z, 1e-6)
	assert.InDelta(t, a.Turn.Poses[0].HeadKG, b.Turn.Poses[0].HeadKG, 1e-6)
}

func TestUpendNotNeeded(t *testing.T) {
	u, err := Upend([]Body{block("E01", r3.Vec{}, 3000, 200, 20, 90)}, 9, bare(60))
	require.NoError(t, err)
	assert.False(t, u.Needed)
	_, err = Upend(nil, 9, bare(60))
	assert.ErrorIs(t, err, errNoBodies)
}

// TestChooseTandem: 900 kg on hoists of 600 kg: 540 kg each at 1.20, level shares.
func TestChooseTandem(t *testing.T) {
	two := []job.Hoist{{Name: "a", CapacityKG: 600}, {Name: "b", CapacityKG: 600}}
	h, lugs, err := ChooseTandem([]Body{beam(900)}, two, bare(60))
	require.NoError(t, err)
	require.Len(t, lugs, 2)
	assert.InDelta(t, 6000, lugs[0].AtMM.X+lugs[1].AtMM.X, 1e-6) // about the middle
	for _, x := range h.Holdings {
		assert.InDelta(t, 450, x.ShareKG, 1e-6)
		assert.InDelta(t, 540, x.NeededKG, 1e-6)
	}
	_, _, err = ChooseTandem([]Body{beam(1100)}, two, bare(60))
	assert.ErrorIs(t, err, errHoists)
	post := block("E02", r3.Vec{X: 3000, Z: 200}, 100, 200, 2500, 900)
	_, _, err = ChooseTandem([]Body{beam(100), post}, two, bare(60))
	assert.ErrorIs(t, err, errNoPair)
}
