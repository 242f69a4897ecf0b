package assembly

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/synthetic"
	"pointup/segment/primitive"
)

// barAndPlate reads a bar that stands beside a plate in two ways: group as in cutUp.
func barAndPlate(t *testing.T, groups int, group func(r3.Vec) int) (*mesh.Mesh, *primitive.Patch, []Piece) {
	return cutUp(t, []synthetic.Piece{
		{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 12, LengthMM: 60}},
		{Name: "plate", Pose: synthetic.Upright(60, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(50, 40), ThicknessMM: 5}},
	}, groups, group)
}

// TestLikelier: of a bar in two and the bar, which both explain all, the bar is taken,
// from whichever reading; a piece that takes up what it does not explain is not, and
// what the readings say of other pieces has no part in it.
func TestLikelier(t *testing.T) {
	beside := func(q r3.Vec) bool { return q.X > 20 }
	_, p, whole := barAndPlate(t, 2, func(q r3.Vec) int {
		if beside(q) {
			return 1
		}
		return 0
	})
	_, _, parts := barAndPlate(t, 3, func(q r3.Vec) int {
		switch {
		case beside(q):
			return 2
		case q.Z > 0:
			return 0
		}
		return 1
	})
	require.Equal(t, []string{"bar", "plate"}, kinds(whole))
	require.Equal(t, []string{"bar", "bar", "plate"}, kinds(parts))
	assert.ElementsMatch(t, []string{"bar", "plate"}, kinds(likelier(p, parts, whole)))
	assert.ElementsMatch(t, []string{"bar", "plate"}, kinds(likelier(p, whole, parts)))

	both := Piece{Element: whole[0].Element, Faces: p.Face, Patch: p}
	assert.ElementsMatch(t, []string{"bar", "plate"}, kinds(likelier(p, []Piece{both}, whole)), "a bar with the plate's facets")
	unknown := Piece{Element: primitive.Element{Kind: "freeform"}, Faces: whole[1].Faces, Patch: whole[1].Patch}
	got := likelier(p, []Piece{parts[0], parts[1], whole[1]}, []Piece{whole[0], unknown})
	assert.ElementsMatch(t, []string{"bar", "plate"}, kinds(got), "the bar of one, the plate of the other")
}

// TestAlready: the piece that has all but a few of a part's facets is that part.
func TestAlready(t *testing.T) {
	_, p, got := barAndPlate(t, 2, func(q r3.Vec) int {
		if q.X > 20 {
			return 1
		}
		return 0
	})
	parts := make([][]int32, 2)
	for i, k := range owners(p, got) {
		parts[k] = append(parts[k], int32(i))
	}
	assert.Equal(t, []*Piece{&got[0], &got[1]}, already([]dealing{dealingOf(p, got)}, parts))
	n := len(parts[0])
	assert.Equal(t, []*Piece{&got[0], nil}, already([]dealing{dealingOf(p, got)}, [][]int32{parts[0][:n-n/50], parts[1][:len(parts[1])*9/10]}))
	assert.Equal(t, []*Piece{nil, nil}, already(nil, parts))
	assert.Equal(t, []*Piece{&got[0], &got[1]}, already([]dealing{dealingOf(p, got[1:]), dealingOf(p, got)}, parts), "the second list has the first part")
}

// TestDealt: facets that two pieces have go to the first, those that none has are weld
// of the nearest, and no facet is lost.
func TestDealt(t *testing.T) {
	m, p, got := barAndPlate(t, 2, func(q r3.Vec) int {
		switch {
		case q.X > 20:
			return 1
		case math.Abs(q.Z) < 25:
			return 0
		}
		return -1
	})
	was := len(got[1].Faces)
	got[0].Faces = merged(got[0].Faces, got[1].Faces[:10])
	out := dealt(m, p, got)
	assert.Len(t, out[1].Faces, was-10)
	assert.Len(t, out[1].Patch.Face, was-10)
	for _, x := range out {
		assert.Equal(t, len(x.Patch.Vertex), len(x.Element.DeviationMM), x.Element.Kind)
	}
	n := 0
	for _, x := range out {
		n += len(x.Faces) + len(x.Weld)
	}
	assert.Equal(t, len(p.Face), n)
	assert.NotEmpty(t, out[0].Weld)
	assert.Empty(t, out[1].Weld)
}

// TestScrap: what is small, rough and hardly seen is weld; no two of these make it so.
func TestScrap(t *testing.T) {
	_, p, got := barAndPlate(t, 1, func(q r3.Vec) int {
		if q.X > 20 {
			return -1
		}
		return 0
	})
	x, wide := got[0], *p
	wide.TotalMM2 = 1000 * x.Patch.TotalMM2
	x.Element.RMSMM, x.Element.Coverage = 3*p.NoiseMM, 0.2
	assert.True(t, scrap(&wide, x))
	assert.False(t, scrap(p, x), "large")
	smooth, seen := x, x
	smooth.Element.RMSMM = p.NoiseMM
	seen.Element.Coverage = 0.4
	assert.False(t, scrap(&wide, smooth))
	assert.False(t, scrap(&wide, seen))
}
