package rig

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// TestChooseLiftBeam: a beam hangs level on two legs or one in its middle, and a
// beam with a post off its middle on legs round its centre of gravity.
func TestChooseLiftBeam(t *testing.T) {
	l, err := ChooseLift([]Body{beam(900)}, DefaultLiftOptions())
	require.NoError(t, err)
	assert.InDelta(t, 0, l.TiltDeg, 0.05)
	for _, leg := range l.Legs {
		assert.InDelta(t, 200, leg.AtMM.Z, 1e-9)
	}
	post := block("E02", r3.Vec{X: 1000, Z: 200}, 150, 200, 1500, 300)
	both := []Body{spread(beam(900), 0.95, 1.05), spread(post, 0.95, 1.05)}
	l, err = ChooseLift(both, DefaultLiftOptions())
	require.NoError(t, err)
	assert.LessOrEqual(t, l.TiltDeg, 5.0)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, leg := range l.Legs {
		assert.GreaterOrEqual(t, leg.AngleDeg, 30.0)
		lo, hi = min(lo, leg.AtMM.X), max(hi, leg.AtMM.X)
	}
	assert.Len(t, l.Legs, 3) // its centre of gravity lies over the beam
	assert.Contains(t, l.Cautions[len(l.Cautions)-3], "below the centre of gravity")
	assert.LessOrEqual(t, lo, l.Of.CentreMM.X+100)
	assert.GreaterOrEqual(t, hi, l.Of.CentreMM.X-100)
}

// TestChooseLiftPlate: a plate needs three legs or a lug in its middle; where its
// middle is covered by a post that is far too light to carry a lug over the centre,
// no leg may pass through the post.
func TestChooseLiftPlate(t *testing.T) {
	plate := block("E01", r3.Vec{}, 3000, 3000, 20, 1400)
	wall := block("E02", r3.Vec{X: 1400, Y: 200, Z: 20}, 200, 2600, 400, 1)
	l, err := ChooseLift([]Body{plate, wall}, DefaultLiftOptions())
	require.NoError(t, err)
	for _, leg := range l.Legs {
		way := r3.Sub(l.HookMM, leg.AtMM)
		assert.False(t, newObstacles([]Body{plate, wall}).blocked(r3.Add(leg.AtMM, r3.Scale(0.1, way)), l.HookMM))
	}
}

// TestLugPlaces: only what looks up, over the height, with nothing above.
func TestLugPlaces(t *testing.T) {
	roof := block("E02", r3.Vec{X: -10, Y: -10, Z: 1000}, 3010, 400, 20, 10)
	for _, l := range lugPlaces([]Body{beam(900), roof}, 100, nil) {
		if l.Body == "E01" {
			assert.Greater(t, l.AtMM.X, 2999.0)
			assert.InDelta(t, 200, l.AtMM.Z, 1e-9)
		} else {
			assert.InDelta(t, 1020, l.AtMM.Z, 1e-9)
		}
	}
}

// TestChooseLiftRefuses: head room of nothing.
func TestChooseLiftRefuses(t *testing.T) {
	low := 210.0
	opt := DefaultLiftOptions()
	opt.HookMaxMM = &low
	post := block("E02", r3.Vec{X: 3000, Z: 200}, 150, 200, 1500, 300)
	_, err := ChooseLift([]Body{beam(900), post}, opt)
	assert.ErrorIs(t, err, errNoLift)
}

// TestChooseLiftTurned: the same load elsewhere and turned about the vertical has
// the same lift.
func TestChooseLiftTurned(t *testing.T) {
	post := block("E02", r3.Vec{X: 1000, Z: 200}, 150, 200, 1500, 300)
	a, err := ChooseLift([]Body{beam(900), post}, DefaultLiftOptions())
	require.NoError(t, err)
	by := r3.Vec{X: 512, Y: -128}
	b, err := ChooseLift([]Body{moved(beam(900), up, 0, by), moved(post, up, 0, by)}, DefaultLiftOptions())
	require.NoError(t, err)
	require.Len(t, b.Legs, len(a.Legs))
	for i := range a.Legs {
		near(t, r3.Add(a.Legs[i].AtMM, by), b.Legs[i].AtMM, 1e-6)
		assert.InEpsilon(t, a.Legs[i].TensionN, b.Legs[i].TensionN, 1e-9)
	}
}

// TestMeetsBox: a box is passed by only where none of its triangles is met.
func TestMeetsBox(t *testing.T) {
	b := block("E01", r3.Vec{X: 100, Y: -50}, 300, 200, 50, 1)
	o := newObstacles([]Body{b})
	draw := rand.New(rand.NewPCG(5, 5))
	met := 0
	for range 3000 {
		at := func() r3.Vec {
			return r3.Vec{X: 600 * draw.Float64(), Y: 300*draw.Float64() - 100, Z: 200*draw.Float64() - 75}
		}
		from, to := at(), at()
		if draw.IntN(3) == 0 {
			to.X, to.Y = from.X, from.Y
		}
		way := r3.Sub(to, from)
		for _, f := range b.Triangles {
			if crosses(&b.Points[f[0]], &b.Points[f[1]], &b.Points[f[2]], &from, &way) {
				require.True(t, o.blocked(from, to))
				met++
				break
			}
		}
	}
	require.Greater(t, met, 300)
}

// TestChooseLiftSlanted: a bar that leans by 50° has no two places over its centre of
// gravity at its ends; straight above that one lug holds it as it is, with all of it.
func TestChooseLiftSlanted(t *testing.T) {
	bar := moved(block("E01", r3.Vec{X: -1000, Y: -25, Z: -25}, 2000, 50, 50, 40), r3.Vec{Y: 1}, -50*deg, r3.Vec{Z: 3000})
	l, err := ChooseLift([]Body{bar}, bare(60))
	require.NoError(t, err)
	require.Len(t, l.Legs, 1)
	assert.InDelta(t, 0, math.Hypot(l.Legs[0].AtMM.X, l.Legs[0].AtMM.Y), 1e-6)
	assert.InDelta(t, 3000+25/math.Cos(50*deg), l.Legs[0].AtMM.Z, 1e-6)
	assert.InDelta(t, 40*gravityMS2, l.Legs[0].TensionN, 1e-6)
	assert.InDelta(t, 0, l.TiltDeg, 1e-6)
}

// TestLugsOn: no lug stands on a piece that is not named.
func TestLugsOn(t *testing.T) {
	ball := block("E02", r3.Vec{X: 2950, Y: 50, Z: 200}, 100, 100, 100, 1)
	opt := bare(60)
	l, err := ChooseLift([]Body{beam(900), ball}, opt)
	require.NoError(t, err)
	assert.Equal(t, "E02", l.Legs[0].Body)
	opt.LugsOn = []string{"E01"}
	l, err = ChooseLift([]Body{beam(900), ball}, opt)
	require.NoError(t, err)
	for _, g := range l.Legs {
		assert.Equal(t, "E01", g.Body)
	}
	opt.LugsOn = []string{}
	_, err = ChooseLift([]Body{beam(900), ball}, opt)
	assert.ErrorIs(t, err, errNoLift)
}
