package primitive

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestHopeless: a long tube of which an end is all but hidden is not hopeless, though a
// glance shows a point or two of that end, whose form may be anything; a tube across
// it is.
func TestHopeless(t *testing.T) {
	opt := scanOptions(0.5)
	opt.NoiseMM = 0.08
	p := cutScan(t, upright(synthetic.Tube{OutsideDiameterMM: 13, InsideDiameterMM: 7, LengthMM: 64}), opt, func(q r3.Vec) bool {
		return q.Z > 31.8 && q.X < 4
	})
	glance := p.thin(glanceVertices)
	require.NotNil(t, glance.full)
	tell := func(axis r3.Vec) (hopeless bool) {
		hopeless = true
		for _, c := range proposeRound(glance, unlocated([]r3.Vec{axis})) {
			hopeless = hopeless && c.hopeless(glance, DefaultOptions())
		}
		return hopeless
	}
	assert.False(t, tell(r3.Vec{Z: 1}))
	assert.True(t, tell(r3.Vec{X: 1}))
	e := Recognise(p, DefaultOptions())
	assert.Equal(t, "tube", e.Kind)
}

// TestEligibleOnce: of candidates that a glance leads to one solid the first alone is
// fitted further; a bar beside a tube is another.
func TestEligibleOnce(t *testing.T) {
	p := patchOf(t, soupOf(t, upright(synthetic.Tube{OutsideDiameterMM: 13, InsideDiameterMM: 7, LengthMM: 64}), scanOptions(0.5)))
	glance := p.thin(glanceVertices)
	require.NotNil(t, glance.full)
	axes := unlocated([]r3.Vec{{Z: 1}, {X: 0.004, Z: 1}})
	list := proposeRound(p, axes)
	require.Len(t, list, 4)
	kept := eligible(list, p.thin(scoutVertices), glance, DefaultOptions())
	require.NotEmpty(t, kept)
	assert.LessOrEqual(t, len(kept), 2)
	assert.Equal(t, list[0].sol, kept[0].sol)
}
