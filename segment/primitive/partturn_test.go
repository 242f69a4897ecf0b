package primitive

import (
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
			if c.settle(scout, opt, true) {
				part = &c
				break
			}
		}
		require.NotNil(t, part)
		k := part.sol.(*sector)
		k.ends.seen = [2]bool{false, true}
		full := candidate{sol: &round{f: k.f, ro: k.ro, ri: k.ri}, explained: part.explained, rmsMM: part.rmsMM}
		assert.Equal(t, want, partOfTurn(p, &full, []candidate{*part}), "%v°", sweep)
	}
}
