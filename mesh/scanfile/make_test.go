package scanfile

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/mesh"
)

type triangle = [3][3]float32

// tetrahedron has four facets, four points, legs of 10 along the axes.
var tetrahedron = []triangle{
	{{0, 0, 0}, {0, 10, 0}, {10, 0, 0}},
	{{0, 0, 0}, {10, 0, 0}, {0, 0, 10}},
	{{0, 0, 0}, {0, 0, 10}, {0, 10, 0}},
	{{10, 0, 0}, {0, 10, 0}, {0, 0, 10}},
}

// tetrahedronSoup is what any file of the tetrahedron reads as.
var tetrahedronSoup = mesh.Soup{
	Points:  [][3]float32{{0, 0, 0}, {0, 10, 0}, {10, 0, 0}, {0, 0, 10}},
	Corners: [][3]uint32{{0, 1, 2}, {0, 2, 3}, {0, 3, 1}, {2, 1, 3}},
}

// binaryOf lays triangles out as binary STL, written from the format's
// description and not by the writer under test.
func binaryOf(header string, t []triangle) []byte {
	b := make([]byte, stlHead, stlHead+stlRecord*len(t))
	copy(b[:80], header)
	binary.LittleEndian.PutUint32(b[80:], uint32(len(t)))
	for _, v := range t {
		b = append(b, make([]byte, 12)...)
		for k := range 9 {
			b = append32(b, math.Float32bits(v[k/3][k%3]))
		}
		b = append(b, 0, 0)
	}
	return b
}

// textOf lays triangles out as text STL, one word pattern a facet.
func textOf(name string, t []triangle) string {
	var b strings.Builder
	fmt.Fprintf(&b, "solid %s\n", name)
	for _, v := range t {
		b.WriteString(" facet normal 0 0 1\n  outer loop\n")
		for _, p := range v {
			fmt.Fprintf(&b, "   vertex %v %v %v\n", p[0], p[1], p[2])
		}
		b.WriteString("  endloop\n endfacet\n")
	}
	fmt.Fprintf(&b, "endsolid %s\n", name)
	return b.String()
}

// wavy is a sheet of about n facets, row by row, as range scanners write them:
// half as many points as facets, each used six times.
func wavy(n int) []triangle {
	side := max(int(math.Sqrt(float64(n)/2)), 1)
	at := func(i, j int) [3]float32 {
		x, y := float64(i)*0.1, float64(j)*0.1
		return [3]float32{float32(x), float32(y), float32(math.Sin(x) * math.Cos(y))}
	}
	t := make([]triangle, 0, 2*side*side)
	for i := range side {
		for j := range side {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			t = append(t, triangle{a, b, c}, triangle{a, c, d})
		}
	}
	return t
}

// readBytes reads data as if it were the file scan.stl.
func readBytes(data []byte) (mesh.Soup, error) {
	return parse(context.Background(), bytes.NewReader(data), int64(len(data)), "scan.stl", nil)
}

// readsAs checks that data is read as the points and corners of want.
func readsAs(t *testing.T, want mesh.Soup, data []byte) {
	t.Helper()
	got, err := readBytes(data)
	require.NoError(t, err)
	require.Equal(t, want.Points, got.Points)
	require.Equal(t, want.Corners, got.Corners)
}
