package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// A flat piece that another one cuts right through may come in two flat pieces,
// each sound by itself. Two are one where the faces of one go on in the other, of
// which one face may be hidden, others fill what is between, and the outline of both
// is as simple as that of one: plates that only stand in line differ in width or
// place. Where weld hides edges of both, so that their outlines say little, it has
// hardly more inside than these.
const (
	flatCos      = 0.95 // between a face's normal and the axis
	flatFace     = 0.15 // share of a part's surface that each of its faces has, at least
	flatAlone    = 0.4  // and its one face, where the other is hidden
	flatOn       = 0.85 // share of such facets that lie on the other part's faces
	flatOff      = 0.1  // of the thickness, from these
	flatTogether = 0.8  // share of each part that lies on the whole
	flatFill     = 1.3  // of the area within both outlines, that the one round both has at most: what a tube across it hides
	flatWeld     = 0.25 // of the gap in an arc, that may be weld
	flatMost     = 1.5  // times the longer part's length: the gap
	flatLooks    = 600  // facets of a part that are looked at
	flatUnsure   = 0.5  // mm, of the uncertainty of a length whose ends were seen, at most
)

// isFlat tells a piece between two parallel faces, both of which are seen.
func isFlat(e primitive.Element) bool {
	_, known := e.Dim("thickness_mm")
	return known && flatKind(e)
}

// flatKind tells a piece between two parallel faces.
func flatKind(e primitive.Element) bool {
	switch e.Kind {
	case "plate", "disc", "toothed_wheel":
	case "ring", "arc":
		if e.Section != "flat" {
			return false
		}
	default:
		return false
	}
	return len(e.Lands) == 0
}

// wholeFlat fits pieces i and j as the flat one that they are parts of; ok is false
// where they are not.
func wholeFlat(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, i, j int, opt primitive.Options) (x Piece, ok bool) {
	a, b := pieces[i], pieces[j]
	if !isFlat(a.Element) {
		a, b = b, a
	}
	if !isFlat(a.Element) || !flatKind(b.Element) || math.Abs(r3.Dot(a.Element.Frame.Axis, b.Element.Frame.Axis)) < flatCos {
		return x, false
	}
	gap := flatGap(p, a, b)
	if gap == nil && isFlat(b.Element) {
		gap = flatGap(p, b, a)
	}
	others := slices.Concat(pieces[:i], pieces[i+1:j], pieces[j+1:])
	closed := closedGap
	if a.Element.Kind == "arc" || b.Element.Kind == "arc" {
		closed = weldedGap
	}
	if !closed(p, gap, others) {
		return x, false
	}
	faces := merged(a.Faces, b.Faces)
	q := primitive.NewPatch(m, faces, p.NoiseMM)
	e := primitive.Recognise(q, opt)
	if !isFlat(e) || e.RMSMM > wholeRough*max(a.Element.RMSMM, b.Element.RMSMM, p.NoiseMM) ||
		len(e.Outline) > max(len(a.Element.Outline), len(b.Element.Outline)) && !fillsNoMore(e, a.Element, b.Element) {
		return x, false
	}
	x = Piece{Element: e, Faces: faces, Patch: q}
	return x, min(liesOn(p, a.Patch, &x), liesOn(p, b.Patch, &x)) > flatTogether
}

// fillsNoMore tells that an outline has hardly more inside than those of two parts, of
// both of which an edge is hidden.
func fillsNoMore(whole, a, b primitive.Element) bool {
	return edgeHidden(a) && edgeHidden(b) && insideMM2(whole) <= flatFill*(insideMM2(a)+insideMM2(b))
}

// edgeHidden tells that a size is hidden, or as good as that: the outline that gave it was
// led where nobody saw any.
func edgeHidden(e primitive.Element) bool {
	return len(e.Hidden) > 0 || slices.ContainsFunc(e.Dims, func(d primitive.Dimension) bool {
		return (d.Key == "length_mm" || d.Key == "width_mm") && d.U95 > flatUnsure
	})
}

// insideMM2 is the area within an outline, its arcs taken for chords.
func insideMM2(e primitive.Element) float64 {
	sum := 0.0
	for i, s := range e.Outline {
		from := e.Outline[(i+len(e.Outline)-1)%len(e.Outline)].To
		sum += from[0]*s.To[1] - from[1]*s.To[0]
	}
	return math.Abs(sum) / 2
}

// closedGap tells that others fill a gap, points a millimetre apart, or that it is no
// wider than the weld on both sides of an edge, with metal all the way.
func closedGap(p *primitive.Patch, gap []r3.Vec, others []Piece) bool {
	return filled(gap, others) || len(gap) > 0 && r3.Norm(r3.Sub(gap[len(gap)-1], gap[0])) < 2*bridgeMM && metal(p, gap)
}

// weldedGap tells so of a gap that others fill but for what is weld.
func weldedGap(p *primitive.Patch, gap []r3.Vec, others []Piece) bool {
	bare := slices.DeleteFunc(slices.Clone(gap), func(q r3.Vec) bool { return filled([]r3.Vec{q}, others) })
	return len(gap) > 0 && float64(len(bare)) <= flatWeld*float64(len(gap)) && metal(p, bare)
}

// metal tells that points lie within the scan.
func metal(p *primitive.Patch, points []r3.Vec) bool {
	return !slices.ContainsFunc(points, func(q r3.Vec) bool { return !within(p, r3.Sub(q, p.OriginMM)) })
}

// flatGap are points in the middle of the metal on the shortest way between two
// flat pieces, a millimetre apart, a of which shows both faces; nil where the faces
// of b do not go on in those of a, or the gap is too long to tell.
func flatGap(p *primitive.Patch, a, b Piece) []r3.Vec {
	f := a.Element.Frame
	t, _ := a.Element.Dim("thickness_mm")
	gate := max(onGate(p, &a), flatOff*t)
	var at [2][]r3.Vec // in the middle of the metal, of each part
	for k, x := range []Piece{a, b} {
		q, on, all, face := x.Patch, 0.0, 0.0, [2]float64{}
		for i := 0; i < len(q.Facet); i += len(q.Facet)/flatLooks + 1 {
			all += q.FacetMM2[i]
			lean := r3.Dot(q.FacetN[i], f.Axis)
			if math.Abs(lean) < flatCos {
				continue
			}
			c := r3.Add(q.FacetC[i], q.OriginMM)
			h := r3.Dot(r3.Sub(c, f.OriginMM), f.Axis)
			side := 0
			if lean > 0 {
				side = 1
			}
			face[side] += q.FacetMM2[i]
			if math.Abs(h-t*(float64(side)-0.5)) <= gate {
				on += q.FacetMM2[i]
				at[k] = append(at[k], r3.Sub(c, r3.Scale(h, f.Axis)))
			}
		}
		both, one := min(face[0], face[1]) >= flatFace*all, face[0]+face[1] >= flatAlone*all
		if !both && (k == 0 || !one) || on < flatOn*(face[0]+face[1]) {
			return nil
		}
	}
	from, to, l := nearestOf(at[0], at[1])
	along := r3.Scale(1/l, r3.Sub(to, from))
	if l == 0 || l > flatMost*max(lengthAlong(at[0], along), lengthAlong(at[1], along)) {
		return nil
	}
	return pointsOn(from, along, 0, l)
}

// nearestOf is the nearest pair of points of two lists, and its distance.
func nearestOf(a, b []r3.Vec) (from, to r3.Vec, mm float64) {
	least := math.Inf(1)
	for _, q := range a {
		for _, r := range b {
			if d := r3.Norm2(r3.Sub(q, r)); d < least {
				least, from, to = d, q, r
			}
		}
	}
	return from, to, math.Sqrt(least)
}

// lengthAlong is the length of the points along a direction.
func lengthAlong(points []r3.Vec, along r3.Vec) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, q := range points {
		h := r3.Dot(q, along)
		low, high = min(low, h), max(high, h)
	}
	return high - low
}
