package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestPartOfTurnWithOneEnd: where weld hides one end of a rolled plate, a ring of
// which two thirds would be unseen is still no ring; of a gap that may be a
// piece in front, one end does not tell.
func TestPartOfTurnWithOneEnd(t *testing.T) {
	for sweep, want := range map[float64]bool{125: true, 290: false} {
		s := synthetic.RolledPlate{InsideDiameterMM: 74.5, ThicknessMM: 1.7, WidthMM: 16.7, SweepDeg: sweep}
		p := cutPatch(t, upright(s), 0.65, func(q r3.Vec) bool { return q.Z > 7.5 }) // open along one edge
		scout, opt := p.thin(scoutVertices), DefaultOptions()
		located := slidingMotions(scout, principalDirections(scout))
		var part *candidate
		for _, c := range proposeSector(scout, located) {
			if c.settle(scout, opt, scouting) {
				part = &c
				break
			}
		}
		require.NotNil(t, part)
		k := part.sol.(*sector)
		k.ends.seen = [2]bool{false, true}
		full := candidate{sol: &round{f: k.f, ro: k.ro, ri: k.ri}, explained: part.explained, rmsMM: part.rmsMM}
		_, got := partOfTurn(p, &full, []candidate{*part})
		assert.Equal(t, want, got, "%v°", sweep)
	}
}

// TestPartOfTurnSeenWhole: a rolled plate of 82 degrees and a flat arc of 106 that
// stands on something, both ends in sight, are no tube and no ring of which a
// quarter was seen.
func TestPartOfTurnSeenWhole(t *testing.T) {
	for _, c := range []struct {
		kind  string
		shape synthetic.Shape
		gone  func(r3.Vec) bool
	}{
		{"rolled_plate", synthetic.RolledPlate{InsideDiameterMM: 39.3, ThicknessMM: 1.9, WidthMM: 22, SweepDeg: 82},
			func(q r3.Vec) bool { return q.Z > 10.5 && q.X > 4 }},
		{"arc", synthetic.FlatArc{OutsideDiameterMM: 64.5, InsideDiameterMM: 43.7, ThicknessMM: 3.7, SweepDeg: 106},
			func(q r3.Vec) bool { return q.Z < -1 && math.Abs(q.X-10) < 2 }},
	} {
		e := Recognise(cutPatch(t, upright(c.shape), 0.6, c.gone), DefaultOptions())
		assert.Equal(t, c.kind, e.Kind)
	}
}

// TestPartOfTurnWithHoles: the walls of its holes, a tenth of all, lie on none of a
// rolled plate's surfaces, but in the metal of the turn that it would be a part of. That
// is no ring where the plate lies closer to all the rest.
func TestPartOfTurnWithHoles(t *testing.T) {
	p := cutPatch(t, upright(synthetic.RolledPlate{InsideDiameterMM: 61.8, ThicknessMM: 3, WidthMM: 21.6, SweepDeg: 107}), 0.7, func(q r3.Vec) bool { return q.Z > 10 })
	scout := p.thin(scoutVertices)
	list := proposeSector(scout, slidingMotions(scout, principalDirections(scout)))
	require.NotEmpty(t, list)
	part := list[0]
	require.True(t, part.settle(scout, DefaultOptions(), scouting))
	k := part.sol.(*sector)
	full := candidate{sol: &round{f: k.f, ro: k.ro, ri: k.ri}, explained: 0.96, rmsMM: 1.1 * part.rmsMM}
	for explained, want := range map[float64]bool{0.87: true, 0.75: false} {
		part.explained = explained
		_, got := partOfTurn(p, &full, []candidate{part})
		assert.Equal(t, want, got, "%.2f explained", explained)
	}
	part.explained, full.rmsMM = 0.87, 0.9*part.rmsMM
	_, got := partOfTurn(p, &full, []candidate{part})
	assert.False(t, got, "the ring lies closer")
}

// TestConvincingShowsItself: what explains all that is seen, but shows next to nothing of
// itself, convinces nobody: a bar bent round a far axis passes through both faces of a
// rolled plate.
func TestConvincingShowsItself(t *testing.T) {
	s := upright(synthetic.Bar{OutsideDiameterMM: 20, LengthMM: 60})
	opt := DefaultOptions()
	for least, want := range map[float64]bool{0: true, 9: false} { // a half of it, a strip
		p := cutPatch(t, s, 0.6, func(q r3.Vec) bool { return q.X < least })
		c := candidate{sol: &round{f: newFrame(r3.Scale(-1, p.OriginMM), r3.Vec{Z: 1}), ro: 10, free: true, end: [2]endPlane{{z: -30}, {z: 30}},
			seen: [4]bool{true, false, true, true}}, sizeMM: 20, explained: 1, rmsMM: p.NoiseMM}
		assert.Equal(t, want, c.convincing(p, opt), "from x = %v mm on: %.2f of it", least, c.coverage)
	}
}
