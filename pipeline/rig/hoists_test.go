package rig

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"pointup/pipeline/job"
)

func yard() []job.Hoist {
	return []job.Hoist{{Name: "north", CapacityKG: 2000}, {Name: "south", CapacityKG: 1000}, {Name: "east", CapacityKG: 600}}
}

// TestOneHoist: the smallest that carries the mass, its range, the rigging and
// dynamics: (500 + 40) × 1.1 = 594 kg.
func TestOneHoist(t *testing.T) {
	opt := DefaultLiftOptions()
	opt.RiggingKG = 40
	l, err := LiftOn([]Body{beam(500)}, lugsAt(1000, 5000), opt)
	require.NoError(t, err)
	h, err := OneHoist(l, yard())
	require.NoError(t, err)
	assert.Equal(t, "east", h.Holdings[0].Hoist)
	assert.InDelta(t, 594, h.Holdings[0].NeededKG, 1e-9)
	assert.True(t, h.Critical) // 594 of 600 kg
	l.LoadKG = 2001
	_, err = OneHoist(l, yard())
	assert.ErrorIs(t, err, errHoists)
}

// TestTandemByHand: 900 kg, hooks 2 m and 1 m from the centre of gravity: 300 and
// 600 kg, and 360 and 720 kg at the Queensland code's 1.20.
func TestTandemByHand(t *testing.T) {
	m, err := MassOf([]Body{beam(900)})
	require.NoError(t, err)
	opt := bare(60)
	h, err := Tandem(m, []r3.Vec{{X: 1000, Y: 100}, {X: 4000, Y: 100}}, yard(), opt)
	require.NoError(t, err)
	assert.InDelta(t, 300, h.Holdings[0].ShareKG, 1e-9)
	assert.InDelta(t, 360, h.Holdings[0].NeededKG, 1e-9)
	assert.Equal(t, "east", h.Holdings[0].Hoist)
	assert.InDelta(t, 600, h.Holdings[1].ShareKG, 1e-9)
	assert.InDelta(t, 720, h.Holdings[1].NeededKG, 1e-9)
	assert.Equal(t, "south", h.Holdings[1].Hoist)
	assert.InDelta(t, 0.72, h.Holdings[1].Used, 1e-9)
	assert.True(t, h.Critical)
	assert.Contains(t, h.Cautions[len(h.Cautions)-1], "roll over") // the places are on its under side
	high, err := Tandem(m, []r3.Vec{{X: 1000, Y: 100, Z: 200}, {X: 4000, Y: 100, Z: 200}}, yard(), opt)
	require.NoError(t, err)
	assert.NotContains(t, high.Cautions[len(high.Cautions)-1], "roll over")
	_, err = Tandem(m, []r3.Vec{{X: 4000}, {X: 5000}}, yard(), opt)
	assert.ErrorIs(t, err, errOutside)
	_, err = Tandem(m, []r3.Vec{{X: 1000}}, yard(), opt)
	assert.ErrorContains(t, err, "two places")
	_, err = Tandem(m, []r3.Vec{{X: 1000}, {X: 1000}}, yard(), opt)
	assert.ErrorIs(t, err, errStacked)
	_, err = Tandem(m, []r3.Vec{{X: 1000}, {X: 5000}}, yard()[:1], opt)
	assert.ErrorIs(t, err, errHoists)
}

// TestDerating: the Queensland code of practice: 83, 75 and 67 % of capacity.
func TestDerating(t *testing.T) {
	for n, share := range map[int]float64{1: 1, 2: 0.83, 3: 0.75, 4: 0.67, 6: 0.67} {
		assert.InDelta(t, share, 1/Derating(n), 0.005)
	}
}

// TestTandemCovers: shares of three hoists add to the load and balance its moment;
// those of four are no less than in any way of holding it.
func TestTandemCovers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := func(lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, "x") }
		at := []r3.Vec{{X: x(-2, -1), Y: x(-2, -1)}, {X: x(1, 2), Y: x(-2, -1)}, {X: x(1, 2), Y: x(1, 2)}, {X: x(-2, -1), Y: x(1, 2)}}
		n := rapid.IntRange(3, 4).Draw(t, "n")
		var c r3.Vec
		w, sum := make([]float64, n), 0.0
		for i := range w {
			w[i] = x(0.01, 1)
			sum += w[i]
		}
		for i := range w {
			w[i] /= sum
			c = r3.Add(c, r3.Scale(w[i], at[i]))
		}
		share := make([]float64, n)
		require.NoError(t, sharesAt(at[:n], c, share))
		for i := range w {
			require.LessOrEqual(t, w[i], share[i]+1e-9)
			if n == 3 {
				require.InDelta(t, w[i], share[i], 1e-9)
			}
		}
	})
}
