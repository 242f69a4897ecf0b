package primitive

import "pointup/mesh"

// Vertices that a shell is recognised by: those of a fit, if it is a plain round
// piece; else so many that one is left every 0.3 mm of a hand-sized plate, as
// holes and teeth need.
const (
	plainVertices  = fitVertices
	detailVertices = 120000
)

// RecogniseShell decides what a connected shell is, like Recognise, and returns
// the patch that it did so by: all of the shell, or where it has more vertices
// than are of use, a part of them (Coarsen). Deviations are of every vertex.
//
// points are the vertices of faces; both must be in rising order.
func RecogniseShell(m *mesh.Mesh, faces, points []uint32, noiseMM float64, opt Options) (Element, *Patch) {
	for _, n := range []int{plainVertices, detailVertices} {
		p := Coarsen(m, faces, points, noiseMM, n)
		e, plain := recognise(p, opt, p.Face == nil && n < detailVertices)
		if p.Face != nil || plain || n == detailVertices && e.solid != nil {
			return e, p
		}
	}
	p := NewPatch(m, faces, noiseMM)
	return Recognise(p, opt), p
}
