package primitive

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
)

// TestWindings reads spirals and cones of round bar and tube: none is a coil, a
// ring or an arc, and the note has the numbers to roll them by.
func TestWindings(t *testing.T) {
	for _, c := range []struct {
		name  string
		shape synthetic.Spiral
		flat  bool
	}{
		{"three turns", synthetic.Spiral{StartDiameterMM: 20, GrowthMM: 10, Turns: 3, SectionDiameterMM: 6}, true},
		{"a tube", synthetic.Spiral{StartDiameterMM: 20, GrowthMM: 10, Turns: 3, SectionDiameterMM: 6, SectionBoreMM: 4}, true},
		{"five close turns", synthetic.Spiral{StartDiameterMM: 30, GrowthMM: 7, Turns: 5, SectionDiameterMM: 5}, true},
		{"a turn and a half", synthetic.Spiral{StartDiameterMM: 30, GrowthMM: 14, Turns: 1.5, SectionDiameterMM: 5}, true},
		{"a cone", synthetic.Spiral{StartDiameterMM: 30, GrowthMM: 4, RiseMM: 7, Turns: 4, SectionDiameterMM: 5}, false},
		{"nearly a coil", synthetic.Spiral{StartDiameterMM: 50, GrowthMM: .5, RiseMM: 7, Turns: 4, SectionDiameterMM: 5}, false},
		{"nearly flat", synthetic.Spiral{StartDiameterMM: 30, GrowthMM: 8, RiseMM: 2, Turns: 3, SectionDiameterMM: 5}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := patchOf(t, soupOf(t, synthetic.Piece{Name: c.name, Shape: c.shape, Pose: aslant()}, scanOptions(0.9)))
			e := Recognise(p, DefaultOptions())
			require.Equal(t, "freeform", e.Kind)
			assert.True(t, e.Whole)
			e.Survey(p, DefaultOptions())
			require.Len(t, e.Notes, 1)
			requireWinding(t, c.shape, e.Notes[0], c.flat)
			box := e.dimension("height_mm")
			assert.Zero(t, box.U95, "a box has no interval")
			if c.flat { // an upper bound: the section and the outermost noise
				assert.Greater(t, box.Value, c.shape.SectionDiameterMM)
				assert.Less(t, box.Value, c.shape.SectionDiameterMM+10*0.02)
			}
		})
	}
}

// TestWoundBars reads spirals of flat and square bar, which no shop would cut from
// plate, and one that it would.
func TestWoundBars(t *testing.T) {
	for _, c := range []struct {
		name  string
		shape synthetic.Spiral
		kind  string
	}{
		{"flat bar", synthetic.Spiral{StartDiameterMM: 30, GrowthMM: 8, Turns: 3, WidthMM: 10, ThicknessMM: 2}, "freeform"},
		{"square bar", synthetic.Spiral{StartDiameterMM: 30, GrowthMM: 9, Turns: 1.4, WidthMM: 3, ThicknessMM: 3}, "freeform"},
		{"cut from plate", synthetic.Spiral{StartDiameterMM: 30, GrowthMM: 14, Turns: 1.5, WidthMM: 3, ThicknessMM: 8}, "plate"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			e := recognised(t, synthetic.Piece{Name: c.name, Shape: c.shape, Pose: aslant()}, scanOptions(0.9))
			require.Equal(t, c.kind, e.Kind)
			if c.kind == "plate" {
				return
			}
			require.Len(t, e.Notes, 1)
			var wide, thick, turns, inner, outer, pitch, length float64
			_, err := fmt.Sscanf(e.Notes[0], "flat spiral: a bar of %g × %g mm rolled in one plane, %g turns, centreline %g mm across at the inner end and %g mm at the outer, pitch %g mm outwards, developed length %g mm",
				&wide, &thick, &turns, &inner, &outer, &pitch, &length)
			require.NoError(t, err, e.Notes[0])
			assert.InDelta(t, c.shape.WidthMM, wide, 0.02)
			assert.InDelta(t, c.shape.ThicknessMM, thick, 0.05)
			assert.InDelta(t, c.shape.Turns, turns, 0.03)
			assert.InDelta(t, c.shape.GrowthMM, pitch, 0.05)
			assert.InEpsilon(t, c.shape.LengthMM(), length, 0.015)
		})
	}
}

// requireWinding reads the numbers of the note back and holds them against the
// shape: to a twentieth of a millimetre across, to half a facet along.
func requireWinding(t *testing.T, s synthetic.Spiral, note string, flat bool) {
	var section, bore, turns, inner, outer, pitch, rise, length float64
	var hand string
	what := " a round bar of %g mm"
	into := []any{&section}
	if s.SectionBoreMM > 0 {
		what, into = " a round tube of %g mm, bore %g mm", append(into, &bore)
	}
	sizes := ", %g turns, centreline %g mm across at the inner end and %g mm at the outer, pitch %g mm outwards"
	if flat {
		_, err := fmt.Sscanf(note, "flat spiral:"+what+" rolled in one plane"+sizes+", developed length %g mm", append(into, &turns, &inner, &outer, &pitch, &length)...)
		require.NoError(t, err, note)
	} else {
		_, err := fmt.Sscanf(note, "conical coil:"+what+" wound on a cone, %5s-handed"+sizes+" and %g mm along the axis, developed length %g mm", append(into, &hand, &turns, &inner, &outer, &pitch, &rise, &length)...)
		require.NoError(t, err, note)
		assert.Equal(t, "right", hand)
	}
	assert.InDelta(t, s.SectionDiameterMM, section, 0.05)
	assert.InDelta(t, s.SectionBoreMM, bore, 0.05)
	assert.InDelta(t, s.StartDiameterMM, inner, 0.3)
	assert.InDelta(t, s.StartDiameterMM+2*s.GrowthMM*s.Turns, outer, 0.3)
	assert.InDelta(t, s.GrowthMM, pitch, 0.02)
	assert.InDelta(t, s.RiseMM, rise, 0.02)
	assert.InDelta(t, s.LengthMM(), length, 1.5)
	assert.InDelta(t, s.Turns, turns, 1.5/(math.Pi*s.StartDiameterMM)+0.006)
}

// TestCoilIsNoWinding holds that a true coil stays one.
func TestCoilIsNoWinding(t *testing.T) {
	shape := synthetic.Coil{CentrelineDiameterMM: 40, SectionDiameterMM: 5, PitchMM: 8, Turns: 3}
	p := synthetic.Piece{Name: "coil", Shape: shape, Pose: aslant()}
	e := recognised(t, p, scanOptions(1))
	requireTruth(t, p, e, 0.05, 0.5)
	assert.Empty(t, e.Notes)
}
