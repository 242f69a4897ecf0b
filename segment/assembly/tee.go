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
	teeTurn    = 0.35 // cosine between the axes of web and flange, at most: 70 degrees
	teeShort   = 0.1  // of the length that weld may hide of an end
	teeHidden  = 0.35 // of it, where the end is not seen: of that less than teeEndSeen of the other end
	teeEndSeen = 0.2
	teeOn      = 0.85 // share of each part that lies on the whole
	teeFlush   = 1.5  // facet edges: at a rounded end each part may lack one more than the other
	teeEnd     = 3.0  // times the scatter of the parts, of one of which a single end tells: that is small and its edges round
	teeFace    = 0.7  // share of a freeform's area that looks one way, of a bare face
	teeWay     = 0.94 // cosine to that way, at least: 20 degrees

	mainWayPasses = 3 // from each axis: two find the way, one more settles it
)

// sections puts webs and flanges together, once all pieces are fitted to their own
// facets, and what only then shows that it is of one flat piece or rolled plate.
func sections(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, opt primitive.Options) []Piece {
	return pairwise(m, p, manySided(m, p, pieces, opt), opt, wholeSection, wholeFlat, wholeRolled)
}

// manySided puts together sections of which no two parts tell what they are: a channel's
// legs and the one face of its web that is seen.
func manySided(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, opt primitive.Options) []Piece {
	sides := sheetsOf(pieces)
	for i := 0; i < len(pieces); i++ {
		for j := i + 1; j < len(pieces); j++ {
			for _, group := range sidesBy(p, sides, i, j) {
				parts := make([]Piece, len(group))
				for k, at := range group {
					parts[k] = pieces[at]
				}
				x, ok := oneSection(m, p, parts, r3.Cross(sides[i].n, sides[j].n), opt)
				if !ok {
					continue
				}
				pieces[i] = x
				for _, at := range slices.Backward(group[1:]) {
					pieces = slices.Delete(pieces, at, at+1)
				}
				sides, j = sheetsOf(pieces), i
				break
			}
		}
	}
	return pieces
}

// sheet is a piece and the normal of its faces, where it is flat.
type sheet struct {
	Piece
	n    r3.Vec
	flat bool
}

func sheetsOf(pieces []Piece) []sheet {
	out := make([]sheet, len(pieces))
	for i, x := range pieces {
		n, ok := faceNormal(x)
		out[i] = sheet{x, n, ok}
	}
	return out
}

// sidesBy lists groups of three pieces and more, rising, from i on, that may be the sides
// of one section: i and j, which stand across each other, and the flat ones that run with
// them and touch one; first those that end where the longer of the two does, then with
// those that lie within its length, as the parts of a web do that another piece cuts.
func sidesBy(p *primitive.Patch, sides []sheet, i, j int) (groups [][]int) {
	a, b := sides[i], sides[j]
	if !a.flat || !b.flat || math.Abs(r3.Dot(a.n, b.n)) > teeTurn || !near(a.Patch, b.Patch) || !touching(a.Piece, b.Piece) {
		return nil
	}
	along := r3.Unit(r3.Cross(a.n, b.n))
	low, high := spans(a.Patch, along)
	if l, h := spans(b.Patch, along); h-l > high-low {
		low, high = l, h
	}
	within := func(l, h float64) bool { return l > low-flushEnd(p) && h < high+flushEnd(p) }
	ends := func(l, h float64) bool { return flushSpans(p, low, high, l, h) }
	most := 2
	for _, fits := range []func(l, h float64) bool{ends, within} {
		if group := sidesAlong(sides, i, j, along, fits); len(group) > most {
			groups, most = append(groups, group), len(group)
		}
	}
	return groups
}

// sidesAlong is one such group: the pieces whose beginning and end along a direction fit.
func sidesAlong(sides []sheet, i, j int, along r3.Vec, fits func(low, high float64) bool) []int {
	var group []int
	for k := i; k < len(sides); k++ {
		x := sides[k]
		ok := x.flat && math.Abs(r3.Dot(x.n, along)) <= teeTurn && fits(spans(x.Patch, along))
		switch {
		case k == i || k == j:
			if !ok {
				return nil
			}
			group = append(group, k)
		case ok && (touching(sides[i].Piece, x.Piece) || touching(sides[j].Piece, x.Piece)):
			group = append(group, k)
		}
	}
	return group
}

func touching(a, b Piece) bool { return touch(a, b) || touch(b, a) }

// oneSection fits parts that run along a direction as one profile; ok is false where
// they are none.
func oneSection(m *mesh.Mesh, p *primitive.Patch, parts []Piece, along r3.Vec, opt primitive.Options) (x Piece, ok bool) {
	rough := p.NoiseMM
	for _, a := range parts {
		x.Faces, x.Weld = merged(x.Faces, a.Faces), merged(x.Weld, a.Weld)
		rough = max(rough, a.Element.RMSMM)
	}
	x.Patch = primitive.NewPatch(m, x.Faces, p.NoiseMM)
	if !primitive.MayRun(x.Patch, along) {
		return x, false
	}
	x.Element = primitive.Recognise(x.Patch, opt)
	most := bentRough
	if x.Element.Standing() {
		most = teeEnd
	}
	if x.Element.Kind != "profile" || x.Element.RMSMM > most*rough {
		return x, false
	}
	return x, !slices.ContainsFunc(parts, func(a Piece) bool { return liesOn(p, a.Patch, &x) <= teeOn })
}

// faceNormal is the normal of a plate, or of a part that is nothing known but, nearly
// all of it, one face or two that are parallel; ok is false for others.
func faceNormal(x Piece) (n r3.Vec, ok bool) {
	switch x.Element.Kind {
	case "plate":
		return normalTo(x), true
	case "freeform":
		n, on := mainWay(x.Patch)
		return n, on > teeFace*x.Patch.TotalMM2
	}
	return n, false
}

// mainWay is the direction along which, to either side, most of a patch looks, and the
// area that does, mm².
func mainWay(q *primitive.Patch) (n r3.Vec, onMM2 float64) {
	most := 0.0
	for _, d := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		var sum r3.Vec
		for range mainWayPasses {
			sum = r3.Vec{}
			for i, m := range q.FacetS {
				sum = r3.Add(sum, r3.Scale(math.Copysign(q.FacetMM2[i], r3.Dot(m, d)), m))
			}
			d = r3.Unit(sum)
		}
		if l := r3.Norm(sum); l > most {
			most, n = l, d
		}
	}
	for i, m := range q.FacetS {
		if math.Abs(r3.Dot(m, n)) > teeWay {
			onMM2 += q.FacetMM2[i]
		}
	}
	return n, onMM2
}

// wholeSection fits pieces i and j as the profile that they are web and flange of; ok
// is false where they are not.
func wholeSection(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, i, j int, opt primitive.Options) (x Piece, ok bool) {
	a, b := pieces[i], pieces[j]
	along, across := runOf(a, b)
	if !across || !near(a.Patch, b.Patch) || !flush(p, a, b, along) || !touching(a, b) {
		return x, false
	}
	return oneSection(m, p, []Piece{a, b}, along, opt)
}

// runOf is the direction in which two plates that stand across each other, or a section
// and one more plate of it, run side by side; one of the plates may be a bare face. ok is
// false for others.
func runOf(a, b Piece) (along r3.Vec, ok bool) {
	if b.Element.Kind == "profile" || a.Element.Kind == "freeform" {
		a, b = b, a
	}
	v, ok := faceNormal(b)
	if !ok {
		return along, false
	}
	switch a.Element.Kind {
	case "profile":
		along = a.Element.Frame.Axis
		return along, b.Element.Kind == "plate" && math.Abs(r3.Dot(along, v)) <= teeTurn
	case "plate":
		u := normalTo(a)
		return r3.Unit(r3.Cross(u, v)), math.Abs(r3.Dot(u, v)) <= teeTurn
	}
	return along, false
}

// flush tells that two pieces end together at one end of the direction that both run
// in, as far as facets tell, and nearly so at the other, or by how much weld may hide of
// the shorter one there, which shows no end.
func flush(p *primitive.Patch, a, b Piece, along r3.Vec) bool {
	al, ah := spans(a.Patch, along)
	bl, bh := spans(b.Patch, along)
	if flushSpans(p, al, ah, bl, bh) {
		return true
	}
	short, way := b, along
	if ah-al < bh-bl {
		short = a
	}
	gap := math.Abs(ah - bh)
	if math.Abs(al-bl) > gap {
		gap, way = math.Abs(al-bl), r3.Scale(-1, along)
	}
	return min(math.Abs(al-bl), math.Abs(ah-bh)) <= flushEnd(p) && gap <= teeHidden*max(ah-al, bh-bl) &&
		endMM2(short.Patch, way) < teeEndSeen*endMM2(short.Patch, r3.Scale(-1, way))
}

// endMM2 is the area of the facets at the end of a patch that look along a direction.
func endMM2(q *primitive.Patch, way r3.Vec) float64 {
	_, high := spans(q, way)
	sum := 0.0
	for i, n := range q.FacetS {
		if r3.Dot(n, way) > teeWay && r3.Dot(r3.Add(q.FacetC[i], q.OriginMM), way) > high-2*q.EdgeMM {
			sum += q.FacetMM2[i]
		}
	}
	return sum
}

// flushSpans does so of where they begin and end.
func flushSpans(p *primitive.Patch, al, ah, bl, bh float64) bool {
	low, high := math.Abs(al-bl), math.Abs(ah-bh)
	return min(low, high) <= flushEnd(p) && max(low, high) <= teeShort*max(ah-al, bh-bl)
}

// flushEnd is what two ends may be apart and look flush, mm.
func flushEnd(p *primitive.Patch) float64 { return max(teeFlush*p.EdgeMM, 5*p.NoiseMM) }

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
