package pipeline

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/render"
	"pointup/pipeline/report"
	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// sceneChord is how far triangles of Fig. 1 leave curves, as a share of the height
// of the whole: less than a pixel of a screen.
const sceneChord = 1. / 4000

// figure is what Fig. 1 shows: the scan with its deviation, the fitted pieces and
// those of stock, each layer at full size.
func (w *work) figure(sc scene) (*report.Scene, error) {
	s := &report.Scene{ScanFromSite: w.scanFromSite(), RangeMM: render.NiceRangeMM(sc.deviationMM), Colours: render.DivergingColours()}
	scan, err := w.scanLayer(sc)
	if err != nil {
		return nil, err
	}
	s.Layers = append(s.Layers, scan)
	moves, err := w.movesApart(scan, sc)
	if err != nil {
		return nil, err
	}
	for i := range w.elements {
		s.Pieces = append(s.Pieces, report.ScenePiece{ID: w.elements[i].id, MoveMM: moves[i]})
	}
	fitted, err := w.solidLayer("fitted", "the pieces as fitted", w.scannedParts(), true)
	if err != nil {
		return nil, err
	}
	s.Layers = append(s.Layers, fitted)
	if w.metal != nil {
		sold, err := w.solidLayer("stock", "the pieces of stock", w.metal.assembly.Parts, false)
		if err != nil {
			return nil, err
		}
		s.Layers = append(s.Layers, sold)
	}
	return s, nil
}

// movesApart is where each element goes in the exploded view: by the thinned scan,
// or by the whole where an element is lost in that.
func (w *work) movesApart(scan report.Layer, sc scene) ([][3]float64, error) {
	out := make([][3]float64, len(w.elements))
	if len(w.elements) < 2 {
		return out, nil
	}
	parts := w.partsApart()
	thin := render.Piece{Points: scan.Points, Faces: scan.Triangles, Site: [12]float64{0: 1, 5: 1, 10: 1}}
	for _, k := range scan.Piece {
		n := uint32(0)
		if k > 0 {
			n = uint32(w.elements[k-1].number)
		}
		thin.Element = append(thin.Element, n)
	}
	set, err := render.Apart(thin, parts, render.DefaultView())
	if err != nil {
		if set, err = render.Apart(w.whole(sc), parts, render.DefaultView()); err != nil {
			return nil, err
		}
	}
	for i := range w.elements {
		for _, p := range set {
			if p.Number == uint32(w.elements[i].number) {
				out[i] = p.MoveMM
			}
		}
	}
	return out, nil
}

// scanLayer is the thinned scan at full size.
func (w *work) scanLayer(sc scene) (report.Layer, error) {
	l := report.Layer{Name: "scan", Label: "the scan"}
	thin, off, err := w.thinPiece(sc)
	if err != nil {
		return l, err
	}
	number := map[uint32]uint16{}
	for i := range w.elements {
		number[uint32(w.elements[i].number)] = uint16(i + 1)
	}
	l.Triangles, l.DeviationMM = thin.Faces, off
	for _, q := range thin.Points {
		at := r3.Scale(w.scaled.UnitMM, r3.Vec{X: float64(q[0]), Y: float64(q[1]), Z: float64(q[2])})
		l.Points = append(l.Points, single(w.scaled.SiteMM(at)))
	}
	for _, n := range thin.Element {
		l.Piece = append(l.Piece, number[n])
	}
	return l, nil
}

// drawnFacets is the most that pictures of the whole are drawn of: of more, most are
// less than a pixel.
const drawnFacets = 1_500_000

// thinPiece is the thinned scan as it is drawn, with the deviation of its vertices. A
// facet of it belongs to the element of most of its corners, a corner to that of the
// first facet round it in the mesh.
func (w *work) thinPiece(sc scene) (render.Piece, []float32, error) {
	out, off := render.Piece{Site: w.site12()}, []float32{}
	patches, err := w.thinned()
	if err != nil {
		return out, off, err
	}
	for _, p := range patches {
		first := uint32(len(out.Points))
		for i, q := range p.P {
			out.Points = append(out.Points, single(r3.Scale(1/w.scaled.UnitMM, r3.Add(q, p.OriginMM))))
			off = append(off, sc.deviationMM[p.Vertex[i]])
		}
		for t, f := range p.Facet {
			out.Faces = append(out.Faces, [3]uint32{first + uint32(f[0]), first + uint32(f[1]), first + uint32(f[2])})
			if p.Face != nil {
				out.Element = append(out.Element, sc.elementOf(p.Face[t]))
				continue
			}
			var of [3]uint32
			for k, v := range f {
				of[k] = sc.elementOf(w.scaled.FacesAt(p.Vertex[v])[0])
			}
			if of[1] == of[2] {
				of[0] = of[1]
			}
			out.Element = append(out.Element, of[0])
		}
	}
	return out, off, nil
}

// elementPiece is the scan of one element, with its weld, as its picture shows it: of
// all facets, or of the means of those in a few samples; what is left out would show
// as ragged edges.
func (w *work) elementPiece(e *element) render.Piece {
	m, out := w.scaled.Mesh, render.Piece{Site: w.site12()}
	faces := e.faces
	if len(e.weld) > 0 {
		faces = slices.Concat(e.faces, e.weld)
		slices.Sort(faces)
	}
	shell := w.parts.Shells[e.shell]
	whole := len(faces) == len(shell.Faces)
	switch {
	case len(faces) <= closeFacets:
		out.Points, out.Faces = cutOut(m, faces)
	case whole:
		out.Points, out.Faces = gridded(m, faces, shell.Points, closeCells)
	default:
		out.Points, out.Faces = gridded(m, faces, verticesOf(m, faces), closeCells)
	}
	if whole {
		c := m.Components[m.ComponentOf[faces[0]]]
		out.Closed = c.OpenEdges == 0 && c.VolumeMM3 > 0
	}
	out.Element = make([]uint32, len(out.Faces))
	for i := range out.Element {
		out.Element[i] = uint32(e.number)
	}
	return out
}

// cutOut gives some facets of a mesh with the points that they use.
func cutOut(m *mesh.Mesh, faces []uint32) (points [][3]float32, cut [][3]uint32) {
	if len(faces) == 0 {
		return nil, nil
	}
	low, high := vertexRange(m, faces)
	cut = make([][3]uint32, 0, len(faces))
	place := make([]uint32, high-low+1) // 1 + the new index
	for _, f := range faces {
		t := m.Faces[f]
		for k, v := range t {
			if place[v-low] == 0 {
				points = append(points, m.Points[v])
				place[v-low] = uint32(len(points))
			}
			t[k] = place[v-low] - 1
		}
		cut = append(cut, t)
	}
	return points, cut
}

// solidLayer is the solids of parts as triangles; a part without one is left out.
func (w *work) solidLayer(name, label string, parts []stock.Part, scanned bool) (report.Layer, error) {
	l := report.Layer{Name: name, Label: label}
	pieces, _ := w.solids(parts, scanned)
	chord := max(modelChord*w.scaled.Ratio, sceneChord*w.scaled.HeightFullMM)
	for _, p := range pieces {
		m, err := p.Shape.Mesh(chord)
		if err != nil {
			return l, fmt.Errorf("%s: %w", p.Mark, err)
		}
		l = withMesh(l, m, p.Frame, uint16(w.indexOf(p.Mark)+1))
	}
	return l, nil
}

func withMesh(l report.Layer, m solid.Mesh, at solid.Frame, piece uint16) report.Layer {
	first := uint32(len(l.Points))
	for _, q := range m.Points {
		l.Points = append(l.Points, single(at.Point(q.X, q.Y, q.Z)))
	}
	for _, t := range m.Triangles {
		l.Triangles = append(l.Triangles, [3]uint32{first + t[0], first + t[1], first + t[2]})
		l.Piece = append(l.Piece, piece)
	}
	return l
}

// scanFromSite takes a point of SITE to the scan's own units.
func (w *work) scanFromSite() [3][4]float64 {
	var out [3][4]float64
	o := w.scanPoint(r3.Vec{})
	for k, d := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		d = r3.Sub(w.scanPoint(d), o)
		out[0][k], out[1][k], out[2][k] = d.X/w.scaled.UnitMM, d.Y/w.scaled.UnitMM, d.Z/w.scaled.UnitMM
	}
	out[0][3], out[1][3], out[2][3] = o.X/w.scaled.UnitMM, o.Y/w.scaled.UnitMM, o.Z/w.scaled.UnitMM
	for i := range out {
		for k := range out[i] {
			out[i][k] = math.Round(out[i][k]*1e12) / 1e12
		}
	}
	return out
}

func single(p r3.Vec) [3]float32 { return [3]float32{float32(p.X), float32(p.Y), float32(p.Z)} }
