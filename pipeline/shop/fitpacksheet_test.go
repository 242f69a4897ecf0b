package shop

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/pipeline/draw"
)

// TestStepSheet: a step's page has a line for each tape with its length, and all
// lines lie on one page of A4.
func TestStepSheet(t *testing.T) {
	parts, _, _ := randomWork(1, 4)
	_, _, pack := packOf(t, 1, 4)
	for _, f := range pack {
		d := StepSheet(f, len(pack), parts)
		require.NoError(t, d.Check())
		var all strings.Builder
		for _, it := range d.Items {
			if l, ok := it.Shape.(draw.Label); ok {
				all.WriteString(l.Text + "\n")
			}
			lo, hi := draw.Box(it.Shape)
			assert.True(t, lo[0] >= 0 && hi[0] < 277 && lo[1] > -240, "%v %v", lo, hi)
		}
		for _, tape := range f.Tapes {
			assert.Contains(t, all.String(), tape.FeetInches)
		}
		assert.GreaterOrEqual(t, strings.Count(all.String(), "[  ]"), len(f.Tapes)+len(f.Levels))
	}
}
