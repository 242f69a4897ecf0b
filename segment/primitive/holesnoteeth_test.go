package primitive

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestHolesAreNoTeeth: a flat bar with four holes, of whose edge weld hides the middle,
// passes for a toothed wheel that does not hold; it is the bar with its holes, not one between
// its edges, of which the holes' walls are left over.
func TestHolesAreNoTeeth(t *testing.T) {
	hole := func(x, y float64) synthetic.Hole { return synthetic.RoundHole(x, y, 5.2) }
	p := cutPatch(t, upright(synthetic.Plate{Outline: synthetic.Rectangle(67, 27.8), ThicknessMM: 4.2,
		Holes: []synthetic.Hole{hole(25.2, 5.6), hole(25.2, -5.6), hole(-25.2, 5.6), hole(-25.2, -5.6)}}), 0.5, func(q r3.Vec) bool {
		return q.Y > 12 && q.X > -20 && q.X < 20
	})
	e := Recognise(p, DefaultOptions())
	require.Equal(t, "plate", e.Kind)
	n, _ := e.Dim("hole_count")
	assert.Equal(t, 4., n)
}
