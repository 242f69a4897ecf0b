package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestSliced: an angle shows its section between ends that weld covers, also where
// the outside of a flange is hidden here and there, but not where all of it is. Where
// the rim leads astray, the outline is that of the cut.
func TestSliced(t *testing.T) {
	const side, thick = 17, 2.8
	s := synthetic.Profile{Section: synthetic.Angle(side, side, thick), LengthMM: 50}
	low := math.Inf(1) // the outside of a flange
	whole := cutPatch(t, upright(s), 0.6, func(r3.Vec) bool { return false })
	for _, q := range whole.P {
		low = min(low, q.Y+whole.OriginMM.Y)
	}
	for _, c := range []struct {
		name string
		gone func(r3.Vec) bool
		ok   bool
	}{
		{"ends", func(q r3.Vec) bool { return math.Abs(q.Z) > 24 && q.Y < low+6 }, true},
		{"parts of a flange", func(q r3.Vec) bool { return q.Y < low+thick/2 && math.Abs(q.X-3*math.Sin(q.Z)) < 3 }, true},
		{"a flange", func(q r3.Vec) bool { return q.Y < low+thick }, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := cutPatch(t, upright(s), 0.6, c.gone)
			sl := &slab{f: newFrame(r3.Scale(-1, p.OriginMM), r3.Vec{Z: 1}), z: [2]float64{-25, 25}}
			wall := wallLoop{Point: [][2]float64{{-side / 2., -side / 2.}, {side / 2., side / 2.}}}
			chain, ok := wall.sliced(p, sl)
			require.Equal(t, c.ok, ok)
			if ok {
				assert.InEpsilon(t, thick*(2*side-thick), polygonAreaMM2(chain), 0.03)
			}
		})
	}

	p := cutPatch(t, upright(s), 0.6, func(q r3.Vec) bool { return math.Abs(q.Z) > 24 && q.Y < low+6 })
	sl, ok := startSlab(p, r3.Vec{Z: 1})
	require.True(t, ok)
	a, outer, _, inner, ok := slabWalls(p, sl)
	require.True(t, ok)
	for i, j := len(outer.Chain)/4, 3*len(outer.Chain)/4; i < j; i, j = i+1, j-1 { // crosses itself
		outer.Chain[i], outer.Chain[j] = outer.Chain[j], outer.Chain[i]
	}
	pl, ok := newPlate(p, sl, a, outer, inner)
	require.True(t, ok)
	assert.Len(t, pl.outline.Steps, 6)
	assert.InEpsilon(t, thick*(2*side-thick), pl.netMM2, 0.005)
}
