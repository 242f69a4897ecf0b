package assembly

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

func relationsOf(t *testing.T, pieces ...synthetic.Piece) []Relation {
	t.Helper()
	m, bodies, g := scene(t, quiet(1.2), pieces...)
	contacts, _, err := Contacts(context.Background(), m, bodies, g)
	require.NoError(t, err)
	out := Relations(m, bodies, contacts, g)
	for _, r := range out {
		assert.LessOrEqual(t, r.Residual, r.Within, "%+v", r)
		assert.LessOrEqual(t, r.Chance, chanceShare, "%+v", r)
	}
	return out
}

// find returns the relations of a kind, by what they are of.
func find(list []Relation, kind, of string) []Relation {
	var out []Relation
	for _, r := range list {
		if r.Kind == kind && (of == "" || r.Of == of) {
			out = append(out, r)
		}
	}
	return out
}

func bar(d, l float64, at, axis r3.Vec) synthetic.Piece {
	return synthetic.Piece{Name: "bar", Shape: synthetic.Bar{OutsideDiameterMM: d, LengthMM: l}, Pose: synthetic.Along(at, axis)}
}

// Spokes of one size round a ring with a hub: parallel, coaxial, equal, spaced
// round a circle and mirrored, all at once.
func TestRelationsOfAWheelOfSpokes(t *testing.T) {
	z := r3.Vec{Z: 1}
	pieces := []synthetic.Piece{
		{Name: "rim", Shape: synthetic.Ring{OutsideDiameterMM: 120, InsideDiameterMM: 100, ThicknessMM: 6}, Pose: synthetic.Along(r3.Vec{}, z)},
		{Name: "hub", Shape: synthetic.Tube{OutsideDiameterMM: 18, InsideDiameterMM: 11, LengthMM: 30}, Pose: synthetic.Along(r3.Vec{Z: 4}, z)},
	}
	for k := range 5 {
		s, c := math.Sincos(2*math.Pi*float64(k)/5 + 0.1)
		d := r3.Vec{X: c, Y: s}
		pieces = append(pieces, bar(5, 38, r3.Scale(30, d), d))
	}
	got := relationsOf(t, pieces...)
	coaxial := find(got, "coaxial", "axis")
	require.Len(t, coaxial, 1)
	assert.Equal(t, []int{0, 1}, coaxial[0].Bodies)
	parallel := find(got, "parallel", "axis")
	require.Len(t, parallel, 1)
	assert.Equal(t, []int{0, 1}, parallel[0].Bodies)
	per := find(got, "perpendicular", "")
	require.Len(t, per, 5, "rim and hub to each spoke")
	equal := find(got, "equal", "piece")
	require.Len(t, equal, 1)
	assert.Equal(t, []int{2, 3, 4, 5, 6}, equal[0].Bodies)
	spaced := find(got, "equally_spaced", "circle")
	require.Len(t, spaced, 1)
	assert.InDelta(t, 72, spaced[0].Value, 1e-9)
	mirrored := find(got, "mirrored", "")
	assert.Len(t, mirrored, 5, "one plane through each spoke")
}

func TestRelationsAlongALine(t *testing.T) {
	x, z := r3.Vec{X: 1}, r3.Vec{Z: 1}
	got := relationsOf(t,
		plate(120, 30, 4, 0), plate(120, 30, 4, 40),
		bar(6, 36, r3.Vec{X: -45, Z: 20}, z), bar(6, 36, r3.Vec{X: -15, Z: 20}, z), bar(6, 36, r3.Vec{X: 15, Z: 20}, z), bar(6, 36, r3.Vec{X: 45, Z: 20}, z),
		bar(9, 70, r3.Vec{Z: 46.5}, x))
	spaced := find(got, "equally_spaced", "line")
	require.Len(t, spaced, 1)
	assert.InDelta(t, 30, spaced[0].Value, 0.02)
	assert.ElementsMatch(t, []int{2, 3, 4, 5}, spaced[0].Bodies)
	parallel := find(got, "parallel", "")
	require.Len(t, parallel, 1)
	assert.Equal(t, []int{0, 1, 2, 3, 4, 5}, parallel[0].Bodies)
	equal := find(got, "equal", "piece")
	require.Len(t, equal, 2)
	assert.Equal(t, []int{0, 1}, equal[0].Bodies)
	tangent := find(got, "tangent", "")
	require.Len(t, tangent, 1)
	assert.Equal(t, []int{1, 6}, tangent[0].Bodies)
}

// Pieces at odd angles and of odd sizes have nothing in common.
func TestNoRelationByChance(t *testing.T) {
	got := relationsOf(t,
		bar(6.13, 41.7, r3.Vec{X: 3, Y: 7, Z: 80}, r3.Vec{X: 0.3, Y: 0.2, Z: 1}),
		tubeAt(15.31, 11.23, 52.9, r3.Vec{X: 70, Y: -9, Z: 5}, r3.Vec{X: 1, Y: -0.41, Z: 0.17}),
		plate(71.7, 33.3, 4.43, 0),
		synthetic.Piece{Name: "disc", Shape: synthetic.Disc{OutsideDiameterMM: 37.9, ThicknessMM: 5.87}, Pose: synthetic.Along(r3.Vec{X: -60, Y: 30, Z: 33}, r3.Vec{X: -0.7, Y: 0.5, Z: 0.3})},
		bar(8.77, 63.1, r3.Vec{X: -50, Y: -50, Z: 0}, r3.Vec{X: 0.15, Y: 0.9, Z: -0.37}))
	assert.Empty(t, got)
}
