package scanfile

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
)

// readPLYMesh reads vertices and faces in whatever order they stand; other
// elements and properties are skipped.
func readPLYMesh(s *stream) (mesh.Soup, error) {
	b, err := plyStart(s)
	if err != nil {
		return mesh.Soup{}, err
	}
	vertices := b.h.element("vertex")
	var points [][3]float32
	var corners [][3]uint32
	for i := range b.h.elements {
		switch e := &b.h.elements[i]; e.name {
		case "vertex":
			points = make([][3]float32, 0, e.count)
			err = b.vertices(e, func(p, _ [3]float64) error {
				points = append(points, [3]float32{plain32(p[0]), plain32(p[1]), plain32(p[2])})
				return nil
			})
		case "face":
			corners = make([][3]uint32, 0, min(e.count, facetsMax))
			corners, err = b.faces(e, vertices.count, corners)
		default:
			err = b.pass(e)
		}
		if err != nil {
			return mesh.Soup{}, err
		}
	}
	if err := b.end(); err != nil {
		return mesh.Soup{}, err
	}
	return weldIndexed(points, corners), nil
}

// plyStart reads the header and checks that there are vertices.
func plyStart(s *stream) (*plyBody, error) {
	h, err := parsePLYHeader(s.data[:min(len(s.data), headBytes)], s.size)
	if err != nil {
		return nil, err
	}
	v := h.element("vertex")
	if v == nil || v.count == 0 {
		return nil, whole(exportAgain, "holds no vertices")
	}
	if v.count > math.MaxUint32-1 {
		return nil, tooMany(v.count)
	}
	for _, name := range [...]string{"x", "y", "z"} {
		if i := v.find(name); i < 0 || v.properties[i].counter != none {
			return nil, whole(exportAgain, "its vertices have no %s", name)
		}
	}
	s.data = s.data[h.bytes:]
	return &plyBody{s: s, h: h, line: h.lines + 1}, nil
}

// vertices calls take with the place and the normal of each vertex, which is
// zero where the file has none.
func (b *plyBody) vertices(e *plyElement, take func(p, n [3]float64) error) error {
	slot := make([]int, len(e.properties)) // place in v, or -1
	for i := range slot {
		slot[i] = -1
	}
	for k, name := range [...]string{"x", "y", "z", "nx", "ny", "nz"} {
		if i := e.find(name); i >= 0 && e.properties[i].counter == none {
			slot[i] = k
		}
	}
	return b.rows(e, func() error {
		var v [6]float64
		for i, p := range e.properties {
			if slot[i] < 0 {
				if err := b.skip(p); err != nil {
					return err
				}
				continue
			}
			x, err := b.value(p.kind)
			if err != nil {
				return err
			}
			v[slot[i]] = x
		}
		for k := range 3 {
			if why := outOfRange(v[k]); why != "" {
				return b.bad(exportAgain, "%c %s", "xyz"[k], why)
			}
		}
		return take([3]float64(v[:3]), [3]float64(v[3:]))
	})
}

// faces appends the triangles of each face, whose corners must be under n.
func (b *plyBody) faces(e *plyElement, n int64, to [][3]uint32) ([][3]uint32, error) {
	at := e.corners()
	err := b.rows(e, func() error {
		for i, p := range e.properties {
			var err error
			if i != at {
				err = b.skip(p)
			} else {
				to, err = b.polygon(p, n, to)
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
	return to, err
}

// polygon appends a fan about the first corner.
func (b *plyBody) polygon(p plyProperty, n int64, to [][3]uint32) ([][3]uint32, error) {
	count, err := b.count(p)
	if err != nil {
		return to, err
	}
	if count < 3 {
		return to, b.bad(exportAgain, "a face of %d corners", count)
	}
	var first, before uint32
	for k := range count {
		v, err := b.value(p.kind)
		if err != nil {
			return to, err
		}
		if !(v >= 0 && v < float64(n)) || v != math.Trunc(v) {
			return to, b.bad(exportAgain, "corner %d is vertex %v, but there are %d vertices", k, v, n)
		}
		c := uint32(v)
		switch {
		case k == 0:
			first = c
		case k > 1:
			if len(to) == facetsMax {
				return to, tooMany(facetsMax + 1)
			}
			to = append(to, [3]uint32{first, before, c})
		}
		before = c
	}
	return to, nil
}

// pass skips an element.
func (b *plyBody) pass(e *plyElement) error {
	return b.rows(e, func() error {
		for _, p := range e.properties {
			if err := b.skip(p); err != nil {
				return err
			}
		}
		return nil
	})
}

// weldIndexed makes a soup of indexed triangles: equal points become one, in
// order of first use. Corners are changed in place.
func weldIndexed(points [][3]float32, corners [][3]uint32) mesh.Soup {
	w := newWelder(len(corners))
	became := make([]uint32, len(points)) // index + 1, 0 for not yet used
	for f := range corners {
		for k, v := range corners[f] {
			if became[v] == 0 {
				became[v] = w.add(points[v]) + 1
			}
			corners[f][k] = became[v] - 1
		}
	}
	return mesh.Soup{Points: w.points, Corners: corners}
}

// plain32 rounds to float32, -0 made 0.
func plain32(v float64) float32 {
	f := float32(v)
	if f == 0 {
		return 0
	}
	return f
}

// readPLYCloud reads the vertices of a PLY, and their normals if it has them.
func readPLYCloud(s *stream) (points, normals []r3.Vec, err error) {
	b, err := plyStart(s)
	if err != nil {
		return nil, nil, err
	}
	vertices := b.h.element("vertex")
	withNormals := true
	for _, name := range [...]string{"nx", "ny", "nz"} {
		i := vertices.find(name)
		withNormals = withNormals && i >= 0 && vertices.properties[i].counter == none
	}
	points = make([]r3.Vec, 0, vertices.count)
	if withNormals {
		normals = make([]r3.Vec, 0, vertices.count)
	}
	for i := range b.h.elements {
		e := &b.h.elements[i]
		if e.name != "vertex" {
			err = b.pass(e)
		} else {
			err = b.vertices(e, func(p, n [3]float64) error {
				points = append(points, r3.Vec{X: p[0], Y: p[1], Z: p[2]})
				if !withNormals {
					return nil
				}
				unit, why := unitNormal(n)
				if why != "" {
					return b.bad(leaveNormals, "%s", why)
				}
				normals = append(normals, unit)
				return nil
			})
		}
		if err != nil {
			return nil, nil, err
		}
	}
	return points, normals, b.end()
}
