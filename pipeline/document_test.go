package pipeline

import (
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/pipeline/result"
	"pointup/segment/primitive"
)

// TestSegmentsReachTheDocument holds that a compound bend's list comes out as it
// was fitted, lengths doubled at twice the size, angles not.
func TestSegmentsReachTheDocument(t *testing.T) {
	e := primitive.Element{Kind: "arc", Segments: []primitive.Segment{
		{Kind: "straight", Dims: []primitive.Dimension{{Key: "length_mm", Value: 18.1}}},
		{Kind: "arc", Dims: []primitive.Dimension{{Key: "centreline_diameter_mm", Value: 38.8}, {Key: "sweep_deg", Value: 55}, {Key: "turn_deg", Value: 45}}},
		{Kind: "straight"},
	}}
	got, ok := dims(&e).Times(2).Get("segments").(result.Segments)
	require.True(t, ok)
	require.Len(t, got, 3)
	require.InDelta(t, 36.2, float64(*got[0].LengthMM), 1e-12)
	require.InDelta(t, 77.6, float64(*got[1].CentrelineDiameterMM), 1e-12)
	require.Equal(t, result.Deg(55), *got[1].SweepDeg)
	require.Equal(t, result.Deg(45), *got[1].TurnDeg)
	require.Nil(t, got[2].LengthMM)
}
