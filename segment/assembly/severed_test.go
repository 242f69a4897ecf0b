package assembly

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/synthetic"
	"pointup/segment/primitive"
)

// apart takes a welded scene apart.
func apart(t *testing.T, pieces []synthetic.Piece, opt synthetic.WeldOptions) []Piece {
	scan, err := synthetic.ScanWelded(synthetic.Scene{Name: "welded", Pieces: pieces}, opt)
	require.NoError(t, err)
	m, report, err := mesh.Check(context.Background(), scan.Soup("welded.stl"), mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	faces := make([]uint32, len(m.Faces))
	for f := range faces {
		faces[f] = uint32(f)
	}
	out, err := Pieces(context.Background(), m, primitive.NewPatch(m, faces, report.NoiseMM), primitive.DefaultOptions())
	require.NoError(t, err)
	return out
}

func kinds(pieces []Piece) []string {
	var out []string
	for _, x := range pieces {
		out = append(out, x.Element.Kind)
	}
	return out
}

// sizes holds a piece's dimensions against what was made, within 0.15 mm, the
// limit of the study of welded scenes.
func sizes(t *testing.T, x Piece, want map[string]float64) {
	for key, mm := range want {
		got, ok := x.Element.Dim(key)
		if assert.True(t, ok, "%s of the %s", key, x.Element.Kind) {
			assert.InDelta(t, mm, got, 0.15, "%s of the %s", key, x.Element.Kind)
		}
	}
}

// TestSevered: a plate and a wheel that another plate cuts right through are one
// piece each, whole; two plates in line with air between are two.
func TestSevered(t *testing.T) {
	opt := synthetic.DefaultWeldOptions()
	opt.EdgeMM = 0.7
	x, y := r3.Vec{X: 1}, r3.Vec{Y: 1}
	t.Run("plate", func(t *testing.T) {
		got := apart(t, []synthetic.Piece{
			{Name: "long", Pose: synthetic.Along(r3.Vec{}, y), Shape: synthetic.Plate{Outline: synthetic.Rectangle(56, 16), ThicknessMM: 3}},
			{Name: "across", Pose: synthetic.Along(r3.Vec{X: -4}, x), Shape: synthetic.Plate{Outline: synthetic.Rectangle(44, 40), ThicknessMM: 4}},
		}, opt)
		require.Equal(t, []string{"plate", "plate"}, kinds(got))
		sizes(t, got[0], map[string]float64{"length_mm": 44, "width_mm": 40, "thickness_mm": 4})
		sizes(t, got[1], map[string]float64{"length_mm": 56, "width_mm": 16, "thickness_mm": 3})
	})
	t.Run("wheel", func(t *testing.T) {
		got := apart(t, []synthetic.Piece{
			{Name: "wheel", Pose: synthetic.Along(r3.Vec{}, y), Shape: synthetic.ToothedWheel{ToothCount: 21, TipDiameterMM: 48, RootDiameterMM: 40, ThicknessMM: 5, Teeth: synthetic.StraightTeeth()}},
			{Name: "across", Pose: synthetic.Along(r3.Vec{X: 13}, x), Shape: synthetic.Plate{Outline: synthetic.Rectangle(56, 50), ThicknessMM: 3.5}},
		}, opt)
		require.ElementsMatch(t, []string{"plate", "toothed_wheel"}, kinds(got))
		for _, x := range got {
			if x.Element.Kind == "toothed_wheel" {
				sizes(t, x, map[string]float64{"tooth_count": 21, "tip_diameter_mm": 48, "root_diameter_mm": 40, "thickness_mm": 5})
			}
		}
	})
	t.Run("in line", func(t *testing.T) {
		got := apart(t, []synthetic.Piece{
			{Name: "base", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(70, 30), ThicknessMM: 4}},
			{Name: "left", Pose: synthetic.Along(r3.Vec{X: -16, Z: 8.9}, y), Shape: synthetic.Plate{Outline: synthetic.Rectangle(24, 14), ThicknessMM: 3}},
			{Name: "right", Pose: synthetic.Along(r3.Vec{X: 16, Z: 8.9}, y), Shape: synthetic.Plate{Outline: synthetic.Rectangle(24, 14), ThicknessMM: 3}},
		}, opt)
		require.Equal(t, []string{"plate", "plate", "plate"}, kinds(got))
	})
}
