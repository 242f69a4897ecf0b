package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// A piece that another one crosses may come in two, each of which is a sound
// piece by itself. Two are one where one fit holds for both and what is between
// them is filled by others: two rods in line with air between are two. Sizes and
// axes only tell which are worth the fit; those of a short part are not sure. Two
// that show the same length of one rod or arc, different sides of it, are one too.
const (
	sameSize    = 0.15 // of the diameter
	sameAxis    = 10   // deg
	stubAxis    = 15   // deg: the end of a cone, some of whose side may be taken for it
	bridgeMM    = 1.5  // of weld round what fills the gap
	bridgeMost  = 0.75 // of the longer part's length: a longer gap says nothing of what is in it
	wholeRough  = 1.5  // times the scatter of the halves that one fit may have
	bentRough   = 2.0  // of a bend and its leg, which bear on each other less
	sharedEdges = 4    // facets' edges along the axis that both of two halves show: more than at the joint of two
	woundAxis   = 20   // deg: the planes of two parts of a coil lean by its pitch, either way
)

// rejoin puts halves together again.
func rejoin(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, opt primitive.Options) []Piece {
	return pairwise(m, p, pieces, opt, whole, wholeFlat, wholeRolled)
}

// wholeOf fits pieces i and j as the one that they are parts of; ok is false where they
// are not.
type wholeOf func(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, i, j int, opt primitive.Options) (x Piece, ok bool)

// pairwise puts one piece in the place of two until no way makes one of any two.
func pairwise(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, opt primitive.Options, ways ...wholeOf) []Piece {
	for i := 0; i < len(pieces); i++ {
		for j := i + 1; j < len(pieces); j++ {
			for _, way := range ways {
				x, ok := way(m, p, pieces, i, j, opt)
				if !ok {
					continue
				}
				x.Weld = merged(pieces[i].Weld, pieces[j].Weld)
				pieces[i] = x
				pieces = slices.Delete(pieces, j, j+1)
				j = i
				break
			}
		}
	}
	return pieces
}

// whole fits pieces i and j as the one that they are halves of; ok is false where
// they are not.
func whole(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, i, j int, opt primitive.Options) (x Piece, ok bool) {
	a, b := pieces[i], pieces[j]
	others := slices.Concat(pieces[:i], pieces[i+1:j], pieces[j+1:])
	bent := func(kind string) bool { return kind == "arc" && a.Element.Kind != b.Element.Kind }
	if kind, gap := parted(a, b); kind != "" && (filled(gap, others) || sharesPlace(a, b) || bent(kind) && closedGap(p, gap, others)) {
		if x, ok = asOne(m, p, a, b, kind, opt); ok {
			return x, true
		}
	}
	if !wound(a, b) {
		return x, false
	}
	x, ok = asOne(m, p, a, b, "coil", opt)
	if !ok {
		return x, false
	}
	gap, sawn := x.Element.UnseenBetween(a.Patch, b.Patch)
	most := bridgeMost * max(a.Patch.SizeMM, b.Patch.SizeMM)
	if turn, ok := x.Element.Dim("centreline_diameter_mm"); ok && (a.Element.Kind == "coil" || b.Element.Kind == "coil") {
		most = max(most, math.Pi*turn) // whose pitch is known
	}
	return x, filled(gap, others) || !sawn && float64(len(gap)) < most
}

// asOne fits two pieces as one of a kind; ok is false where that is worse than
// both.
func asOne(m *mesh.Mesh, p *primitive.Patch, a, b Piece, kind string, opt primitive.Options) (x Piece, ok bool) {
	faces := merged(a.Faces, b.Faces)
	q := primitive.NewPatch(m, faces, p.NoiseMM)
	e, ok := primitive.RecogniseAs(q, opt, kind)
	rough, bent := wholeRough, kind == "arc" && a.Element.Kind != b.Element.Kind
	if bent {
		rough = bentRough
	}
	if !ok || e.Kind != kind || len(e.Segments) > 0 && !bent || e.RMSMM > rough*max(a.Element.RMSMM, b.Element.RMSMM, p.NoiseMM) {
		return x, false
	}
	return Piece{Element: e, Faces: faces, Patch: q}, true
}

// parted tells what two pieces would be halves of, by kind, and points along the
// gap between them; none where they do not lie in line.
func parted(a, b Piece) (kind string, gap []r3.Vec) {
	straight := func(x Piece) bool { return x.Element.Kind == "bar" || x.Element.Kind == "tube" }
	if straight(b) || b.Element.Kind == "cone" {
		a, b = b, a
	}
	switch {
	case a.Element.Kind == "cone" && stub(b.Element) && oneAxis(a.Element, b.Element, stubAxis, sameSize*section(b.Element)):
		return "cone", straightGap(a, b)
	case straight(a) && stub(b.Element) && halves(a.Element, b.Element):
		return a.Element.Kind, straightGap(a, b)
	case straight(a) && curvedSide(a.Element, b.Element):
		return "tube", straightGap(a, b)
	case straight(a) && b.Element.Kind == "arc":
		return "arc", legGap(b, a)
	case oneProfile(a.Element, b.Element):
		return "profile", straightGap(a, b)
	case a.Element.Kind != b.Element.Kind || !halves(a.Element, b.Element):
		return "", nil
	case straight(a):
		return a.Element.Kind, straightGap(a, b)
	case a.Element.Kind == "arc":
		return "arc", arcGap(a, b)
	}
	return "", nil
}

// stub tells a disc of which nobody saw how thick it is: the end of a rod or cone, or
// of a tube that is closed with weld, may show no more.
func stub(e primitive.Element) bool {
	return (e.Kind == "disc" || e.Kind == "ring") && slices.Contains(e.Hidden, "thickness_mm")
}

// curvedSide tells that b, a rolled plate nobody saw the whole sweep of, is a strip of
// the side of a round piece a, with some of its bore behind it.
func curvedSide(a, b primitive.Element) bool {
	inside, has := b.Dim("inside_diameter_mm")
	thick, too := b.Dim("thickness_mm")
	outside, _ := a.Dim("outside_diameter_mm")
	if b.Kind != "rolled_plate" || !has || !too || !slices.Contains(b.Hidden, "sweep_deg") {
		return false
	}
	return agree(inside+2*thick, outside) && oneAxis(a, b, sameAxis, 0.3*section(a))
}

// oneProfile tells two profiles in line whose sections may be the same.
func oneProfile(a, b primitive.Element) bool {
	if a.Kind != "profile" || b.Kind != "profile" {
		return false
	}
	area, other := insideMM2(a), insideMM2(b)
	return agree(area, other) && oneAxis(a, b, sameAxis, sameSize*math.Sqrt(area))
}

// halves tells that two elements have one axis, or centre, and one section.
func halves(a, b primitive.Element) bool {
	if len(a.Segments) > 0 || len(b.Segments) > 0 {
		return false
	}
	for _, key := range sectionSizes {
		x, has := a.Dim(key)
		y, too := b.Dim(key)
		if has != too && key != "inside_diameter_mm" { // a bore may be seen on one side only
			return false
		}
		if has && too && !agree(x, y) {
			return false
		}
	}
	if a.Kind == "arc" {
		return oneAxis(a, b, sameAxis, 2*section(a)) && r3.Norm(r3.Sub(b.Frame.OriginMM, a.Frame.OriginMM)) < 2*section(a)
	}
	return oneAxis(a, b, sameAxis, 0.3*section(a))
}

var sectionSizes = []string{"section_diameter_mm", "outside_diameter_mm", "inside_diameter_mm", "centreline_diameter_mm", "thickness_mm"}

// section is the least size of a straight or bent piece across, mm.
func section(e primitive.Element) float64 {
	least := math.Inf(1)
	for _, key := range sectionSizes {
		if x, has := e.Dim(key); has {
			least = min(least, x)
		}
	}
	return least
}

// wound tells that two pieces may be parts of one coil: bends, or coils, of one
// section and one diameter round one axis. Less than a turn of a coil is as good
// as two or three bends, and where it goes on only both together tell. Two that lie
// on one helix are one even with air between, unless an end shows there.
func wound(a, b Piece) bool {
	bend := func(e primitive.Element) bool { return e.Kind == "coil" || e.Kind == "arc" }
	if !bend(a.Element) || !bend(b.Element) || !near(a.Patch, b.Patch) {
		return false
	}
	section, has := a.Element.Dim("section_diameter_mm")
	other, too := b.Element.Dim("section_diameter_mm")
	x, _ := a.Element.Dim("centreline_diameter_mm")
	y, _ := b.Element.Dim("centreline_diameter_mm")
	return has && too && agree(section, other) && agree(x, y) && oneAxis(a.Element, b.Element, woundAxis, 2*section)
}

// agree tells that two sizes may be the same.
func agree(x, y float64) bool { return math.Abs(x-y) <= sameSize*max(x, y) }

// oneAxis tells that two elements' axes lie within an angle and, at their origins,
// a distance.
func oneAxis(a, b primitive.Element, deg, offMM float64) bool {
	w := r3.Sub(b.Frame.OriginMM, a.Frame.OriginMM)
	off := r3.Norm(r3.Sub(w, r3.Scale(r3.Dot(w, a.Frame.Axis), a.Frame.Axis)))
	return math.Abs(r3.Dot(a.Frame.Axis, b.Frame.Axis)) >= math.Cos(deg*math.Pi/180) && off < offMM
}

// straightGap are points on the axis between two straight pieces, a millimetre apart, or
// the middle of what both show; nil where the gap is too long to tell.
func straightGap(a, b Piece) []r3.Vec {
	d, c := a.Element.Frame.Axis, a.Element.Frame.OriginMM
	al, ah := reach(a.Patch, a.Element)
	bl, bh := reach(b.Patch, a.Element)
	from, to := ah, bl
	switch {
	case bh < al:
		from, to = bh, al
	case ah > bl: // no gap: a few facets of one beside the other
		from = (max(al, bl) + min(ah, bh)) / 2
		to = from
	}
	if to-from > bridgeMost*max(ah-al, bh-bl) {
		return nil
	}
	return pointsOn(c, d, from, to)
}

// pointsOn are points on a line from one place to another, a millimetre apart.
func pointsOn(at, along r3.Vec, from, to float64) []r3.Vec {
	var out []r3.Vec
	n := int(math.Abs(to-from)) + 2
	for k := range n {
		out = append(out, r3.Add(at, r3.Scale(from+(to-from)*float64(k)/float64(n-1), along)))
	}
	return out
}

// arcGap are points on the centreline of two arcs between the near ends of both.
func arcGap(a, b Piece) []r3.Vec { return turnGap(a.Element, a.Patch, b.Patch) }

// sectors are those of a turn, half a degree each, by which of the patches show
// them: a bit each.
const sectors = 720

func sectorsOf(e primitive.Element, patches ...*primitive.Patch) (seen [sectors]int) {
	v := r3.Cross(e.Frame.Axis, e.Frame.Ref)
	for k, x := range patches {
		for _, q := range x.P {
			w := r3.Sub(r3.Add(q, x.OriginMM), e.Frame.OriginMM)
			phi := math.Atan2(r3.Dot(w, v), r3.Dot(w, e.Frame.Ref))
			seen[int((phi/(2*math.Pi)+1)*sectors)%sectors] |= 1 << k
		}
	}
	return seen
}

// turnGap are points on the circle that e's arc is part of, a millimetre apart,
// where its patches leave it open: in the widest gap for one patch, in the
// narrower of the two between two, or where these meet.
func turnGap(e primitive.Element, patches ...*primitive.Patch) []r3.Vec {
	seen, v := sectorsOf(e, patches...), r3.Cross(e.Frame.Axis, e.Frame.Ref)
	r := turnRadius(e)
	at := func(sector float64) r3.Vec {
		sin, cos := math.Sincos((sector + 0.5) * 2 * math.Pi / sectors)
		return r3.Add(e.Frame.OriginMM, r3.Add(r3.Scale(r*cos, e.Frame.Ref), r3.Scale(r*sin, v)))
	}
	type gap struct{ from, n int }
	var gaps []gap
	var meet []r3.Vec
	for i := range sectors {
		switch next := seen[(i+1)%sectors]; {
		case seen[i] != 0 && next != 0 && seen[i]|next == 3:
			meet = append(meet, at(float64(i)))
		case seen[i] != 0 && next == 0:
			g := gap{from: i}
			for g.n = 1; g.n < sectors && seen[(i+g.n)%sectors] == 0; g.n++ {
			}
			if len(patches) == 1 || seen[i] != seen[(i+g.n)%sectors] {
				gaps = append(gaps, g)
			}
		}
	}
	if len(meet) > 0 {
		return meet
	}
	if len(gaps) == 0 {
		return nil
	}
	best := slices.MinFunc(gaps, func(a, b gap) int { return a.n - b.n })
	if len(patches) == 1 {
		best = slices.MaxFunc(gaps, func(a, b gap) int { return a.n - b.n })
	}
	turn := float64(best.n)
	n := int(turn*2*math.Pi/sectors*r) + 2
	var out []r3.Vec
	for k := range n {
		out = append(out, at(float64(best.from)+turn*float64(k)/float64(n-1)))
	}
	return out
}

// turnRadius is that of the middle of the metal of an arc or rolled plate, mm.
func turnRadius(e primitive.Element) float64 {
	if d, ok := e.Dim("centreline_diameter_mm"); ok {
		return d / 2
	}
	i, _ := e.Dim("inside_diameter_mm")
	o, ok := e.Dim("outside_diameter_mm")
	if !ok {
		t, _ := e.Dim("thickness_mm")
		o = i + 2*t
	}
	return (o + i) / 4
}

// sharesPlace tells that two halves of one kind, axis and section both show a
// length of it, of the section at least or, of a round one, of some facets, or a strip
// half of its own or as much: two bodies are not in one place, these are faces of one.
func sharesPlace(a, b Piece) bool {
	if a.Element.Kind == "rolled_plate" {
		a, b = b, a
	}
	strip := b.Element.Kind == "rolled_plate"
	if a.Element.Kind != b.Element.Kind && !strip {
		return false // a bend and its leg
	}
	if a.Element.Kind == "arc" {
		n := 0
		for _, k := range sectorsOf(a.Element, a.Patch, b.Patch) {
			if k == 3 {
				n++
			}
		}
		return float64(n)*2*math.Pi/sectors*turnRadius(a.Element) >= section(a.Element)
	}
	al, ah := reach(a.Patch, a.Element)
	bl, bh := reach(b.Patch, a.Element)
	least := min(section(a.Element), sharedEdges*a.Patch.EdgeMM)
	if strip {
		least = min((bh-bl)/2, least)
	}
	return min(ah, bh)-max(al, bl) >= least
}

// reach is how far a patch reaches along an element's axis from its origin, mm.
func reach(x *primitive.Patch, e primitive.Element) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, q := range x.P {
		h := r3.Dot(r3.Sub(r3.Add(q, x.OriginMM), e.Frame.OriginMM), e.Frame.Axis)
		low, high = min(low, h), max(high, h)
	}
	return low, high
}

// filled tells that every one of the points, some at least, lies in another piece
// or in the weld round it.
func filled(points []r3.Vec, others []Piece) bool {
	for _, q := range points {
		if !slices.ContainsFunc(others, func(x Piece) bool { return x.Element.DistanceMM(q) < bridgeMM }) {
			return false
		}
	}
	return len(points) > 0
}

// closeRings makes a ring of an arc whose ends nobody sees and whose gap other
// pieces fill, or metal that is no known piece's: weld, or a piece that was not made
// out. metal tells whether a point lies within the scan.
func closeRings(pieces []Piece, opt primitive.Options, metal func(r3.Vec) bool) {
	for i := range pieces {
		a := &pieces[i].Element
		if a.Kind != "arc" || len(a.Segments) > 0 || slices.ContainsFunc(a.Ends, func(e primitive.End) bool { return e.Kind != "open" && e.Kind != "hidden" }) {
			continue
		}
		gap := turnGap(*a, pieces[i].Patch)
		others := slices.Concat(pieces[:i], pieces[i+1:])
		bare := slices.DeleteFunc(slices.Clone(gap), func(q r3.Vec) bool { return filled([]r3.Vec{q}, others) })
		if len(gap) == 0 || slices.ContainsFunc(every(bare, severedSteps), func(q r3.Vec) bool { return !metal(q) }) {
			continue
		}
		if e, ok := primitive.RecogniseAs(pieces[i].Patch, opt, "ring"); ok && e.Kind == "ring" && e.RMSMM <= 1.5*a.RMSMM {
			e.Notes = append(e.Notes, "other pieces hide a part of its turn: it is taken for whole")
			*a = e
		}
	}
}
