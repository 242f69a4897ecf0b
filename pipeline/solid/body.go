package solid

import "gonum.org/v1/gonum/spatial/r3"

// Body is a boundary representation: closed shells of faces that share their
// edges, each edge used once in each direction.
type Body struct {
	Vertices []r3.Vec
	Edges    []Edge
	Faces    []Face
	Voids    [][]Face // closed hollows inside
	Open     bool     // a skin: its border's edges are used once
}

// Edge runs along its curve from vertex A to vertex B; A is B where it closes.
type Edge struct {
	A, B  int
	Curve Curve
}

// Use is an edge in a loop, against its own direction where Back.
type Use struct {
	Edge int
	Back bool
}

// Face is part of a surface. Outward tells that the surface's own normal leads
// out of the metal. Loops run counter-clockwise seen against the way out, the
// outer one first.
type Face struct {
	Surface Surface
	Outward bool
	Loops   [][]Use
}

// Curve of an edge: Line, Circle, Ellipse or Spline. Circles and ellipses run
// counter-clockwise about their z.
type Curve interface{ curve() }

// Line joins two vertices.
type Line struct{}

// Circle about its frame's z.
type Circle struct {
	At       Frame
	RadiusMM float64
}

// Ellipse with the semi-axes A along x and B along y of its frame.
type Ellipse struct {
	At   Frame
	A, B float64
}

// Spline is a B-spline curve; Mults are how often each knot counts.
type Spline struct {
	Degree int
	Points []r3.Vec
	Knots  []float64
	Mults  []int
}

func (Line) curve()    {}
func (Circle) curve()  {}
func (Ellipse) curve() {}
func (Spline) curve()  {}

// Surface of a face: Plane (its normal z), Cylinder, Cone, Sphere, Torus (about
// z, their normals away from axis, centre or centreline), or Patch.
type Surface interface{ surface() }

type Plane struct{ At Frame }

type Cylinder struct {
	At       Frame
	RadiusMM float64
}

// Cone has RadiusMM at its frame's origin and widens along z by Slope mm a mm.
type Cone struct {
	At       Frame
	RadiusMM float64
	Slope    float64
}

type Sphere struct {
	At       Frame
	RadiusMM float64
}

// Torus has its centreline of RadiusMM about z and a section of SectionMM radius.
type Torus struct {
	At        Frame
	RadiusMM  float64
	SectionMM float64
}

// Patch is a B-spline surface, Points[i][j] along u and v; Weights are those
// along v, nil where it is not rational. Its normal is u × v.
type Patch struct {
	DegreeU, DegreeV int
	Points           [][]r3.Vec
	Weights          []float64
	KnotsU, KnotsV   []float64
	MultsU, MultsV   []int
}

func (Plane) surface()    {}
func (Cylinder) surface() {}
func (Cone) surface()     {}
func (Sphere) surface()   {}
func (Torus) surface()    {}
func (Patch) surface()    {}

func (b *Body) vertex(p r3.Vec) int {
	b.Vertices = append(b.Vertices, p)
	return len(b.Vertices) - 1
}

func (b *Body) edge(from, to int, c Curve) int {
	b.Edges = append(b.Edges, Edge{from, to, c})
	return len(b.Edges) - 1
}

// along and back use an edge in its own direction and against it.
func along(e int) Use { return Use{e, false} }
func back(e int) Use  { return Use{e, true} }

// reversed walks a loop the other way.
func reversed(loop []Use) []Use {
	out := make([]Use, len(loop))
	for i, u := range loop {
		out[len(loop)-1-i] = Use{u.Edge, !u.Back}
	}
	return out
}
