package assembly

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
	"pointup/segment/primitive"
)

// TestJoinRegions holds which faces become one piece by how they meet. Votes are about
// those of faces of 20 mm in facets of 0.5 mm.
func TestJoinRegions(t *testing.T) {
	face := region{points: 1600, flat: true}
	six := []region{face, face, face, face, face, face}
	for name, c := range map[string]struct {
		list  []region
		same  [][2]int32
		votes map[[2]int32]vote
		want  []int32
	}{
		"three faces of a corner": {six[:3], nil, map[[2]int32]vote{{0, 1}: {out: 80}, {1, 2}: {out: 80}, {0, 2}: {out: 80}}, []int32{0, 0, 0}},
		"a face on a face":        {six[:2], nil, map[[2]int32]vote{{0, 1}: {in: 160}}, []int32{0, 1}},
		"too short a border":      {six[:2], nil, map[[2]int32]vote{{0, 1}: {out: 12}}, []int32{0, 1}},
		// An angle: its two outer faces and two inner ones meet over the tips.
		"inside corner of one piece": {six[:4], nil, map[[2]int32]vote{{0, 1}: {out: 80}, {0, 2}: {out: 80}, {1, 3}: {out: 80}, {2, 3}: {in: 80}}, []int32{0, 0, 0, 0}},
		// Plates that lie on each other, an edge of each flush with the other's.
		"flush edges of two pieces": {six, nil, map[[2]int32]vote{
			{0, 1}: {out: 160}, {1, 2}: {out: 160}, {0, 2}: {out: 120},
			{3, 4}: {out: 160}, {4, 5}: {out: 160}, {3, 5}: {out: 120},
			{0, 3}: {in: 160}, {1, 4}: {in: 240}, {2, 5}: {out: 60, in: 2},
		}, []int32{0, 0, 0, 3, 3, 3}},
		// A plate's narrow edge, that lies on the rod too which touches it along.
		"a sliver of two pieces": {[]region{face, face, {points: 160, flat: true}, {points: 1600}, {points: 1600}}, [][2]int32{{3, 4}}, map[[2]int32]vote{
			{0, 2}: {out: 60}, {1, 2}: {out: 60}, {2, 3}: {out: 50, in: 1}, {0, 3}: {in: 50}, {0, 4}: {in: 35},
		}, []int32{0, 0, 0, 3, 3}},
		// A rod on both sides of a plate.
		"one surface on both sides": {[]region{face, face, {points: 800}, {points: 600}}, [][2]int32{{2, 3}}, map[[2]int32]vote{
			{0, 1}: {out: 80}, {0, 2}: {in: 50}, {1, 3}: {in: 50},
		}, []int32{0, 0, 2, 2}},
		// A cylinder that happens to lie on two edges of a plate and on a cone's base.
		"one surface by chance": {[]region{face, {points: 420}, {points: 1300}, {points: 1500}}, [][2]int32{{1, 2}}, map[[2]int32]vote{
			{0, 1}: {out: 60}, {2, 3}: {out: 90}, {0, 2}: {in: 150}, {0, 3}: {in: 8}, {1, 3}: {in: 25},
		}, []int32{0, 0, 2, 2}},
		// A tube whose lip ties side and bore, and a bar on its side, whose rim comes
		// near to the bore.
		"a rim between two pieces": {[]region{{points: 7600}, {points: 6800}, {points: 1900}, {points: 200}, {points: 70}}, nil, map[[2]int32]vote{
			{0, 3}: {out: 215}, {1, 3}: {out: 215}, {1, 4}: {out: 70}, {2, 4}: {out: 60}, {0, 2}: {out: 10, in: 288},
		}, []int32{0, 0, 2, 0, 0}},
	} {
		t.Run(name, func(t *testing.T) {
			assert.Equal(t, c.want, join(c.list, c.same, c.votes))
		})
	}
}

// TestMergeLiesOn: half a face that came apart from its plate goes back to it, and
// does not where it came with a rod, though a plate explains four fifths of all
// that: most of this part lies on no plate.
func TestMergeLiesOn(t *testing.T) {
	pieces := []synthetic.Piece{
		{Name: "plate", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(60, 40), ThicknessMM: 4}},
		{Name: "rod", Pose: synthetic.Upright(20, 10, 24), Shape: synthetic.Bar{OutsideDiameterMM: 8, LengthMM: 40}},
	}
	for name, c := range map[string]struct {
		top  float64 // of the part that came apart, mm
		want int
	}{"half a face": {3, 1}, "half a face and a rod": {math.Inf(1), 2}} {
		t.Run(name, func(t *testing.T) {
			m, p, got := cutUp(t, pieces, 2, func(q r3.Vec) int {
				switch {
				case q.Z > c.top:
					return -1
				case q.Z > 1.5 && q.X > -5:
					return 1
				}
				return 0
			})
			require.Equal(t, "plate", got[0].Element.Kind)
			got[1].Element = primitive.Element{Kind: "freeform"}
			assert.Equal(t, c.want, len(merge(m, p, got, joints{}, primitive.DefaultOptions())))
		})
	}
}

// TestBeyond: a bar beside a plate cannot be of it, a part of the plate can; of a plate
// hardly seen nothing is sure.
func TestBeyond(t *testing.T) {
	_, p, got := cutUp(t, []synthetic.Piece{
		{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 8, LengthMM: 30}},
		{Name: "plate", Pose: synthetic.Upright(60, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(60, 40), ThicknessMM: 5}},
		{Name: "hoop", Pose: synthetic.Upright(-60, 0, 0), Shape: synthetic.Arc{CentrelineDiameterMM: 60, SectionDiameterMM: 8, SweepDeg: 360}},
	}, 5, func(q r3.Vec) int {
		switch {
		case q.X < -85:
			return 4
		case q.X < -20:
			return 3
		case q.X < 20:
			return 0
		case q.X < 80:
			return 1
		}
		return 2
	})
	bar, plate, edge, hoop, rest := got[0], got[1], got[2], got[3], got[4]
	require.Equal(t, []string{"bar", "plate"}, kinds(got[:2]))
	require.Equal(t, "ring", hoop.Element.Kind)
	assert.True(t, beyond(p, bar, plate))
	assert.True(t, beyond(p, bar, hoop))
	assert.False(t, beyond(p, edge, plate), "a part of it")
	assert.False(t, beyond(p, rest, hoop), "a part of its turn")
	assert.False(t, beyond(p, plate, bar), "the larger of two")
	plate.Element.Coverage = 0.4
	assert.False(t, beyond(p, bar, plate))
}

// TestJoints: what was tried is not tried again, whatever came of it.
func TestJoints(t *testing.T) {
	m, p, got := cutUp(t, []synthetic.Piece{{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 12, LengthMM: 60}}}, 2, func(q r3.Vec) int {
		if q.X > 0 {
			return 1
		}
		return 0
	})
	got[0].Element, got[1].Element = primitive.Element{Kind: "freeform"}, primitive.Element{Kind: "freeform"}
	tried := joints{}
	one := merge(m, p, slices.Clone(got), tried, primitive.DefaultOptions())
	require.Equal(t, []string{"bar"}, kinds(one))
	require.Len(t, tried, 1)
	for k := range tried {
		tried[k] = Piece{Element: primitive.Element{Kind: "freeform"}}
	}
	assert.Len(t, merge(m, p, slices.Clone(got), tried, primitive.DefaultOptions()), 2)
}
