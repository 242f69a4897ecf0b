package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestSlabFirst: a disc 84 mm across has both faces of a plate of 34 by 45 mm
// and a rim that comes within 1.7 mm, its form limit, of two of the plate's
// sides; the plate is put before it. A dented disc, whose rim is as far from round
// but which is seen nearly whole, stays.
func TestSlabFirst(t *testing.T) {
	rough := func(q r3.Vec) bool { return q.Y < -16.5 || q.X < -16.5 } // two sides hidden
	p := cutPatch(t, upright(synthetic.Plate{Outline: synthetic.Rectangle(34, 45), ThicknessMM: 2.2}), 0.7, rough)
	opt := DefaultOptions()
	var slabs []candidate
	for _, c := range proposeSlab(p, []motion{{f: newFrame(r3.Vec{}, r3.Vec{Z: 1})}}) {
		if c.settle(p, opt, scouting) {
			slabs = append(slabs, c)
		}
	}
	require.NotEmpty(t, slabs)
	disc := func(radiusMM, formMM float64) candidate {
		f := newFrame(r3.Sub(r3.Vec{X: 17 - radiusMM, Y: 5}, p.OriginMM), r3.Vec{Z: 1})
		r := &round{f: f, ro: radiusMM}
		r.end[0].z, r.end[1].z = -1.1, 1.1
		r.seen = [4]bool{outerWall: true, lowEnd: true, highEnd: true}
		return candidate{sol: r, sizeMM: 2 * radiusMM, formMM: formMM, rmsMM: p.NoiseMM, explained: 1}
	}
	for _, c := range []struct {
		radiusMM, formMM float64
		first            bool
	}{{42, 1, true}, {42, 0.05, false}, {18, 1, false}} {
		list := append([]candidate{disc(c.radiusMM, c.formMM)}, slabs...)
		slabFirst(list, p, opt)
		_, plate := list[0].sol.(*plate)
		assert.Equal(t, c.first, plate, "%+v", c)
		assert.Len(t, list, 1+len(slabs))
	}
}

// TestStraightFlat: a flat bar with one corner cut off obliquely is no arc of a
// turn hundreds of metres across.
func TestStraightFlat(t *testing.T) {
	s := synthetic.Plate{Outline: synthetic.Rectangle(34, 45), ThicknessMM: 2.2}
	e := Recognise(cutPatch(t, upright(s), 0.9, func(q r3.Vec) bool {
		return q.Y < -22+0.5*(q.X-5) || q.X < -16.3 && math.Mod(q.Y+60, 3) > 0.9
	}), DefaultOptions())
	assert.Equal(t, "plate", e.Kind)
}
