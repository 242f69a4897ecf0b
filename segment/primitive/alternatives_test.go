package primitive

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
)

// TestAlternatives holds that a piece that could be two things names the other:
// a shallow arc within the form that is allowed is a bowed bar, and says arc.
func TestAlternatives(t *testing.T) {
	p := synthetic.Piece{Name: "bowed", Shape: synthetic.Tube{OutsideDiameterMM: 24, InsideDiameterMM: 20, LengthMM: 45}, Pose: aslant(), Form: synthetic.Form{BowMM: 0.3}}
	e := recognised(t, p, scanOptions(1.8))
	require.Equal(t, "tube", e.Kind)
	require.NotEmpty(t, e.Alternatives)
	for _, a := range e.Alternatives {
		assert.NotEqual(t, e.Kind, a.Kind)
		assert.Positive(t, a.RMSMM)
	}
	assert.Equal(t, "arc", e.Alternatives[0].Kind)
}
