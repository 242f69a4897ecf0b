package pipeline

import (
	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// freeformFacets is how many facets a freeform has in a model: a drafting program
// still turns a solid of so many planes with ease.
const freeformFacets = 3000

// facetsOf is a freeform as a thinned shell of its scan at full size, in the
// part's frame: a solid where the scan closed it, else a skin.
func (w *work) facetsOf(p stock.Part, e *element) (placed, error) {
	f := solid.NewFrame(p.Frame.OriginMM, p.Frame.Axis, p.Frame.Ref)
	m := w.shellOf(e.faces, f)
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
