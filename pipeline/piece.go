package pipeline

import (
	"math"
	"slices"

	"pointup/pipeline/job"
	"pointup/segment/assembly"
	"pointup/segment/primitive"
)

// piece is what the costly stages find of a piece of metal, as it is kept:
// nothing in it depends on the scale or the name that the job gives it. Of one
// that is a whole shell only the fit is kept: Faces and all that is one a vertex
// are the shell's, and quickly made; its VertexMM2 is left out and made for the
// moment that it is needed.
type piece struct {
	Whole     bool
	Element   primitive.Element
	Ideal     []byte // its ideal surface, as it is kept
	Shell     int
	Faces     []uint32 // of the mesh, rising
	Weld      []uint32 // facets of weld nearest to it, rising
	Vertex    []uint32 // the mesh's vertices that Element.DeviationMM is of
	VertexMM2 []float64
}

func pieceOf(x assembly.Piece, shell int) piece {
	return piece{Element: x.Element, Shell: shell, Faces: x.Faces, Weld: x.Weld, Vertex: x.Patch.Vertex, VertexMM2: x.Patch.AreaMM2}
}

// wholeShell is the piece that is all of a shell.
func (w *work) wholeShell(e primitive.Element, shell int) piece {
	p := piece{Whole: true, Element: e, Shell: shell}
	w.fillWhole(&p)
	return p
}

func (w *work) fillWhole(p *piece) {
	s := &w.parts.Shells[p.Shell]
	p.Faces, p.Vertex = s.Faces, s.Points
	if len(p.Element.DeviationMM) < len(s.Points) { // it was fitted to a part of them
		p.Element.Deviate(w.scaled.Mesh, s.Points)
	}
}

// fits tells whether what was kept can be of this scan: every index in range,
// every list of the length that it must have.
func (w *work) fits(list []piece) bool {
	below := func(n int) func(uint32) bool { return func(x uint32) bool { return int(x) >= n } }
	for _, p := range list {
		switch e := p.Element; {
		case !slices.Contains(job.Kinds(), e.Kind), p.Shell < 0 || p.Shell >= len(w.parts.Shells):
			return false
		case p.Whole:
		case len(p.Faces) == 0,
			slices.ContainsFunc(p.Faces, below(len(w.scaled.Faces))), slices.ContainsFunc(p.Weld, below(len(w.scaled.Faces))),
			slices.ContainsFunc(p.Vertex, below(len(w.scaled.Points))), len(p.VertexMM2) != len(p.Vertex),
			e.Kind != "freeform" && len(e.DeviationMM) != len(p.Vertex):
			return false
		}
	}
	return true
}

// load takes pieces as they were kept; false where nothing that fits this scan is.
func (w *work) load(name string) ([]piece, bool) {
	var list []piece
	if !w.keep.load(name, &list) || !w.fits(list) {
		return nil, false
	}
	for i := range list {
		if list[i].Element.SetIdeal(list[i].Ideal) != nil {
			return nil, false
		}
		if list[i].Whole {
			w.fillWhole(&list[i])
		}
	}
	return list, true
}

// save keeps pieces, if all there is to them can be kept.
func (w *work) save(name string, list []piece) {
	list = slices.Clone(list)
	for i := range list {
		var err error
		if list[i].Ideal, err = list[i].Element.Ideal(); err != nil {
			return
		}
		if list[i].Whole {
			list[i].Faces, list[i].Vertex, list[i].Element.DeviationMM = nil, nil, nil
		}
	}
	w.keep.save(name, list)
}

// elementOf is a piece with its place in the scan.
func (w *work) elementOf(p piece) element {
	e := element{Element: p.Element, shell: p.Shell, faces: p.Faces, weld: p.Weld, vertex: p.Vertex, vertexMM2: p.VertexMM2}
	if s := w.parts.Shells[p.Shell]; len(s.Faces) == len(p.Faces) {
		e.areaMM2, e.centroidMM, e.lowestMM = s.AreaMM2, s.CentroidMM, s.LowestMM
	} else {
		m := w.scaled.Measure(p.Faces)
		e.areaMM2, e.centroidMM, e.lowestMM = m.AreaMM2, m.CentroidMM, math.Inf(1)
		for _, v := range e.vertex {
			e.lowestMM = min(e.lowestMM, w.scaled.SiteMM(w.scaled.At(v)).Z/w.scaled.Ratio)
		}
	}
	if p.Whole {
		e.vertexMM2 = w.scaled.VertexAreas(p.Faces, p.Vertex)
	}
	e.deviation = newDeviation(&e, w.scaled.Ratio, w.job.Limits.SurfaceMM)
	e.vertexMM2 = nil
	return e
}
