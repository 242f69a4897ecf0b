package assembly

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// boreShare is the share of a part's surface that lies within a bar, straight or bent,
// and faces its axis, where it is the bar's bore: the rest is bottom or rounded lip.
const boreShare = 0.7

// bores gives bars the bores that came apart from them where weld, or what the
// scanner did not see, parts the two: they are tubes, a bent one an arc with a bore.
// Only parts that are nothing by themselves are tried.
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
	kind, may := map[string]string{"bar": "tube", "arc": "arc"}[bar.Element.Kind]
	if !may || bar.Element.Section == "flat" || !near(bar.Patch, bore.Patch) || hollowIn(bore.Patch, &bar.Element) < boreShare {
		return x, false
	}
	faces := merged(bar.Faces, bore.Faces)
	q := primitive.NewPatch(m, faces, noiseMM)
	e := primitive.Recognise(q, opt)
	if e.Kind != kind || e.RMSMM > 1.5*max(bar.Element.RMSMM, noiseMM) {
		return x, false
	}
	return Piece{Element: e, Faces: faces, Weld: bar.Weld, Patch: q}, true
}

// hollowIn is the share of a patch's area that lies within a piece of solid section and
// faces away from its surface, to its axis.
func hollowIn(q *primitive.Patch, e *primitive.Element) float64 {
	in, all := 0.0, 0.0
	for i := 0; i < len(q.Facet); i += len(q.Facet)/looksMost + 1 {
		at := r3.Add(q.FacetC[i], q.OriginMM)
		all += q.FacetMM2[i]
		if e.DistanceMM(at) < 0 && r3.Dot(e.Normal(at), q.FacetS[i]) < -onCos {
			in += q.FacetMM2[i]
		}
	}
	return in / all
}
