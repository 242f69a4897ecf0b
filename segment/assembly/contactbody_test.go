package assembly

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/primitive"
)

// A piece that is no known shape meets others by its scan: here a tube, taken for
// freeform, on a plate.
func TestFreeformMeetsByItsScan(t *testing.T) {
	m, bodies, g := scene(t, quiet(1), plate(60, 50, 4, 0), tubeAt(16, 12, 40, r3.Vec{Z: 22}, r3.Vec{Z: 1}), tubeAt(8, 6, 20, r3.Vec{X: 13.5, Z: 16}, r3.Vec{Z: 1}))
	bodies[1].Element = &primitive.Element{Kind: "freeform"}
	got, _, err := Contacts(context.Background(), m, bodies, g)
	require.NoError(t, err)
	require.Len(t, got, 1, "the third stands apart")
	assert.Equal(t, []int{0, 1}, []int{got[0].A, got[0].B})
	assert.Equal(t, "free form on plate", got[0].Kind)
	assert.True(t, math.IsNaN(got[0].AngleDeg))
	assert.InDelta(t, 0, got[0].GapMM, 0.2)
	assert.Positive(t, got[0].LengthMM)
}
