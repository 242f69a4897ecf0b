package assembly

import (
	"context"
	"slices"

	"pointup/mesh"
	"pointup/segment/primitive"
	"pointup/segment/surface"
)

// A shell is read more than once, for with a little more or less noise told, and on
// fewer points, other surfaces are found near its welds: a reading errs at other places
// than the next. Of a large one two have to do, of a huge one one: each further reading
// takes a sixth to two fifths of the time of the first.
var rereadings = []float64{1.2, 0.8} // times the noise

// Bounds of readings, from a dozen study scenes that hung on noise. The border of a part
// in its weld moves by a facet or two between readings; a whole that takes in another
// piece shares far more with that than a tenth.
const (
	largeFacets = 400000  // over which a shell is read twice
	hugeFacets  = 1000000 // and once
	againPoints = 100000  // that surfaces are sought on from the second reading on
	sameFaces   = 0.97    // of the facets of two parts, which both have, and they are the same
	tiedFaces   = 0.1     // of the lesser piece's facets, which both have, and they contend
	pieceShare  = 0.005   // of the shell's surface that a piece has to explain, or half of its own
)

// reading is what a shell is taken for: the parts that its surfaces make up, fitted, and
// the pieces that come of these.
type reading struct {
	parts, pieces []Piece
}

// read finds the pieces of a shell by its surfaces, none where nothing parts it. Parts
// and pieces that earlier readings have already are these; one with all its parts is the
// same.
func read(ctx context.Context, m *mesh.Mesh, p *primitive.Patch, f *surface.Field, earlier []reading, tried joints, opt primitive.Options) (reading, error) {
	var r reading
	search := surface.DefaultOptions()
	if len(earlier) > 0 {
		search.Points = againPoints
	}
	found, label, err := surface.Find(ctx, f, search)
	if err != nil {
		return r, err
	}
	g := newGrouping(p, f, found, label)
	parts := g.facets()
	if len(parts) == 0 || len(parts) == 1 && len(g.apart(g.partAt(parts[0][0]), true)) == 0 {
		return r, nil
	}
	var final []dealing
	for _, e := range earlier {
		g.known, final = append(g.known, dealingOf(p, e.parts)), append(final, dealingOf(p, e.pieces))
	}
	var same []Piece
	var fresh [][]int32
	for i, x := range already(g.known, parts) {
		if x == nil {
			fresh = append(fresh, parts[i])
		} else {
			same = append(same, *x)
		}
	}
	if len(fresh) == 0 && len(same) == len(earlier[0].parts) {
		return earlier[0], nil
	}
	pieces, err := fitAll(ctx, m, p, fresh, nil, opt)
	if err != nil {
		return r, err
	}
	if err = g.strip(ctx, m, pieces, opt); err != nil {
		return r, err
	}
	if pieces, err = g.unjoin(ctx, m, pieces, opt); err != nil {
		return r, err
	}
	pieces = append(pieces, same...)
	slices.SortStableFunc(pieces, func(a, b Piece) int { return len(b.Faces) - len(a.Faces) })
	r.parts = slices.Clone(pieces)
	pieces = absorb(p, bores(m, p, absorb(p, pieces), opt))
	pieces = rejoin(m, p, absorb(p, merge(m, p, pieces, tried, opt)), opt)
	if len(pieces) < 2 {
		r.pieces = pieces
		return r, nil
	}
	own, weld := assign(m, p, pieces)
	again, err := refitAll(ctx, m, p, own, pieces, final, opt)
	if err != nil {
		return r, err
	}
	for i := range again {
		again[i].Weld = weld[i]
		first := pieces[i]
		if again[i].Element.Kind == "freeform" && again[i].Patch.TotalMM2 < robbed*first.Patch.TotalMM2 {
			continue // it was made of others' surfaces
		}
		if worse(again[i].Element, first.Element) {
			if e, ok := primitive.RecogniseAs(again[i].Patch, opt, first.Element.Kind); ok && e.Kind == first.Element.Kind && !worse(e, first.Element) {
				again[i].Element = e
				continue
			}
			again[i].Element, again[i].Patch, again[i].Faces = first.Element, first.Patch, first.Faces
		}
	}
	r.pieces = stubs(m, p, sections(m, p, leaveWeld(p, absorbFitted(m, p, again, opt)), opt), opt)
	return r, nil
}

// refitAll fits pieces to their own facets, but for those that are known already; pieces
// says what they were found to be, nil where nothing is known.
func refitAll(ctx context.Context, m *mesh.Mesh, p *primitive.Patch, own [][]int32, pieces []Piece, known []dealing, opt primitive.Options) ([]Piece, error) {
	at := already(known, own)
	var parts [][]int32
	var like []Piece
	for i, x := range at {
		if x == nil {
			parts = append(parts, own[i])
			if pieces != nil {
				like = append(like, pieces[i])
			}
		}
	}
	fitted, err := fitAll(ctx, m, p, parts, like, opt)
	if err != nil {
		return nil, err
	}
	out := make([]Piece, len(own))
	for i, x := range at {
		if x == nil {
			out[i], fitted = fitted[0], fitted[1:]
		} else {
			out[i] = *x
		}
	}
	return out, nil
}

// dealing is pieces and the first of them that has each facet of the shell.
type dealing struct {
	pieces []Piece
	of     []int32
}

func dealingOf(p *primitive.Patch, pieces []Piece) dealing { return dealing{pieces, owners(p, pieces)} }

// already is the piece of one of the dealings, the first that has one, which has the
// facets of each part; nil where none has.
func already(known []dealing, parts [][]int32) []*Piece {
	at := make([]*Piece, len(parts))
	for _, d := range known {
		for i, part := range parts {
			n := make([]int, len(d.pieces))
			for _, f := range part {
				if k := d.of[f]; k >= 0 {
					n[k]++
				}
			}
			for k := range d.pieces {
				x := &d.pieces[k]
				if all := len(part) + len(x.Faces) - n[k]; at[i] == nil && float64(n[k]) > sameFaces*float64(all) {
					at[i] = x
				}
			}
		}
	}
	return at
}

// owners is the first of the pieces that has each facet of the patch, -1 where none has.
func owners(p *primitive.Patch, pieces []Piece) []int32 {
	of := make([]int32, len(p.Face))
	for i := range of {
		of[i] = -1
	}
	for k, x := range pieces {
		for _, f := range x.Faces {
			if i, ok := slices.BinarySearch(p.Face, f); ok && of[i] < 0 {
				of[i] = int32(k)
			}
		}
	}
	return of
}

// likelier takes of two readings, piece by piece, what explains more of the surface
// with fewer pieces. Pieces of which one contends with the other's for facets are
// taken from the same reading, a's where both are as good. What a left to weld and stands
// on a face that nobody saw stays a lump of that.
func likelier(p *primitive.Patch, a, b []Piece) []Piece {
	all := slices.Concat(a, b)
	group := contending(p, all, len(a))
	var out []Piece
	for k := range all {
		if group[k] != k {
			continue
		}
		var of [2][]Piece
		for j, x := range all {
			if group[j] == k {
				s := 0
				if j >= len(a) {
					s = 1
				}
				of[s] = append(of[s], x)
			}
		}
		pick := 0
		lump := len(of[0]) == 0 && slices.ContainsFunc(of[1], func(x Piece) bool { return x.Element.Standing() })
		if !lump && unlikelihood(p, of[1], of[0]) < unlikelihood(p, of[0], of[1]) {
			pick = 1
		}
		out = append(out, of[pick]...)
	}
	slices.SortStableFunc(out, func(a, b Piece) int { return len(b.Faces) - len(a.Faces) })
	return out
}

// contending numbers the pieces, the first n of one reading and the rest of another,
// by the first that each is tied to over facets that both have.
func contending(p *primitive.Patch, all []Piece, n int) []int {
	both := map[[2]int]int{}
	first, second := owners(p, all[:n]), owners(p, all[n:])
	for i, a := range first {
		if b := second[i]; a >= 0 && b >= 0 {
			both[[2]int{int(a), n + int(b)}]++
		}
	}
	group := make([]int, len(all))
	for k := range group {
		group[k] = k
	}
	for again := true; again; {
		again = false
		for pair, shared := range both {
			a, b := pair[0], pair[1]
			if float64(shared) < tiedFaces*float64(min(len(all[a].Faces), len(all[b].Faces))) || group[a] == group[b] {
				continue
			}
			k := min(group[a], group[b])
			group[a], group[b], again = k, k, true
		}
	}
	return group
}

// unlikelihood is the surface that pieces leave unexplained of what they and others
// have, and what each piece has to be worth, mm².
func unlikelihood(p *primitive.Patch, pieces, others []Piece) float64 {
	seen := map[uint32]bool{}
	all := 0.0
	for _, x := range slices.Concat(pieces, others) {
		for i, f := range x.Patch.Face {
			if !seen[f] {
				seen[f], all = true, all+x.Patch.FacetMM2[i]
			}
		}
	}
	for _, x := range pieces {
		if x.Element.Kind != "freeform" {
			mm2 := x.Patch.TotalMM2
			all += min(pieceShare*p.TotalMM2, mm2/2) - liesOn(p, x.Patch, &x)*mm2
		}
	}
	return all
}

// dealt gives every facet of the shell to one of the pieces that have it, or as weld to
// the piece nearest to it.
func dealt(m *mesh.Mesh, p *primitive.Patch, pieces []Piece) []Piece {
	own, weld := make([][]uint32, len(pieces)), make([][]uint32, len(pieces))
	welds := make([]Piece, len(pieces))
	for k, x := range pieces {
		welds[k].Faces = x.Weld
	}
	weldOf := owners(p, welds)
	for i, k := range owners(p, pieces) {
		switch f := p.Face[i]; {
		case k >= 0:
			own[k] = append(own[k], f)
		case weldOf[i] >= 0:
			weld[weldOf[i]] = append(weld[weldOf[i]], f)
		default:
			k, _ := placeOf(p, pieces, -1, i)
			weld[k] = append(weld[k], f)
		}
	}
	for k := range pieces {
		x := &pieces[k]
		x.Weld = weld[k]
		if len(own[k]) < len(x.Faces) {
			x.Faces, x.Patch = own[k], primitive.NewPatch(m, own[k], p.NoiseMM)
			x.Element.Deviate(m, x.Patch.Vertex)
		}
	}
	return pieces
}
