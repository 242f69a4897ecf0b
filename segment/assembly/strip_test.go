package assembly

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
	"pointup/segment/primitive"
)

// TestStrip: a short rod over whose weld its region has spread on to a plate is nothing
// known; without what is on no surface it is a rod.
func TestStrip(t *testing.T) {
	m, p, got := cutUp(t, []synthetic.Piece{
		{Name: "rod", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 24}},
		{Name: "plate", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(40, 30), ThicknessMM: 4}},
	}, 1, func(q r3.Vec) int {
		switch r := math.Hypot(q.X, q.Y); {
		case r < 5.1 && math.Abs(q.Z) > 3 && math.Abs(q.Z) < 11, r > 7 && r < 10:
			return 0
		}
		return -1
	})
	require.Equal(t, []string{"freeform"}, kinds(got))
	g := &grouping{p: p, at: make([]int32, len(p.P))}
	for i, q := range p.P {
		if q = r3.Add(q, p.OriginMM); math.Hypot(q.X, q.Y) > 5.5 {
			g.at[i] = -1
		}
	}
	require.NoError(t, g.strip(context.Background(), m, got, primitive.DefaultOptions()))
	require.Equal(t, []string{"bar"}, kinds(got))
	sizes(t, got[0], map[string]float64{"outside_diameter_mm": 10})
}
