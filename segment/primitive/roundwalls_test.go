package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestRoundWalls: the walls of a disc and of a ring are those of a plain round piece
// before any outline is fitted; bolt holes, a square bore, teeth and corners are not.
func TestRoundWalls(t *testing.T) {
	round := []synthetic.Step{synthetic.ArcVia(0, 20, -20, 0), synthetic.ArcVia(0, -20, 20, 0)}
	var polygon []synthetic.Step
	for k := range 12 {
		s, c := math.Sincos(float64(k) * math.Pi / 6)
		polygon = append(polygon, synthetic.Line(20*c, 20*s))
	}
	for name, c := range map[string]struct {
		shape synthetic.Shape
		want  bool
	}{
		"disc":      {synthetic.Plate{Outline: round, ThicknessMM: 3}, true},
		"ring":      {synthetic.Plate{Outline: round, ThicknessMM: 3, Holes: []synthetic.Hole{synthetic.RoundHole(0, 0, 16)}}, true},
		"bolt hole": {synthetic.Plate{Outline: round, ThicknessMM: 3, Holes: []synthetic.Hole{synthetic.RoundHole(12, 0, 5)}}, false},
		"slot":      {synthetic.Plate{Outline: round, ThicknessMM: 3, Holes: []synthetic.Hole{synthetic.LongHole("slot", 0, 0, 20, 8, 0)}}, false},
		"polygon":   {synthetic.Plate{Outline: polygon, ThicknessMM: 3}, false},
		"teeth":     {plainWheel(), false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := patchOf(t, soupOf(t, upright(c.shape), scanOptions(0.6)))
			s, ok := startSlab(p, r3.Vec{Z: 1})
			require.True(t, ok)
			outer, inner, ok := sortWalls(wallLoops(p, s, 0))
			require.True(t, ok)
			assert.Equal(t, c.want, roundWalls(p, &outer, inner))
		})
	}
}
