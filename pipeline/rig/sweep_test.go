package rig

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pointup/pipeline/job"
)

// TestSweptByHand: an end of 5 m on an outer circle of 13 m leaves the outer side
// of the axle at 12 m (5, 12, 13): 1 m and the width.
func TestSweptByHand(t *testing.T) {
	w, ok := Vehicle{WidthMM: 2500, FrontMM: 5000, RearMM: 3000}.SweptMM(13000)
	require.True(t, ok)
	assert.InDelta(t, 3500, w, 1e-9)
	for _, r := range []float64{5000, 4000, math.NaN()} {
		_, ok = Vehicle{WidthMM: 2500, FrontMM: 5000}.SweptMM(r)
		assert.False(t, ok)
	}
	_, ok = Vehicle{WidthMM: 2500, FrontMM: 5000}.SweptMM(5100) // no room for its width
	assert.False(t, ok)
}

// TestSweptAgainstOutline: the farthest and the nearest point of a box's outline
// from the middle of the turn, point by point.
func TestSweptAgainstOutline(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := func(lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, "x") }
		v := Vehicle{WidthMM: x(500, 3000), FrontMM: x(500, 9000), RearMM: x(0, 5000)}
		outer := x(3000, 30000)
		swept, ok := v.SweptMM(outer)
		if !ok {
			return
		}
		inner := outer - swept
		near, far := math.Inf(1), 0.0
		for i := range 2001 {
			along := -v.RearMM + (v.FrontMM+v.RearMM)*float64(i)/2000
			near = min(near, math.Hypot(inner, along))
			far = max(far, math.Hypot(inner+v.WidthMM, along))
		}
		require.InDelta(t, outer, far, 1e-6)
		require.InDelta(t, inner, near, 1e-3*outer)
		require.GreaterOrEqual(t, near, inner-1e-9)
	})
}

func TestHaulRoute(t *testing.T) {
	f := func(x float64) *float64 { return &x }
	lies := Rest{LengthMM: 10000, WidthMM: 2500, HeightMM: 1000, TipDeg: 10}
	r, err := Haul(lies, []job.Passage{
		{WidthMM: f(2600)},
		{WidthMM: f(2400)},
		{WidthMM: f(4000), RadiusMM: f(11000)}, // outer edge 13 m: 3.5 m under its middle; at its end 13 - √69 + 2.5 = 7.19 m
		{WidthMM: f(8000), RadiusMM: f(9000)},
		{WidthMM: f(3000), RadiusMM: f(3000)},
		{RadiusMM: f(13000), Slope: f(0.08)},
		{Slope: f(0.2)},
	})
	require.NoError(t, err)
	for i, want := range []string{Passes, TooNarrow, Depends, Passes, TooNarrow, NotJudged, NotJudged} {
		assert.Equal(t, want, r.Passings[i].Passes, "passage %d", i)
		assert.Equal(t, i, r.Passings[i].Passage)
	}
	assert.InDelta(t, 3500, r.Passings[2].SweptMinMM, 1e-9)
	assert.InDelta(t, 15500-1000*math.Sqrt(69), r.Passings[2].SweptMaxMM, 1e-6)
	assert.InDelta(t, 500, r.Passings[2].RoomMM, 1e-9)
	assert.InDelta(t, 4.574, r.Passings[5].SlopeDeg, 1e-3)
	assert.True(t, r.Passings[5].Stands)
	assert.False(t, r.Passings[6].Stands) // 11.3°
	_, err = Haul(lies, []job.Passage{{WidthMM: f(math.NaN())}})
	assert.ErrorContains(t, err, "passage 1")
	_, err = Haul(Rest{}, nil)
	assert.ErrorContains(t, err, "over 0")
}
