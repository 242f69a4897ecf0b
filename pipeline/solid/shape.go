package solid

import (
	"errors"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Shape is one of Prism, Revolved, Ball, Torus ring, Bend, Coil, RolledSlab and
// Facets, in its own frame.
type Shape interface {
	// Body is the boundary representation. Errors: sizes that make no solid.
	Body() (Body, error)
	// VolumeMM3 is the exact volume.
	VolumeMM3() float64
	// Mesh is a closed mesh whose chords leave curves by at most chordMM, but
	// within coarsest and finest.
	Mesh(chordMM float64) (Mesh, error)
	// Wires are its centrelines, or those of its middle surface.
	Wires() []Wire
}

// Piece is a shape in its place with what a drafter needs to know of it.
type Piece struct {
	Mark     string // piece mark: E01
	Name     string
	Kind     string
	Material string
	Colour   [3]uint8
	Frame    Frame // in SITE
	Shape    Shape
	Props    []Prop
	Notes    []string
}

// Prop is a key dimension; Unit is mm, deg or empty for a count or a word.
type Prop struct {
	Key  string
	Unit string
	Num  float64
	Text string // instead of a number
}

// Mesh is closed where its shape is; triangles run counter-clockwise seen from
// outside.
type Mesh struct {
	Points    []r3.Vec
	Triangles [][3]uint32
}

// Wire is one curve of a centreline: a line, an arc or circle, or a polyline
// through Points.
type Wire struct {
	Points []r3.Vec // line: 2; polyline: more; nil for an arc
	Arc    *Arc
	Closed bool // polyline
}

// Arc runs counter-clockwise about its frame's z from x through SweepRad.
type Arc struct {
	At       Frame
	RadiusMM float64
	SweepRad float64
}

// Title is the piece's mark and name.
func (p Piece) Title() string {
	if p.Name == "" {
		return p.Mark
	}
	return p.Mark + " " + p.Name
}

// VolumeMM3 is the signed volume that the mesh encloses.
func (m Mesh) VolumeMM3() float64 {
	sum := 0.0
	for _, t := range m.Triangles {
		sum += r3.Dot(m.Points[t[0]], r3.Cross(m.Points[t[1]], m.Points[t[2]]))
	}
	return sum / 6
}

// Closed tells whether every edge has one triangle on each side.
func (m Mesh) Closed() error { return m.edges(true) }

// Skin tells whether no edge has two triangles on one side.
func (m Mesh) Skin() error { return m.edges(false) }

func (m Mesh) edges(closed bool) error {
	first := make([]uint32, len(m.Points)+2) // of each point, among edges by their lower end
	for i, t := range m.Triangles {
		for k := range t {
			a, b := t[k], t[(k+1)%3]
			if int(max(a, b)) >= len(m.Points) || a == b {
				return fmt.Errorf("triangle %d has no three corners", i)
			}
			first[min(a, b)+2]++
		}
	}
	for v := range m.Points {
		first[v+1] += first[v]
	}
	ends := make([]uint64, 3*len(m.Triangles)) // twice the upper end, 1 more where the edge runs down
	for _, t := range m.Triangles {
		for k := range t {
			a, b := t[k], t[(k+1)%3]
			at := &first[min(a, b)+1]
			ends[*at] = uint64(max(a, b)) << 1
			if a > b {
				ends[*at]++
			}
			*at++
		}
	}
	for v := range m.Points {
		around := ends[first[v]:first[v+1]]
		slices.Sort(around)
		for i, e := range around {
			paired := i > 0 && around[i-1] == e^1 || i+1 < len(around) && around[i+1] == e^1
			if i > 0 && around[i-1] == e || closed && !paired {
				return errors.New("an edge has not one triangle on each side")
			}
		}
	}
	return nil
}

// In is a mesh that is given in a frame, taken out of it.
func (m Mesh) In(f Frame) Mesh {
	out, place := Mesh{Points: make([]r3.Vec, len(m.Points)), Triangles: m.Triangles}, f.placing()
	for i, q := range m.Points {
		out.Points[i] = place(q.X, q.Y, q.Z)
	}
	return out
}

// room makes some for so many points and triangles more.
func (m *Mesh) room(points, triangles int) {
	m.Points, m.Triangles = slices.Grow(m.Points, points), slices.Grow(m.Triangles, triangles)
}

func (m *Mesh) point(p r3.Vec) uint32 {
	m.Points = append(m.Points, p)
	return uint32(len(m.Points) - 1)
}

func (m *Mesh) triangle(a, b, c uint32) { m.Triangles = append(m.Triangles, [3]uint32{a, b, c}) }

// quad is counter-clockwise.
func (m *Mesh) quad(a, b, c, d uint32) {
	m.triangle(a, b, c)
	m.triangle(a, c, d)
}
