package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// A rolled plate that others cross comes in parts. A short one tells its own radius
// badly, or looks flat, or is nothing known where it is pierced; but it lies between
// the faces of a longer one, gone on round its axis, and others fill what is between.
const (
	rolledWithin = 0.85 // share of a part that lies between both faces, gone on
	rolledFaces  = 0.5  // and on them, facing their way
)

// wholeRolled fits pieces i and j as the rolled plate that they are parts of; ok is
// false where they are not.
func wholeRolled(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, i, j int, opt primitive.Options) (x Piece, ok bool) {
	a, b := pieces[i], pieces[j]
	if len(a.Faces) > len(b.Faces) {
		a, b = b, a
	}
	if b.Element.Kind != "rolled_plate" || !near(a.Patch, b.Patch) || !goesOn(p, b, a) {
		return x, false
	}
	faces := merged(a.Faces, b.Faces)
	q := primitive.NewPatch(m, faces, p.NoiseMM)
	e, ok := primitive.RecogniseAs(q, opt, "rolled_plate")
	if !ok || e.RMSMM > wholeRough*max(b.Element.RMSMM, p.NoiseMM) {
		return x, false
	}
	x = Piece{Element: e, Faces: faces, Patch: q}
	if min(liesOn(p, a.Patch, &x), liesOn(p, b.Patch, &x)) < flatTogether {
		return x, false
	}
	others := slices.Concat(pieces[:min(i, j)], pieces[min(i, j)+1:max(i, j)], pieces[max(i, j)+1:])
	bare := slices.DeleteFunc(turnGap(e, a.Patch, b.Patch), func(q r3.Vec) bool { return filled([]r3.Vec{q}, others) })
	return x, !slices.ContainsFunc(every(bare, severedSteps), func(q r3.Vec) bool { return !within(p, r3.Sub(q, p.OriginMM)) })
}

// goesOn tells that a part lies where a rolled plate would be if it had no ends.
func goesOn(p *primitive.Patch, plate, part Piece) bool {
	e := plate.Element
	d, has := e.Dim("inside_diameter_mm")
	t, too := e.Dim("thickness_mm")
	if !has || !too {
		return false
	}
	gate := onGate(p, &plate)
	for _, x := range e.Dims {
		if x.Key == "inside_diameter_mm" { // the place of a short one's axis is as unsure
			gate = max(gate, min(x.U95, t)/2)
		}
	}
	low, high := reach(plate.Patch, e)
	q, in, faces, all := part.Patch, 0.0, 0.0, 0.0
	for i := 0; i < len(q.Facet); i += len(q.Facet)/flatLooks + 1 {
		all += q.FacetMM2[i]
		w := r3.Sub(r3.Add(q.FacetC[i], q.OriginMM), e.Frame.OriginMM)
		h := r3.Dot(w, e.Frame.Axis)
		out := r3.Sub(w, r3.Scale(h, e.Frame.Axis))
		rho := r3.Norm(out)
		deep := rho - d/2 // above the inside
		if h < low-t || h > high+t || deep < -gate || deep > t+gate {
			continue
		}
		in += q.FacetMM2[i]
		lean := r3.Dot(q.FacetS[i], out) / rho
		if lean > onCos && math.Abs(deep-t) <= gate || lean < -onCos && math.Abs(deep) <= gate {
			faces += q.FacetMM2[i]
		}
	}
	return in >= rolledWithin*all && faces >= rolledFaces*all
}
