package pipeline

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/render"
	"pointup/pipeline/solid"
)

// TestCreasesPartTheFacesOfACube: each corner of a cube lies on three faces, so
// that 8 points become 24; a point within a flat face stays one.
func TestCreasesPartTheFacesOfACube(t *testing.T) {
	cube := solid.Mesh{}
	for i := range 8 {
		cube.Points = append(cube.Points, r3.Vec{X: float64(i & 1), Y: float64(i >> 1 & 1), Z: float64(i >> 2)})
	}
	for _, q := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		cube.Triangles = append(cube.Triangles, [3]uint32{q[0], q[1], q[2]}, [3]uint32{q[0], q[2], q[3]})
	}
	p := withCreases(render.Piece{}, cube, 3)
	assert.Len(t, p.Points, 24)
	assert.Len(t, p.Faces, 12)
	assert.Equal(t, uint32(3), p.Element[11])

	flat := solid.Mesh{Points: []r3.Vec{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}, {X: 0.5, Y: 0.5}}, Triangles: [][3]uint32{{0, 1, 4}, {1, 2, 4}, {2, 3, 4}, {3, 0, 4}, {4, 4, 4}}}
	p = withCreases(p, flat, 4)
	assert.Len(t, p.Points, 29)
	assert.Len(t, p.Faces, 16, "a facet without area is left out")
}
