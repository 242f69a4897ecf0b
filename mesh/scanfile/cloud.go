package scanfile

import (
	"context"
	"fmt"
	"io"
	"math"
	"path/filepath"

	"gonum.org/v1/gonum/spatial/r3"
)

// Cloud is bare points, in file units, with unit normals if the file has them.
type Cloud struct {
	File    string // base name, for messages
	SHA256  string // of the file's bytes, lower-case hex
	Points  []r3.Vec
	Normals []r3.Vec // as many as Points, or none
}

// ReadCloud reads points: a text of x y z or x y z nx ny nz a line, or the
// vertices of a PLY, told by content.
//
// Shapes: Points in file order, nothing dropped, every coordinate finite.
// Normals are brought to length 1; those that are not within a tenth of it are
// refused, being colours as a rule.
// Errors: *Error for whatever is wrong with the file, ctx.Err() when ctx ends.
func ReadCloud(ctx context.Context, path string) (Cloud, error) {
	f, size, err := open(path)
	if err != nil {
		return Cloud{}, err
	}
	defer f.Close()
	return parseCloud(ctx, f, size, filepath.Base(path))
}

// parseCloud is ReadCloud of anything that can be read once and holds size
// bytes.
func parseCloud(ctx context.Context, r io.Reader, size int64, file string) (Cloud, error) {
	s := newStream(ctx, r, size, nil)
	defer s.stop()
	c := Cloud{File: file}
	kind, err := s.kind()
	if err == nil {
		switch kind {
		case XYZ:
			c.Points, c.Normals, err = readXYZ(s)
		case PLYCloud, PLYMesh:
			c.Points, c.Normals, err = readPLYCloud(s)
		default:
			err = whole("read it as a mesh", "holds triangles, not bare points")
		}
	}
	if err == nil {
		err = soundCloud(c.Points)
	}
	if err == nil {
		c.SHA256, err = s.sum()
	}
	if err != nil {
		return Cloud{}, named(err, file)
	}
	return c, nil
}

// soundCloud refuses no points, and one point over and over.
func soundCloud(p []r3.Vec) error {
	if len(p) == 0 {
		return whole(exportAgain, "holds no points")
	}
	for _, q := range p {
		if q != p[0] {
			return nil
		}
	}
	if len(p) == 1 {
		return nil
	}
	return whole(exportAgain, "its %d points are all the same one", len(p))
}

const leaveNormals = "give unit normals, or x y z alone"

// unitNormal brings n to length 1, or says why it cannot be a normal.
func unitNormal(n [3]float64) (r3.Vec, string) {
	for _, v := range n {
		if why := outOfRange(v); why != "" {
			return r3.Vec{}, "the normal " + why
		}
	}
	length := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])
	if length < 0.9 || length > 1.1 {
		return r3.Vec{}, fmt.Sprintf("a normal of length %.3g", length)
	}
	return r3.Vec{X: n[0] / length, Y: n[1] / length, Z: n[2] / length}, ""
}
