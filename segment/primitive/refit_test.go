package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestBoreFromTheEnd: of a long bore two millimetres at one end are seen, a hundredth of
// what the outside shows.
func TestBoreFromTheEnd(t *testing.T) {
	p := upright(synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 10, LengthMM: 76})
	e := Recognise(cutPatch(t, p, 0.7, func(q r3.Vec) bool {
		return math.Hypot(q.X, q.Y) < 5.5 && q.Z < 38-2.2
	}), DefaultOptions())
	require.Equal(t, "tube", e.Kind)
	d, _ := e.Dim("inside_diameter_mm")
	assert.InDelta(t, 10, d, 0.1)
}

// TestRefitLittleTurn: what was taken for a ring of which a third was seen is looked at
// afresh once its weld is off, and shows its ends.
func TestRefitLittleTurn(t *testing.T) {
	q := cutPatch(t, upright(synthetic.FlatArc{OutsideDiameterMM: 76, InsideDiameterMM: 53, ThicknessMM: 4, SweepDeg: 120}), 0.8, func(q r3.Vec) bool {
		return q.Z > 1.9 && math.Abs(math.Atan2(q.Y, q.X)-1) < 0.1 // a weld
	})
	ring, ok := RecogniseAs(q, DefaultOptions(), "ring")
	require.True(t, ok)
	require.Equal(t, "ring", ring.Kind)
	require.Less(t, ring.Coverage, refitSeen)
	e := Refit(q, ring, DefaultOptions())
	assert.Equal(t, "arc", e.Kind)
	sweep, _ := e.Dim("sweep_deg")
	assert.InDelta(t, 120, sweep, 0.2)
}
