package assembly

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/synthetic"
	"pointup/segment/primitive"
)

// shellOf is a welded scene as one shell, without the facets that gone tells.
func shellOf(t *testing.T, pieces []synthetic.Piece, opt synthetic.WeldOptions) (m *mesh.Mesh, faces, points []uint32, noiseMM float64) {
	scan, err := synthetic.ScanWelded(synthetic.Scene{Name: "welded", Pieces: pieces}, opt)
	require.NoError(t, err)
	m, report, err := mesh.Check(context.Background(), scan.Soup("welded.stl"), mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	for f := range m.Faces {
		faces = append(faces, uint32(f))
	}
	for v := range m.Points {
		points = append(points, uint32(v))
	}
	return m, faces, points, report.NoiseMM
}

// TestShellStands: a large plate with a bar on it is recognised as a plate, of
// which the bar is a tenth: it is taken apart all the same. The plate alone, with
// a bead on it, is one piece.
func TestShellStands(t *testing.T) {
	opt := synthetic.DefaultWeldOptions()
	opt.EdgeMM = 0.8
	base := synthetic.Piece{Name: "base", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(70, 50), ThicknessMM: 4}}
	for name, c := range map[string]struct {
		on   synthetic.Piece
		want []string
	}{
		"a bar":  {synthetic.Piece{Name: "bar", Pose: synthetic.Upright(10, 5, 16.9), Shape: synthetic.Bar{OutsideDiameterMM: 8, LengthMM: 30}}, []string{"bar", "plate"}},
		"a bead": {synthetic.Piece{Name: "bead", Pose: synthetic.Upright(10, 5, 2), Shape: synthetic.Sphere{DiameterMM: 3}}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			m, faces, points, noise := shellOf(t, []synthetic.Piece{base, c.on}, opt)
			whole, pieces, err := Shell(context.Background(), m, faces, points, noise, primitive.DefaultOptions())
			require.NoError(t, err)
			require.Equal(t, "plate", whole.Element.Kind)
			got := kinds(pieces)
			slices.Sort(got)
			assert.Equal(t, c.want, got)
		})
	}
}

// TestShellSteps: two bars of nearly one size end to end pass for one of the mean
// diameter, with many times the scatter: they are two. One bar bent out of true has
// no step, and stays one.
func TestShellSteps(t *testing.T) {
	opt := synthetic.DefaultWeldOptions()
	opt.EdgeMM, opt.NoiseMM = 0.5, 0.02
	bar := func(name string, z, diameterMM float64) synthetic.Piece {
		return synthetic.Piece{Name: name, Pose: synthetic.Upright(0, 0, z), Shape: synthetic.Bar{OutsideDiameterMM: diameterMM, LengthMM: 50}}
	}
	m, faces, points, noise := shellOf(t, []synthetic.Piece{bar("lower", 0, 9), bar("upper", 49.5, 8.5)}, opt)
	whole, pieces, err := Shell(context.Background(), m, faces, points, noise, primitive.DefaultOptions())
	require.NoError(t, err)
	require.Equal(t, "bar", whole.Element.Kind)
	require.Equal(t, []string{"bar", "bar"}, kinds(pieces))
	for _, x := range pieces {
		d, _ := x.Element.Dim("outside_diameter_mm")
		if d > 8.75 {
			assert.InDelta(t, 9, d, 0.03)
		} else {
			assert.InDelta(t, 8.5, d, 0.03)
		}
	}
	bent := synthetic.Piece{Name: "bent", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Arc{CentrelineDiameterMM: 3000, SectionDiameterMM: 9, SweepDeg: 3.8}}
	m, faces, points, noise = shellOf(t, []synthetic.Piece{bent}, opt)
	_, pieces, err = Shell(context.Background(), m, faces, points, noise, primitive.DefaultOptions())
	require.NoError(t, err)
	assert.Empty(t, pieces)
}

// TestIslands: what is seen of a bar's side through an opening is the bar's; a
// scrap beside it is weld; a closed ball is a piece of its own.
func TestIslands(t *testing.T) {
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = 0.7, 0.02
	scan, err := synthetic.Scan(synthetic.Scene{Name: "islands", Pieces: []synthetic.Piece{
		{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 20, LengthMM: 60}},
		{Name: "scrap", Pose: synthetic.Upright(15, 0, 0), Shape: synthetic.Sphere{DiameterMM: 4}},
		{Name: "ball", Pose: synthetic.Upright(-20, 0, 0), Shape: synthetic.Sphere{DiameterMM: 5}},
	}}, opt)
	require.NoError(t, err)
	m, report, err := mesh.Check(context.Background(), scan.Soup("islands.stl"), mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	var bar, spot, scrap, ball []uint32
	for f, v := range m.Faces {
		switch q := m.At(v[0]); {
		case q.X > 12.5:
			if q.Z > 0.3 {
				scrap = append(scrap, uint32(f))
			}
		case q.X < -12.5:
			ball = append(ball, uint32(f))
		default:
			switch d := r3.Norm(r3.Sub(r3.Vec{X: q.X, Y: q.Y, Z: q.Z}, r3.Vec{Y: 10, Z: 8})); {
			case d < 4:
				spot = append(spot, uint32(f))
			case d > 6:
				bar = append(bar, uint32(f))
			}
		}
	}
	fitted := func(faces []uint32, kind string) Piece {
		x := Fit(m, faces, report.NoiseMM, primitive.DefaultOptions())
		if kind != "" {
			x.Element = primitive.Element{Kind: kind}
		}
		return x
	}
	pieces := []Piece{fitted(bar, "")}
	require.Equal(t, "bar", pieces[0].Element.Kind)
	taken := Islands(m, pieces, []Piece{fitted(spot, "freeform"), fitted(scrap, "freeform"), fitted(ball, "")}, report.NoiseMM, primitive.DefaultOptions())
	assert.Equal(t, []bool{true, true, false}, taken)
	assert.Equal(t, merged(bar, spot), pieces[0].Faces)
	assert.Equal(t, scrap, pieces[0].Weld)
	sizes(t, pieces[0], map[string]float64{"outside_diameter_mm": 20, "length_mm": 60})

	shard := slices.DeleteFunc(slices.Clone(scrap), func(f uint32) bool { return m.At(m.Faces[f][0]).Z < 1.4 })
	known := fitted(shard, "sphere")
	known.Element.Coverage = 0.3
	assert.Equal(t, []bool{true}, Islands(m, slices.Clone(pieces), []Piece{known}, report.NoiseMM, primitive.DefaultOptions()))
	known.Element.Coverage = 0.7
	assert.Equal(t, []bool{false}, Islands(m, slices.Clone(pieces), []Piece{known}, report.NoiseMM, primitive.DefaultOptions()))
}

// TestMayBeIsland: an open part of a face that is nothing known may be of another
// shell's piece, however many facets it has, but for a scan of its own; what is known
// and large is none.
func TestMayBeIsland(t *testing.T) {
	for name, c := range map[string]struct {
		kind   string
		open   int
		facets int
		want   bool
	}{
		"spot":            {"freeform", 10, 200, true},
		"bore":            {"tube", 10, 200, true},
		"spatter":         {"freeform", 0, 200, true},
		"small ball":      {"sphere", 0, 200, false},
		"back of a plate": {"freeform", 200, 2600, true},
		"lump":            {"freeform", 0, 2600, false},
		"open tube":       {"tube", 200, 2600, false},
		"another scan":    {"freeform", 200, 200000, false},
	} {
		x := Piece{Element: primitive.Element{Kind: c.kind}, Faces: make([]uint32, c.facets), Patch: &primitive.Patch{OpenEdges: c.open}}
		assert.Equal(t, c.want, MayBeIsland(x), name)
	}
}
