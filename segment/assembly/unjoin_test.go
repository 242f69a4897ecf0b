package assembly

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/synthetic"
	"pointup/segment/primitive"
	"pointup/segment/surface"
)

// TestUnjoin: where a base seems to go on into the end of a hexagonal bar on it, both
// are one part, a plate of which much lies elsewhere, or on a larger base a little;
// without that end they are two.
func TestUnjoin(t *testing.T) {
	for _, side := range []float64{70, 120} {
		testUnjoin(t, side)
	}
}

// grouped are the parts of a shell by its surfaces.
func grouped(t *testing.T, m *mesh.Mesh, faces []uint32, noiseMM float64) *grouping {
	p := primitive.NewPatch(m, faces, noiseMM)
	f := surface.FromMesh(p.P, p.N, p.Facet, p.EdgeMM, noiseMM)
	found, label, err := surface.Find(context.Background(), f, surface.DefaultOptions())
	require.NoError(t, err)
	return newGrouping(p, f, found, label)
}

func testUnjoin(t *testing.T, side float64) {
	opt := synthetic.DefaultWeldOptions()
	opt.EdgeMM = 0.6
	m, faces, _, noise := shellOf(t, []synthetic.Piece{
		{Name: "base", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(side, side-20), ThicknessMM: 5}},
		{Name: "bar", Pose: synthetic.Along(r3.Vec{X: 5, Y: 10, Z: 10}, r3.Vec{X: 1}), Shape: synthetic.Profile{Section: synthetic.Hexagon(18), LengthMM: 44}},
	}, opt)
	g := grouped(t, m, faces, noise)
	p, f := g.p, g.f
	top, end := int32(-1), int32(-1)
	for i, r := range g.at {
		switch q := r3.Add(f.P[i], p.OriginMM); {
		case r < 0:
		case math.Abs(q.Z-2.5) < 0.2 && q.X < -25 && f.N[i].Z > 0.95:
			top = r
		case q.X > 20 && q.X < 30 && q.Z > 5 && f.N[i].X > 0.95:
			end = r
		}
	}
	require.True(t, top >= 0 && end >= 0 && top != end)
	pair := [2]int32{min(top, end), max(top, end)}
	g.votes[pair] = vote{out: 1000}
	g.group()
	require.Equal(t, g.part[top], g.part[end])
	one, err := fitAll(context.Background(), m, p, g.facets(), nil, primitive.DefaultOptions())
	require.NoError(t, err)
	require.Len(t, one, 1)
	got, err := g.unjoin(context.Background(), m, one, primitive.DefaultOptions())
	require.NoError(t, err)
	assert.Equal(t, []string{"plate", "profile"}, kinds(got))
}

// TestConeOnTube: a cone that closes a tube goes on from it outwards all round: no
// region ties them, they are two all the same.
func TestConeOnTube(t *testing.T) {
	opt := synthetic.DefaultWeldOptions()
	opt.EdgeMM = 0.7
	got := apart(t, []synthetic.Piece{
		{Name: "base", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(60, 40), ThicknessMM: 4}},
		{Name: "tube", Pose: synthetic.Upright(0, 0, 19), Shape: synthetic.Tube{OutsideDiameterMM: 17, InsideDiameterMM: 13, LengthMM: 35}},
		{Name: "cone", Pose: synthetic.Upright(0, 0, 48), Shape: synthetic.Cone{LargeDiameterMM: 16.8, SmallDiameterMM: 10, HeightMM: 24}},
	}, opt)
	assert.ElementsMatch(t, []string{"plate", "bar", "cone"}, kinds(got), "the tube's bore is closed")
}

// TestFlushEnd: weld where an angle ends flush with the edge of its base adds nothing
// to the base's width.
func TestFlushEnd(t *testing.T) {
	opt := synthetic.DefaultWeldOptions()
	opt.EdgeMM = 0.6
	got := apart(t, []synthetic.Piece{
		{Name: "base", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(70, 50), ThicknessMM: 4}},
		{Name: "angle", Pose: synthetic.Along(r3.Vec{X: 10, Y: 15, Z: 12}, r3.Vec{Y: 1}), Shape: synthetic.Profile{Section: synthetic.Angle(22, 22, 4), LengthMM: 20}},
	}, opt)
	require.Equal(t, []string{"plate", "profile"}, kinds(got))
	sizes(t, got[0], map[string]float64{"length_mm": 70, "width_mm": 50, "thickness_mm": 4})
}

// TestBetterApart: of a part that is nothing known, a bar that shows all of itself is
// worth having though the rest stays unknown; a third of one, or a rest alone, is not.
func TestBetterApart(t *testing.T) {
	for name, c := range map[string]struct {
		seen float64 // of the bar, up to this x, mm
		want bool
	}{"a whole bar": {40, true}, "a third of its side": {-3, false}} {
		_, p, got := cutUp(t, []synthetic.Piece{{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 14, LengthMM: 40}}}, 2, func(q r3.Vec) int {
			if q.X < c.seen {
				return 0
			}
			return 1
		})
		unknown := Piece{Element: primitive.Element{Kind: "freeform"}, Faces: got[0].Faces, Patch: got[0].Patch}
		g := &grouping{p: p}
		assert.Equal(t, c.want, g.better(unknown, []Piece{got[0], unknown}), name)
		assert.False(t, g.better(unknown, []Piece{unknown, unknown}), name)
	}
}

// TestAstray: the facets of a bar at the end of an arc that is a little thicker, taken
// for its leg, lie on none of its surface: the arc is one piece and the bar another.
func TestAstray(t *testing.T) {
	opt := synthetic.DefaultWeldOptions()
	opt.EdgeMM = 0.6
	m, faces, _, noise := shellOf(t, []synthetic.Piece{
		{Name: "arc", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Arc{CentrelineDiameterMM: 60, SectionDiameterMM: 9, SweepDeg: 150}},
		{Name: "bar", Pose: synthetic.Along(r3.Vec{X: 30, Y: -6.5}, r3.Vec{Y: 1}), Shape: synthetic.Bar{OutsideDiameterMM: 8, LengthMM: 15}},
	}, opt)
	g := grouped(t, m, faces, noise)
	each, err := fitAll(context.Background(), m, g.p, g.facets(), nil, primitive.DefaultOptions())
	require.NoError(t, err)
	require.Equal(t, []string{"arc", "bar"}, kinds(each))
	_, ok := g.astray(each[0])
	assert.False(t, ok)
	both := each[0]
	both.Faces = merged(each[0].Faces, each[1].Faces)
	both.Patch = primitive.NewPatch(m, both.Faces, noise)
	got, err := g.unjoin(context.Background(), m, []Piece{both}, primitive.DefaultOptions())
	require.NoError(t, err)
	assert.Equal(t, []string{"arc", "bar"}, kinds(got))
}
