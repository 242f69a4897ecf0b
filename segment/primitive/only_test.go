package primitive

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
)

// TestRecogniseAs holds what a piece can be when its owner says so: what only
// sight or proportion tells apart follows, another shape does not.
func TestRecogniseAs(t *testing.T) {
	tube := synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 15, LengthMM: 40}
	bar := synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 40}
	ring := synthetic.Ring{OutsideDiameterMM: 40, InsideDiameterMM: 34, ThicknessMM: 18}
	disc := synthetic.Disc{OutsideDiameterMM: 40, ThicknessMM: 5}
	for _, row := range []struct {
		name, kind string
		shape      synthetic.Shape
		ok         bool
		dims       map[string]float64
		hidden     []string
	}{
		{"a tube is one", "tube", tube, true, map[string]float64{"outside_diameter_mm": 20, "wall_mm": 2.5}, nil},
		{"a tube is no bar", "bar", tube, false, nil, nil},
		{"a tube is no plate", "plate", tube, false, nil, nil},
		{"a bar with a bore that nobody saw", "tube", bar, true, map[string]float64{"outside_diameter_mm": 10, "length_mm": 40}, []string{"inside_diameter_mm", "wall_mm"}},
		{"a short tube", "tube", ring, true, map[string]float64{"wall_mm": 3, "length_mm": 18}, nil},
		{"a disc with a bore behind another piece", "ring", disc, true, map[string]float64{"outside_diameter_mm": 40, "thickness_mm": 5}, []string{"inside_diameter_mm"}},
		{"a disc is no arc", "arc", disc, false, nil, nil},
		{"anything is freeform", "freeform", bar, true, map[string]float64{"length_mm": 41}, nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			t.Parallel()
			p := patchOf(t, soupOf(t, synthetic.Piece{Name: "x", Shape: row.shape, Pose: aslant()}, scanOptions(1.2)))
			e, ok := RecogniseAs(p, DefaultOptions(), row.kind)
			require.Equal(t, row.ok, ok)
			if !ok {
				require.NotEqual(t, row.kind, e.Kind)
				return
			}
			require.Equal(t, row.kind, e.Kind)
			for key, want := range row.dims {
				got, has := e.Dim(key)
				assert.True(t, has, key)
				assert.InDelta(t, want, got, map[bool]float64{true: 2, false: 0.05}[row.kind == "freeform"], key)
			}
			for _, key := range row.hidden {
				assert.Contains(t, e.Hidden, key)
			}
		})
	}
}
