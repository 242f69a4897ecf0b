package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// The inside corners of a rolled section read as welds: its web and flanges come as
// plates, or as bare faces where the other one is hidden. Parts that meet along their
// length, flush at an end, are one section where one fit holds for all: two plates that
// a weld joins are hardly ever cut to one length and set so.
const (
	teeTurn  = 0.35 // cosine between the axes of web and flange, at most: 70 degrees
	teeShort = 0.1  // of the length that weld may hide of an end
	teeOn    = 0.85 // share of each part that lies on the whole
	teeFlush = 1.5  // facet edges: at a rounded end each part may lack one more than the other
	teeFace  = 0.7  // share of a freeform's area that looks one way, of a bare face
	teeWay   = 0.94 // cosine to that way, at least: 20 degrees
)

// sections puts webs and flanges together, once all pieces are fitted to their own
// facets, and what only then shows that it is of one flat piece or rolled plate.
func sections(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, opt primitive.Options) []Piece {
	return pairwise(m, p, manySided(m, p, pieces, opt), opt, wholeSection, wholeFlat, wholeRolled)
}

// manySided puts together sections of which no two parts tell what they are: a channel's
// legs and the one face of its web that is seen.
func manySided(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, opt primitive.Options) []Piece {
	for i := 0; i < len(pieces); i++ {
		for j := i + 1; j < len(pieces); j++ {
			group := sidesBy(p, pieces, i, j)
			if len(group) < 3 {
				continue
			}
			parts := make([]Piece, len(group))
			for k, at := range group {
				parts[k] = pieces[at]
			}
			x, ok := oneSection(m, p, parts, opt)
			if !ok {
				continue
			}
			pieces[i] = x
			for _, at := range slices.Backward(group[1:]) {
				pieces = slices.Delete(pieces, at, at+1)
			}
			j = i
		}
	}
	return pieces
}

// sidesBy lists, rising, the pieces from i on that may be sides of one section with i
// and j: both, and all flat ones that run with them, end with the first and touch one of
// them; none where these two do not.
func sidesBy(p *primitive.Patch, pieces []Piece, i, j int) []int {
	a, b := pieces[i], pieces[j]
	u, flat := faceNormal(a)
	v, too := faceNormal(b)
	if !flat || !too || math.Abs(r3.Dot(u, v)) > teeTurn || !near(a.Patch, b.Patch) {
		return nil
	}
	along := r3.Unit(r3.Cross(u, v))
	if !flush(p, a, b, along) || !touch(a, b) && !touch(b, a) {
		return nil
	}
	group := []int{i, j}
	for k := i + 1; k < len(pieces); k++ {
		x := pieces[k]
		if w, ok := faceNormal(x); k == j || !ok || math.Abs(r3.Dot(w, along)) > teeTurn || !near(a.Patch, x.Patch) && !near(b.Patch, x.Patch) {
			continue
		}
		if flush(p, a, x, along) && (touch(a, x) || touch(b, x) || touch(x, a) || touch(x, b)) {
			group = append(group, k)
		}
	}
	slices.Sort(group)
	return group
}

// oneSection fits parts as one profile; ok is false where they are none.
func oneSection(m *mesh.Mesh, p *primitive.Patch, parts []Piece, opt primitive.Options) (x Piece, ok bool) {
	rough := p.NoiseMM
	for _, a := range parts {
		x.Faces, x.Weld = merged(x.Faces, a.Faces), merged(x.Weld, a.Weld)
		rough = max(rough, a.Element.RMSMM)
	}
	x.Patch = primitive.NewPatch(m, x.Faces, p.NoiseMM)
	x.Element = primitive.Recognise(x.Patch, opt)
	if x.Element.Kind != "profile" || x.Element.RMSMM > bentRough*rough {
		return x, false
	}
	return x, !slices.ContainsFunc(parts, func(a Piece) bool { return liesOn(p, a.Patch, &x) <= teeOn })
}

// faceNormal is the normal of a plate, or of a part that is nothing known but, nearly
// all of it, one face; ok is false for others.
func faceNormal(x Piece) (n r3.Vec, ok bool) {
	switch x.Element.Kind {
	case "plate":
		return normalTo(x), true
	case "freeform":
	default:
		return n, false
	}
	q := x.Patch
	for i, m := range q.FacetS {
		n = r3.Add(n, r3.Scale(q.FacetMM2[i], m))
	}
	n = r3.Unit(n)
	on := 0.0
	for i, m := range q.FacetS {
		if r3.Dot(m, n) > teeWay {
			on += q.FacetMM2[i]
		}
	}
	return n, on > teeFace*q.TotalMM2
}

// wholeSection fits pieces i and j as the profile that they are web and flange of; ok
// is false where they are not.
func wholeSection(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, i, j int, opt primitive.Options) (x Piece, ok bool) {
	a, b := pieces[i], pieces[j]
	along, across := runOf(a, b)
	if !across || !near(a.Patch, b.Patch) || !flush(p, a, b, along) || !touch(a, b) {
		return x, false
	}
	return oneSection(m, p, []Piece{a, b}, opt)
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
