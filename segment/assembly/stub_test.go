package assembly

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestStub: a rod that comes out behind a plate by so little that this is no part of its
// own is as long as it is; one that ends in the plate has no end that anybody sees.
func TestStub(t *testing.T) {
	opt := synthetic.DefaultWeldOptions()
	opt.EdgeMM = 0.7
	scene := func(out float64) []synthetic.Piece {
		return []synthetic.Piece{
			{Name: "plate", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(110, 90), ThicknessMM: 5}},
			{Name: "rod", Pose: synthetic.Along(r3.Vec{X: 5, Z: 15 - 2.5 - out}, r3.Vec{Z: 1}), Shape: synthetic.Bar{OutsideDiameterMM: 5, LengthMM: 30}},
		}
	}
	got := apart(t, scene(1.2), opt)
	require.Equal(t, []string{"plate", "bar"}, kinds(got))
	sizes(t, got[1], map[string]float64{"outside_diameter_mm": 5, "length_mm": 30})
	for _, f := range got[1].Faces {
		for _, x := range got {
			assert.NotContains(t, x.Weld, f)
		}
	}
	got = apart(t, scene(-2), opt)
	require.Equal(t, []string{"plate", "bar"}, kinds(got))
	assert.Contains(t, got[1].Element.Hidden, "length_mm")
}
