package primitive

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// anyChain is a bent piece of 2 to 4 arcs, half of them with a straight at either
// end, its planes turned by a workshop's angles, and the facet edge that gives
// about 20 vertices a turn.
func anyChain(rng *rand.Rand) (synthetic.Bent, float64) {
	within := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	d := within(5, 14)
	b := synthetic.Bent{SectionDiameterMM: d}
	if rng.IntN(2) == 0 {
		b.SectionBoreMM = d * within(0.4, 0.8)
	}
	straight := func() synthetic.Bend { return synthetic.Bend{LengthMM: d * within(1.2, 3)} }
	if rng.IntN(2) == 0 {
		b.Legs = append(b.Legs, straight())
	}
	turns := []float64{0, 45, 90, 180}
	arcs := 2 + rng.IntN(3)
	for k := range arcs {
		a := synthetic.Bend{RadiusMM: d * within(1.5, 4), AngleDeg: within(30, 120)}
		if k > 0 {
			a.TurnDeg = turns[rng.IntN(4)]
			b.Legs = append(b.Legs, straight())
		}
		b.Legs = append(b.Legs, a)
	}
	if rng.IntN(2) == 0 {
		b.Legs = append(b.Legs, straight())
	}
	return b, d * math.Pi / 20
}

// requireLegs holds that the segments are the legs, from one end or the other,
// within mm and, for an angle, as much on the centreline or half the mm on the
// section's radius for a turn, and within their uncertainty times three.
func requireLegs(t require.TestingT, b synthetic.Bent, e Element, mm float64) {
	require.Len(t, e.Segments, len(b.Legs), "%+v\n%+v", b, e.Segments)
	off := min(legsOff(b, e.Segments, false, mm), legsOff(b, e.Segments, true, mm))
	assert.Less(t, off, 1.0, "%+v\n%+v", b, e.Segments)
}

// legsOff is the greatest departure of a dimension as a share of what is allowed.
func legsOff(b synthetic.Bent, got []Segment, reversed bool, mm float64) float64 {
	for k, s := range got {
		if (legOf(b, k, reversed).RadiusMM > 0) != (s.Kind == "arc") {
			return math.Inf(1)
		}
	}
	worst, radius := 0.0, 0.0
	eachLeg(b, got, reversed, func(d Dimension, off float64) {
		allowed := mm
		switch d.Key {
		case "centreline_diameter_mm": // a short arc tells little of its radius
			radius = (d.Value - off) / 2
			allowed = max(mm, 1.5*d.U95)
		case "sweep_deg":
			allowed = mm / radius * 180 / math.Pi
		case "turn_deg":
			allowed = mm / b.SectionDiameterMM * 180 / math.Pi
		}
		worst = max(worst, math.Abs(off)/allowed)
	})
	return worst
}

func legOf(b synthetic.Bent, k int, reversed bool) synthetic.Bend {
	if reversed {
		return b.Legs[len(b.Legs)-1-k]
	}
	return b.Legs[k]
}

// eachLeg gives every dimension of the segments with its departure from the
// legs, told from one end or the other.
func eachLeg(b synthetic.Bent, got []Segment, reversed bool, do func(d Dimension, off float64)) {
	turn := 0.0
	for k, s := range got {
		want := legOf(b, k, reversed)
		if s.Kind == "arc" && !reversed {
			turn = want.TurnDeg
		}
		for _, d := range s.Dims {
			switch d.Key {
			case "length_mm":
				do(d, d.Value-want.LengthMM)
			case "centreline_diameter_mm":
				do(d, d.Value-2*want.RadiusMM)
			case "sweep_deg":
				do(d, d.Value-want.AngleDeg)
			case "turn_deg":
				do(d, math.Remainder(d.Value-turn, 360))
			}
		}
		if s.Kind == "arc" {
			turn = want.TurnDeg
		}
	}
}

// TestAnyChain reads random compound bends: the number of legs is right and so is
// every size.
func TestAnyChain(t *testing.T) {
	for seed := range uint64(24) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			b, edge := anyChain(rand.New(rand.NewPCG(seed, 7)))
			p := synthetic.Piece{Name: "bend", Shape: b, Pose: aslant()}
			e := recognised(t, p, scanOptions(edge))
			requireTruth(t, p, e, 0.3, 0.5)
			requireLegs(t, b, e, 0.3)
		})
	}
}

// TestBendWithoutEnd: where a bend's end is hidden but for a corner of a few facets, that
// corner is no end, and the bend is as it was.
func TestBendWithoutEnd(t *testing.T) {
	bent := synthetic.Bent{SectionDiameterMM: 8, Legs: []synthetic.Bend{{LengthMM: 20}, {RadiusMM: 28, AngleDeg: 54}, {LengthMM: 20}}}
	for _, corner := range []float64{2.9, 9} { // 9: none of it is left
		p := cutPatch(t, synthetic.Piece{Name: "bend", Shape: bent, Pose: synthetic.Upright(0, 0, 0)}, 0.6, func(q r3.Vec) bool {
			return math.Abs(q.X) < 5 && q.Z < 4 && !(q.Z < 0.25 && q.Y > corner)
		})
		e := Recognise(p, DefaultOptions())
		require.Equal(t, "arc", e.Kind, "corner from %v mm", corner)
		require.Greater(t, e.Coverage, 0.9)
		assert.Contains(t, e.Hidden, "developed_length_mm")
		for key, want := range map[string][2]float64{"sweep_deg": {54, 0.2}, "centreline_diameter_mm": {56, 0.2}, "section_diameter_mm": {8, 0.01}} {
			got, ok := e.Dim(key)
			require.True(t, ok, key)
			assert.InDelta(t, want[0], got, want[1], key)
		}
	}
}
