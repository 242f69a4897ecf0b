// Package scanfile reads scans (STL, PLY, XYZ) and writes labelled PLY and
// STL. It trusts nothing that a file says: sizes are held against the file's
// own before memory is taken, and what cannot be right is refused with its
// place.
package scanfile

import (
	"context"
	"encoding/binary"
	"io"
	"math"
	"path/filepath"

	"pointup/mesh"
)

// facetsMax is the most facets that are read: ten times the largest scans of
// tabletop things, and about 3 GB of memory. Indices of corners fit a uint32.
const facetsMax = 100_000_000

// Read reads a mesh: STL binary or text, or PLY with faces, told by content.
//
// Shapes: see [mesh.Soup]. Points are welded by equal coordinates, -0 being 0.
// Polygons of a PLY are split into fans, each triangle counting as a facet;
// vertices that no face uses are left out, as are normals and attributes.
// Errors: *Error for whatever is wrong with the file, ctx.Err() when ctx ends.
// A text STL may lack its last endsolid, nothing else.
// The stage told is "read", in bytes.
func Read(ctx context.Context, path string, tell mesh.Tell) (mesh.Soup, error) {
	f, size, err := open(path)
	if err != nil {
		return mesh.Soup{}, err
	}
	defer f.Close()
	return parse(ctx, f, size, filepath.Base(path), tell)
}

// parse is Read of anything that can be read once and holds size bytes.
func parse(ctx context.Context, r io.Reader, size int64, file string, tell mesh.Tell) (mesh.Soup, error) {
	s := newStream(ctx, r, size, tell)
	defer s.stop()
	soup, err := parseMesh(s)
	if err == nil {
		err = sound(soup)
	}
	if err == nil {
		soup.SHA256, err = s.sum()
	}
	if err != nil {
		return mesh.Soup{}, named(err, file)
	}
	soup.File = file
	return soup, nil
}

func parseMesh(s *stream) (mesh.Soup, error) {
	kind, err := s.kind()
	if err != nil {
		return mesh.Soup{}, err
	}
	switch kind {
	case STLBinary:
		return readBinary(s)
	case STLASCII:
		return readASCII(s)
	case PLYMesh:
		return readPLYMesh(s)
	}
	return mesh.Soup{}, whole("export the scan as a mesh (STL, or PLY with faces)", "holds points without triangles")
}

// kind reads the first chunk and tells what the file is.
func (s *stream) kind() (Kind, error) {
	if err := s.more(); err != nil && err != io.EOF {
		return "", err
	}
	if len(s.data) == 0 {
		return "", whole(exportAgain, "the file is empty (0 bytes)")
	}
	return sniff(s.data[:min(len(s.data), headBytes)], s.size)
}

// sound refuses a soup without a surface: no facets, no facet with an area, or
// one triangle over and over.
func sound(s mesh.Soup) error {
	if len(s.Corners) == 0 {
		return whole(exportAgain, "holds no triangles")
	}
	var first [3]uint32
	found := false
	for _, c := range s.Corners {
		if !hasArea(s.Points[c[0]], s.Points[c[1]], s.Points[c[2]]) {
			continue
		}
		if !found {
			first, found = c, true
		} else if !sameCorners(first, c) {
			return nil
		}
	}
	switch {
	case !found:
		return whole(exportAgain, "none of its %d triangles has an area", len(s.Corners))
	case len(s.Corners) > 1:
		return whole(exportAgain, "its %d triangles are all the same one", len(s.Corners))
	}
	return nil
}

// hasArea tells whether a triangle is higher than four steps of its own
// coordinates: a collinear one, rounded to float32, is not.
func hasArea(a, b, c [3]float32) bool {
	var u, v [3]float64
	var largest float64
	for i := range 3 {
		u[i] = float64(b[i]) - float64(a[i])
		v[i] = float64(c[i]) - float64(a[i])
		largest = max(largest, math.Abs(float64(a[i])), math.Abs(float64(b[i])), math.Abs(float64(c[i])))
	}
	x := u[1]*v[2] - u[2]*v[1]
	y := u[2]*v[0] - u[0]*v[2]
	z := u[0]*v[1] - u[1]*v[0]
	longest := math.Sqrt(max(u[0]*u[0]+u[1]*u[1]+u[2]*u[2], v[0]*v[0]+v[1]*v[1]+v[2]*v[2]))
	const step = 1.0 / (1 << 24) // half a unit in the last place, relative
	return math.Sqrt(x*x+y*y+z*z) > 8*step*largest*longest
}

// sameCorners tells whether two facets have the same three corners.
func sameCorners(a, b [3]uint32) bool {
	for _, v := range b {
		if v != a[0] && v != a[1] && v != a[2] {
			return false
		}
	}
	return b[0] != b[1] && b[1] != b[2] && b[2] != b[0]
}

// tooMany refuses more facets than are read.
func tooMany(n int64) *Error {
	return whole("reduce (decimate) the scan", "holds %d triangles; %d are the most that are read", n, facetsMax)
}

func float32At(b []byte, i int) float32 {
	return math.Float32frombits(binary.LittleEndian.Uint32(b[i:]))
}
