package assembly

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// boreShare is the share of a part's surface that lies within a bar and faces its
// axis, where it is the bar's bore: the rest is bottom or rounded lip.
const boreShare = 0.7

// bores gives bars the bores that came apart from them where weld, or what the
// scanner did not see, parts the two: they are tubes. Only parts that are nothing
// by themselves are tried.
func bores(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, opt primitive.Options) []Piece {
	for i := 0; i < len(pieces); i++ {
		if pieces[i].Element.Kind != "freeform" {
			continue
		}
		for j := range pieces {
			if x, ok := bored(m, p.NoiseMM, pieces[j], pieces[i], opt); ok {
				pieces[j] = x
				pieces = slices.Delete(pieces, i, i+1)
				i--
				break
			}
		}
	}
	return pieces
}

// bored fits a tube to a bar and what may be its bore; ok is false where that is
// none.
func bored(m *mesh.Mesh, noiseMM float64, bar, bore Piece, opt primitive.Options) (x Piece, ok bool) {
	if bar.Element.Kind != "bar" || !near(bar.Patch, bore.Patch) || hollowIn(bore.Patch, &bar.Element) < boreShare {
		return x, false
	}
	faces := merged(bar.Faces, bore.Faces)
	q := primitive.NewPatch(m, faces, noiseMM)
	e := primitive.Recognise(q, opt)
	if e.Kind != "tube" || e.RMSMM > 1.5*max(bar.Element.RMSMM, noiseMM) {
		return x, false
	}
	return Piece{Element: e, Faces: faces, Weld: bar.Weld, Patch: q}, true
}

// hollowIn is the share of a patch's area that lies within a straight round piece
// and faces its axis.
func hollowIn(q *primitive.Patch, e *primitive.Element) float64 {
	od, _ := e.Dim("outside_diameter_mm")
	in, all := 0.0, 0.0
	for i := 0; i < len(q.Facet); i += len(q.Facet)/looksMost + 1 {
		w := r3.Sub(r3.Add(q.FacetC[i], q.OriginMM), e.Frame.OriginMM)
		w = r3.Sub(w, r3.Scale(r3.Dot(w, e.Frame.Axis), e.Frame.Axis))
		all += q.FacetMM2[i]
		if l := r3.Norm(w); l < od/2 && r3.Dot(w, q.FacetS[i]) < -onCos*l {
			in += q.FacetMM2[i]
		}
	}
	return in / all
}
