package main

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
	"pointup/segment/assembly"
	"pointup/segment/primitive"
)

func TestCommand(t *testing.T) {
	var out strings.Builder
	require.NoError(t, command(context.Background(), []string{"-seeds", "1", "-first", "2", "-pieces", "2", "-edge", "1.2", "-v"}, &out))
	rows := strings.Split(strings.TrimSpace(out.String()), "\n")
	assert.True(t, strings.HasPrefix(rows[len(rows)-1], "all"), "the last row sums up")
	assert.Contains(t, out.String(), "outside_diameter_mm", "-v lists dimensions")

	for _, bad := range [][]string{{"-seeds", "0"}, {"more"}, {"-pieces", "x"}} {
		require.Error(t, command(context.Background(), bad, &out))
	}
}

// TestJudge holds the score of a scene of two pieces, of which one is found
// whole, and a second element takes half of the other: 20 of 40 facets is a
// match, of the wrong kind.
func TestJudge(t *testing.T) {
	var scan synthetic.Welded
	var label []int32
	for i := range 80 {
		scan.Piece = append(scan.Piece, int32(i/40))
		label = append(label, []int32{0, 0, 1, -1}[i/20])
	}
	dims := []synthetic.Dim{{Key: "outside_diameter_mm", Value: 10}, {Key: "length_mm", Value: 30}}
	scan.Truth = []synthetic.Truth{{Kind: "bar", Dimensions: dims}, {Kind: "plate", Dimensions: []synthetic.Dim{{Key: "hole_count", Value: 2}}}}
	scan.Seen = []synthetic.Seen{{Whole: 1, Bore: 1, End: [2]float64{1, 0.1}}, {Whole: 1, Bore: 1, End: [2]float64{1, 1}}}
	a := primitive.Element{Kind: "bar", Dims: []primitive.Dimension{{Key: "outside_diameter_mm", Value: 10.02}}}
	b := primitive.Element{Kind: "disc", Dims: []primitive.Dimension{{Key: "hole_count", Value: 1}}}
	s := judge(scan, []assembly.Piece{{Element: a}, {Element: b}}, label)
	assert.Equal(t, 2, s.needFound)
	assert.Equal(t, 2, s.matched)
	assert.Equal(t, 1, s.kinds)
	assert.Equal(t, 1, s.countsOff)
	assert.Equal(t, 2, s.wanted, "an end that is not seen hides the length")
	assert.Equal(t, []float64{1, 0.5}, s.iou)
	require.Len(t, s.errs, 1)
	assert.InDelta(t, 0.02, s.errs[0], 1e-9)
}
