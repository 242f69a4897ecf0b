package primitive

import (
	"math"
	"slices"
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

// TestRefitNoSide: what was taken for a plate of which neither length nor width was seen
// is looked at afresh, for it may be a rolled one between its edges; any other is not.
func TestRefitNoSide(t *testing.T) {
	q := cutPatch(t, upright(synthetic.Plate{Outline: synthetic.Rectangle(40, 30), ThicknessMM: 4}), 0.8, func(q r3.Vec) bool {
		return q.X > 19.5
	})
	like := Recognise(q, DefaultOptions())
	require.Equal(t, "plate", like.Kind)
	for _, c := range []struct {
		hidden []string
		again  bool
	}{{like.Hidden, true}, {[]string{"length_mm", "width_mm"}, false}} {
		like.Hidden = c.hidden
		_, _, ok := refitProposal(q, like)
		assert.Equal(t, c.again, ok, c.hidden)
	}
}

// TestRolledFirst: a pierced rolled plate comes before the same one found between its
// edges, which may come first by chance, for it explains as much without its holes.
func TestRolledFirst(t *testing.T) {
	var holes []synthetic.Hole
	for k := range 6 {
		holes = append(holes, synthetic.RoundHole(7+8*float64(k), 0, 4))
	}
	of := func(list []candidate, kind string) int {
		return slices.IndexFunc(list, func(c candidate) bool { return c.kind() == kind })
	}
	behind := 0
	for _, noise := range []float64{0.03, 0.04, 0.05} {
		opt := scanOptions(0.6)
		opt.NoiseMM = noise
		q := cutScan(t, upright(synthetic.RolledPlate{InsideDiameterMM: 37, ThicknessMM: 1.6, WidthMM: 17, SweepDeg: 160, Holes: holes}), opt, func(q r3.Vec) bool {
			return q.Z > 8 && q.X < 0
		})
		list := everyCandidate(q, DefaultOptions())
		require.Positive(t, of(list, "plate"))
		if of(list, "rolled_plate") > of(list, "plate") {
			behind++
		}
		rolledFirst(list, q)
		assert.Less(t, of(list, "rolled_plate"), of(list, "plate"))
	}
	assert.Positive(t, behind, "the plate came first once")
}

// TestRefitStanding: of a wheel that stands on something the hidden face is not sought
// among what is beside it, where a weld may look like one.
func TestRefitStanding(t *testing.T) {
	wheel := upright(synthetic.ToothedWheel{ToothCount: 11, TipDiameterMM: 40, RootDiameterMM: 30, BoreDiameterMM: 10, ThicknessMM: 7, Teeth: synthetic.Teeth{TipShare: 0.3, BottomShare: 0.3}})
	for _, hidden := range []bool{false, true} {
		q := cutPatch(t, wheel, 0.7, func(q r3.Vec) bool { return hidden && q.Z < -2.5 })
		like := Recognise(q, DefaultOptions())
		require.Equal(t, "toothed_wheel", like.Kind)
		require.Equal(t, hidden, like.Standing())
		_, _, ok := refitProposal(q, like)
		assert.NotEqual(t, hidden, ok)
	}
}
