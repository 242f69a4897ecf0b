package solid

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Facets is a mesh taken as it is: a shape that no surface describes. It is
// closed, a solid, unless Open: then it is a skin without volume.
type Facets struct {
	Surface Mesh
	Open    bool
}

func (s Facets) sound() error {
	if len(s.Surface.Triangles) < 4 && !(s.Open && len(s.Surface.Triangles) > 0) {
		return errSizes
	}
	for _, p := range s.Surface.Points {
		if !finite(p.X, p.Y, p.Z) {
			return errSizes
		}
	}
	if s.Open {
		return s.Surface.Skin()
	}
	if err := s.Surface.Closed(); err != nil {
		return fmt.Errorf("a faceted shell is not closed: %w", err)
	}
	if !(s.VolumeMM3() > 0) {
		return errOutline
	}
	return nil
}

func (s Facets) VolumeMM3() float64 {
	if s.Open {
		return 0
	}
	return s.Surface.VolumeMM3()
}

// Mesh is a copy, which the caller may move.
func (s Facets) Mesh(float64) (Mesh, error) {
	return Mesh{slices.Clone(s.Surface.Points), s.Surface.Triangles}, s.sound()
}

func (s Facets) Wires() []Wire { return nil }

// Body has a plane a triangle.
func (s Facets) Body() (Body, error) {
	var b Body
	if err := s.sound(); err != nil {
		return b, err
	}
	b.Vertices, b.Open = s.Surface.Points, s.Open
	edges := map[[2]uint32]int{}
	for _, t := range s.Surface.Triangles {
		var loop []Use
		for k := range t {
			i, j := t[k], t[(k+1)%3]
			if e, known := edges[[2]uint32{j, i}]; known {
				loop = append(loop, back(e))
				continue
			}
			e := b.edge(int(i), int(j), Line{})
			edges[[2]uint32{i, j}] = e
			loop = append(loop, along(e))
		}
		p, q, r := b.Vertices[t[0]], b.Vertices[t[1]], b.Vertices[t[2]]
		n := r3.Cross(r3.Sub(q, p), r3.Sub(r, p))
		if !(r3.Norm(n) > leastMM*leastMM) {
			return b, fmt.Errorf("a faceted shell has a triangle without area: %w", errSizes)
		}
		b.Faces = append(b.Faces, Face{Plane{NewFrame(p, n, r3.Sub(q, p))}, true, [][]Use{loop}})
	}
	return b, nil
}
