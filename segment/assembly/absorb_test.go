package assembly

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh"
	"pointup/mesh/synthetic"
	"pointup/segment/primitive"
)

// TestAbsorb: a corner of a plate's face that was cut off is a patch of the plate;
// another plate in the same plane, and a smaller piece elsewhere, are not.
func TestAbsorb(t *testing.T) {
	scene := synthetic.Scene{Name: "plates", Pieces: []synthetic.Piece{
		{Name: "large", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(60, 40), ThicknessMM: 4}},
		{Name: "beside", Pose: synthetic.Upright(55, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(30, 30), ThicknessMM: 4}},
	}}
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = 1, 0.02
	scan, err := synthetic.Scan(scene, opt)
	require.NoError(t, err)
	m, report, err := mesh.Check(context.Background(), scan.Soup("plates.stl"), mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	var large, corner, beside, all []uint32
	for f, v := range m.Faces {
		all = append(all, uint32(f))
		switch q := m.At(v[0]); {
		case q.X > 35:
			beside = append(beside, uint32(f))
		case q.X > 15 && q.Y > 5 && q.Z > 1:
			corner = append(corner, uint32(f))
		default:
			large = append(large, uint32(f))
		}
	}
	whole := primitive.NewPatch(m, all, report.NoiseMM)
	var pieces []Piece
	for _, faces := range [][]uint32{large, beside, corner} {
		q := primitive.NewPatch(m, faces, report.NoiseMM)
		pieces = append(pieces, Piece{Element: primitive.Recognise(q, primitive.DefaultOptions()), Faces: faces, Patch: q})
	}
	require.Equal(t, "plate", pieces[0].Element.Kind)
	require.Equal(t, "plate", pieces[1].Element.Kind)
	got := absorb(whole, pieces)
	require.Len(t, got, 2)
	assert.Equal(t, large, got[0].Faces)
	assert.Equal(t, beside, got[1].Faces)

	got = absorbFitted(m, whole, pieces, primitive.DefaultOptions())
	require.Len(t, got, 2)
	assert.Equal(t, merged(large, corner), merged(got[0].Faces, got[0].Weld))
	assert.Greater(t, len(got[0].Faces), len(large)+len(corner)*9/10, "the corner is the plate's own")
	assert.Greater(t, got[0].Element.Coverage, pieces[0].Element.Coverage)
}

// TestLeaveWeld: what is small and nothing known becomes weld of the nearest
// piece, and no facet is lost.
func TestLeaveWeld(t *testing.T) {
	scene := synthetic.Scene{Name: "bar", Pieces: []synthetic.Piece{
		{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 20, LengthMM: 80}},
		{Name: "bead", Pose: synthetic.Upright(13, 0, 0), Shape: synthetic.Sphere{DiameterMM: 3}},
	}}
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = 0.6, 0.02
	scan, err := synthetic.Scan(scene, opt)
	require.NoError(t, err)
	m, report, err := mesh.Check(context.Background(), scan.Soup("bar.stl"), mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	var bar, bead, all []uint32
	for f, v := range m.Faces {
		all = append(all, uint32(f))
		if m.At(v[0]).X > 11 {
			bead = append(bead, uint32(f))
		} else {
			bar = append(bar, uint32(f))
		}
	}
	whole := primitive.NewPatch(m, all, report.NoiseMM)
	q := primitive.NewPatch(m, bar, report.NoiseMM)
	e := primitive.Recognise(q, primitive.DefaultOptions())
	nothing := primitive.NewPatch(m, bead, report.NoiseMM)
	got := leaveWeld(whole, []Piece{{Element: e, Faces: bar, Patch: q}, {Element: primitive.Element{Kind: "freeform"}, Faces: bead, Patch: nothing}})
	require.Len(t, got, 1)
	assert.Equal(t, bar, got[0].Faces)
	assert.Equal(t, bead, got[0].Weld)
}

// TestLeaveWeldStanding: a lump of 6 by 6 mm on a bar, flat on top, is a plate on a
// hidden face by itself, but too small beside the bar to be more than weld.
func TestLeaveWeldStanding(t *testing.T) {
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = 0.5, 0.02
	scan, err := synthetic.Scan(synthetic.Scene{Name: "lump", Pieces: []synthetic.Piece{
		{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 90, LengthMM: 90}},
		{Name: "lump", Pose: synthetic.Upright(0, 0, 46), Shape: synthetic.Plate{Outline: synthetic.Rectangle(6, 6), ThicknessMM: 3}},
	}}, opt)
	require.NoError(t, err)
	m, report, err := mesh.Check(context.Background(), scan.Soup("lump.stl"), mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	var bar, lump, all []uint32
	for f, v := range m.Faces {
		all = append(all, uint32(f))
		if q := m.At(v[0]); q.Z > 45.3 {
			lump = append(lump, uint32(f))
		} else if q.Z < 44.9 || max(q.X, -q.X, q.Y, -q.Y) > 4 {
			bar = append(bar, uint32(f))
		}
	}
	x := Fit(m, lump, report.NoiseMM, primitive.DefaultOptions())
	require.Equal(t, "plate", x.Element.Kind)
	require.True(t, x.Element.Standing())
	whole := primitive.NewPatch(m, all, report.NoiseMM)
	got := leaveWeld(whole, []Piece{Fit(m, bar, report.NoiseMM, primitive.DefaultOptions()), x})
	require.Len(t, got, 1)
	assert.Equal(t, lump, got[0].Weld)
}
