package pipeline

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestGriddedKeepsTheShape: what is drawn of a shell's facets holds the volume of all
// but for rims that are cut by half a cell, has fewer points where many share a cube, each the mean of some
// and so within the box of all.
func TestGriddedKeepsTheShape(t *testing.T) {
	w := lumps(t)
	m := w.scaled.Mesh
	for i, s := range w.parts.Shells {
		all, every := cutOut(m, s.Faces)
		require.Equal(t, s.Points, verticesOf(m, s.Faces))
		points, faces := gridded(m, s.Faces, s.Points, 30)
		require.NotEmpty(t, faces)
		if len(all) > 1000 { // fewer stand alone in their cubes
			assert.Less(t, len(points), len(all)*2/3)
		}
		assert.InEpsilon(t, volumeOf(all, every), volumeOf(points, faces), 0.03, "shell %d", i)
		for k := range 3 {
			lo, hi := all[0][k], all[0][k]
			for _, p := range all {
				lo, hi = min(lo, p[k]), max(hi, p[k])
			}
			for _, p := range points {
				require.True(t, p[k] >= lo && p[k] <= hi)
			}
		}
	}
}

// volumeOf is the volume that facets enclose, about the first point.
func volumeOf(points [][3]float32, faces [][3]uint32) float64 {
	sum := 0.0
	for _, f := range faces {
		var q [3][3]float64
		for k, v := range f {
			for j, x := range points[v] {
				q[k][j] = float64(x) - float64(points[0][j])
			}
		}
		a, b, c := q[0], q[1], q[2]
		sum += (a[0]*(b[1]*c[2]-b[2]*c[1]) + a[1]*(b[2]*c[0]-b[0]*c[2]) + a[2]*(b[0]*c[1]-b[1]*c[0])) / 6
	}
	return sum
}
