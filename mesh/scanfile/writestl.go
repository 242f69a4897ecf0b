package scanfile

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/hschendel/stl"

	"pointup/mesh"
)

// WriteSTL writes the facets of s in their order as binary STL. The title goes
// into the header, 80 bytes at most; it must not start with solid, by which
// some programs tell a text.
func WriteSTL(w io.Writer, title string, s mesh.Soup) error {
	if strings.HasPrefix(strings.ToLower(strings.TrimLeft(title, " \t")), "solid") {
		return errors.New("the title of a binary STL starts with solid")
	}
	if len(title) > stlHead-4 {
		return fmt.Errorf("the title of a binary STL has %d bytes, over 80", len(title))
	}
	if len(s.Corners) > facetsMax {
		return tooMany(int64(len(s.Corners)))
	}
	if err := cornersInRange(s.Corners, len(s.Points)); err != nil {
		return err
	}
	solid := stl.Solid{Name: title, Triangles: make([]stl.Triangle, len(s.Corners))}
	for i, c := range s.Corners {
		t := &solid.Triangles[i]
		for k, v := range c {
			t.Vertices[k] = stl.Vec3(s.Points[v])
		}
		t.Normal = unit32(t.Vertices)
	}
	b := bufio.NewWriterSize(w, 1<<16)
	if err := solid.WriteAll(b); err != nil {
		return err
	}
	return b.Flush()
}

// unit32 is the normal by the right-hand rule, zero for a triangle of no area.
func unit32(v [3]stl.Vec3) stl.Vec3 {
	var a, b [3]float64
	for i := range 3 {
		a[i] = float64(v[1][i]) - float64(v[0][i])
		b[i] = float64(v[2][i]) - float64(v[0][i])
	}
	n := [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
	length := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])
	if length == 0 {
		return stl.Vec3{}
	}
	return stl.Vec3{float32(n[0] / length), float32(n[1] / length), float32(n[2] / length)}
}
