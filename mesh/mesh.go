// Package mesh holds triangles and what can be measured on them. It knows no
// word of fitting or steel.
//
// The types carry the order of the work: a reader returns an unchecked [Soup];
// [Check] welds it to an indexed [Mesh]; [Scale] attaches a similarity to the
// mesh, [Scaled], which is all that splitting accepts.
package mesh

import "gonum.org/v1/gonum/spatial/r3"

// Soup is what a reader returns: triangles in file order, nothing checked but
// that every number is finite and every index in range.
//
// Shapes: Points has one row a distinct bit pattern of coordinates, in file
// units, in order of first use; Corners has one row a facet, in file order,
// indices into Points. Facets may be degenerate, doubled or inside out.
type Soup struct {
	File    string // base name, for messages
	SHA256  string // of the file's bytes, lower-case hex
	Points  [][3]float32
	Corners [][3]uint32
}

// Mesh is a welded, indexed triangle mesh.
//
// Shapes: V points in canonical order (rising x, then y, then z), F facets.
// Facets have their lowest vertex first, keep their winding and stand in rising
// order of their three indices, so that the order of triangles in the file
// cannot reach a result. Degenerate facets and second copies are not in Faces;
// Source tells which facet of the file each one is.
type Mesh struct {
	Points [][3]float32 // file units, V rows
	Faces  [][3]uint32  // F rows
	Source []uint32     // F: Faces[i] is facet Source[i] of the file
	UnitMM float64      // millimetres in one file unit

	FileFacets int      // facets in the file, dropped ones included
	FilePoint  []uint32 // one a Soup point: the vertex it became

	ComponentOf []uint32    // F: index into Components
	Components  []Component // in order of their lowest facet

	atStart []uint32 // V+1: the facets at vertex v are at[atStart[v]:atStart[v+1]]
	at      []uint32 // 3F, rising within a vertex
}

// At returns vertex v in mm.
func (m *Mesh) At(v uint32) r3.Vec {
	p := m.Points[v]
	return r3.Vec{X: float64(p[0]) * m.UnitMM, Y: float64(p[1]) * m.UnitMM, Z: float64(p[2]) * m.UnitMM}
}

// AreaVector returns the normal of facet f by the right-hand rule, its length
// the facet's area in mm².
func (m *Mesh) AreaVector(f uint32) r3.Vec {
	t := m.Faces[f]
	a := m.At(t[0])
	return r3.Scale(0.5, r3.Cross(r3.Sub(m.At(t[1]), a), r3.Sub(m.At(t[2]), a)))
}

// Finding is something that did not stop the work and that the user should
// know.
type Finding struct {
	Code     string      // stable, kebab-case: open-boundary
	Severity string      // note, warning or serious
	What     string      // what is so, with units
	WhereMM  *[3]float64 // a place in SCAN, or nil
	Advice   string      // what to do
}

// Tell receives progress: the stage's name, what is done and the total, in
// units of the stage. A nil Tell is not called.
type Tell func(stage string, done, total int64)
