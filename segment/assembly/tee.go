package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// The inside corners of a rolled section read as welds: its web and flanges come as
// plates. Two plates that meet along their length, flush at an end, are one
// section where one fit holds for both: two that a weld joins are hardly ever cut to
// one length and set so.
const (
	teeTurn  = 0.35 // cosine between the axes of web and flange, at most: 70 degrees
	teeShort = 0.1  // of the length that weld may hide of an end
	teeOn    = 0.85 // share of each part that lies on the whole
	teeFlush = 1.5  // facet edges: at a rounded end each part may lack one more than the other
)

// sections puts webs and flanges together, once all pieces are fitted to their own
// facets, and what only then shows that it is of one flat piece or rolled plate.
func sections(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, opt primitive.Options) []Piece {
	return pairwise(m, p, pieces, opt, wholeSection, wholeFlat, wholeRolled)
}

// wholeSection fits pieces i and j as the profile that they are web and flange of; ok
// is false where they are not.
func wholeSection(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, i, j int, opt primitive.Options) (x Piece, ok bool) {
	a, b := pieces[i], pieces[j]
	along, across := runOf(a, b)
	if !across || !near(a.Patch, b.Patch) || !flush(p, a, b, along) || !touch(a, b) {
		return x, false
	}
	faces := merged(a.Faces, b.Faces)
	q := primitive.NewPatch(m, faces, p.NoiseMM)
	e := primitive.Recognise(q, opt)
	if e.Kind != "profile" || e.RMSMM > bentRough*max(a.Element.RMSMM, b.Element.RMSMM, p.NoiseMM) {
		return x, false
	}
	x = Piece{Element: e, Faces: faces, Patch: q}
	return x, min(liesOn(p, a.Patch, &x), liesOn(p, b.Patch, &x)) > teeOn
}

// runOf is the direction in which two plates that stand across each other, or a section
// and one more plate of it, run side by side; ok is false for others.
func runOf(a, b Piece) (along r3.Vec, ok bool) {
	if b.Element.Kind == "profile" {
		a, b = b, a
	}
	if b.Element.Kind != "plate" {
		return along, false
	}
	switch v := normalTo(b); a.Element.Kind {
	case "profile":
		along = a.Element.Frame.Axis
		return along, math.Abs(r3.Dot(along, v)) <= teeTurn
	case "plate":
		u := normalTo(a)
		return r3.Unit(r3.Cross(u, v)), math.Abs(r3.Dot(u, v)) <= teeTurn
	}
	return along, false
}

// flush tells that two pieces end together at one end of the direction that both run
// in, as far as facets tell, and nearly so at the other.
func flush(p *primitive.Patch, a, b Piece, along r3.Vec) bool {
	al, ah := spans(a.Patch, along)
	bl, bh := spans(b.Patch, along)
	low, high := math.Abs(al-bl), math.Abs(ah-bh)
	return min(low, high) <= max(teeFlush*p.EdgeMM, 5*p.NoiseMM) && max(low, high) <= teeShort*max(ah-al, bh-bl)
}

// normalTo is the normal of a plate's broad faces: its axis, but for a flat bar that
// was found standing on end.
func normalTo(x Piece) r3.Vec {
	f := x.Element.Frame
	low, high := spans(x.Patch, f.Axis)
	if t, ok := x.Element.Dim("thickness_mm"); ok && high-low > 2*t {
		return r3.Cross(f.Axis, f.Ref)
	}
	return f.Axis
}

// spans is where a patch begins and ends along a direction, but for the last of its
// facets, which may be weld.
func spans(q *primitive.Patch, along r3.Vec) (low, high float64) {
	h := make([]float64, len(q.FacetC))
	for i, c := range q.FacetC {
		h[i] = r3.Dot(r3.Add(c, q.OriginMM), along)
	}
	slices.Sort(h)
	return h[len(h)/500], h[len(h)-1-len(h)/500]
}

// touch tells that one of the pieces comes to the other.
func touch(a, b Piece) bool {
	for i := 0; i < len(b.Patch.FacetC); i += len(b.Patch.FacetC)/flatLooks + 1 {
		if a.Element.DistanceMM(r3.Add(b.Patch.FacetC[i], b.Patch.OriginMM)) < bridgeMM {
			return true
		}
	}
	return false
}
