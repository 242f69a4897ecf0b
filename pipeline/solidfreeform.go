package pipeline

import (
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
	"pointup/segment/primitive"
)

// freeformFacets is how many facets a freeform has in a model: a drafting program
// still turns a solid of so many planes with ease.
const freeformFacets = 3000

// facetsOf is a freeform as a thinned shell of its scan at full size, in the
// part's frame: a solid where the scan closed it, else a skin.
func (w *work) facetsOf(p stock.Part, e *element) (placed, error) {
	f := solid.NewFrame(p.Frame.OriginMM, p.Frame.Axis, p.Frame.Ref)
	m, whole := w.coarseShell(e, f)
	if !whole {
		m = w.shellOf(e.faces, f)
	}
	shape := solid.Facets{Surface: solid.Thin(m, freeformFacets)}
	if m.Closed() == nil {
		if _, err := shape.Body(); err == nil {
			return placed{f, shape}, nil
		}
	}
	shape.Open = true
	_, err := shape.Body()
	return placed{f, shape}, err
}

// coarseVertices are what is left of a large shell before it is thinned: far more
// than the model keeps, and some hundred times faster to come by than to thin.
const coarseVertices = 30000

// coarseShell is a whole large shell with a part of its vertices, where that is
// still closed.
func (w *work) coarseShell(e *element, f solid.Frame) (m solid.Mesh, ok bool) {
	s := w.parts.Shells[e.shell]
	if len(s.Faces) != len(e.faces) || len(s.Points) <= 4*coarseVertices {
		return m, false
	}
	p := primitive.Coarsen(w.scaled.Mesh, s.Faces, s.Points, w.report.NoiseMM, coarseVertices)
	for _, q := range p.P {
		m.Points = append(m.Points, f.Local(w.scaled.SiteMM(r3.Add(q, p.OriginMM))))
	}
	for _, t := range p.Facet {
		m.Triangles = append(m.Triangles, [3]uint32{uint32(t[0]), uint32(t[1]), uint32(t[2])})
	}
	return m, m.Closed() == nil
}

// shellOf gathers facets in a frame. Where three facets meet in an edge, the
// later ones are left out.
func (w *work) shellOf(faces []uint32, f solid.Frame) solid.Mesh {
	var m solid.Mesh
	number := map[uint32]uint32{}
	taken := map[[2]uint32]bool{}
	for _, face := range faces {
		t := w.scaled.Faces[face]
		if taken[[2]uint32{t[0], t[1]}] || taken[[2]uint32{t[1], t[2]}] || taken[[2]uint32{t[2], t[0]}] {
			continue
		}
		var own [3]uint32
		for k, v := range t {
			n, known := number[v]
			if !known {
				n = uint32(len(m.Points))
				number[v] = n
				m.Points = append(m.Points, f.Local(w.scaled.SiteMM(w.scaled.At(v))))
			}
			own[k] = n
			taken[[2]uint32{v, t[(k+1)%3]}] = true
		}
		m.Triangles = append(m.Triangles, own)
	}
	return m
}

func facetsNote(f solid.Facets) string {
	if f.Open {
		return "facets of the scan, thinned; the scan does not close them, so this is a skin and no solid"
	}
	return "facets of the scan, thinned: no surface describes it"
}
