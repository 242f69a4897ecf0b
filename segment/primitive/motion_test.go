package primitive

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestSlideToOneKnown: from directions either side of a coil's axis searches come to
// one motion; the second ends where the first has, and it is listed once.
func TestSlideToOneKnown(t *testing.T) {
	s := synthetic.Coil{CentrelineDiameterMM: 30, SectionDiameterMM: 4, PitchMM: 9, Turns: 3}
	p := patchOf(t, soupOf(t, upright(s), scanOptions(0.7)))
	either := []r3.Vec{{X: 0.05, Z: 1}, {X: -0.05, Z: 1}}
	list := slidingMotions(p, either)
	require.Len(t, list, 2, "one without pitch, one with")
	assert.InDelta(t, 9, list[1].pitchMM, 0.1)
	for k, m := range list {
		from := motion{f: newFrame(r3.Vec{}, either[1]), located: true}
		_, ok := from.slide(p, k == 1, nil)
		assert.True(t, ok, k)
		_, ok = from.slide(p, k == 1, []motion{m})
		assert.False(t, ok, k)
	}
}
