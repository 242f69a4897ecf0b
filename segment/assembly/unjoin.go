package assembly

import (
	"cmp"
	"context"
	"maps"
	"math"
	"slices"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// A region that two pieces share ties them: the edge of a plate that runs on into
// the side of another, a tube's end flush with the disc that it passes through.
const (
	unjoinPoor  = 0.5  // coverage under which a known piece may be two
	unjoinKnown = 0.8  // and the share of its surface that it explains
	unjoinGain  = 0.1  // of the surface that both explain more than one did, or half of what that left
	unjoinOn    = 0.7  // of each one's surface that it explains
	unjoinSure  = 0.8  // of a piece that is sure, explained and covered: a wall of a hollow section is less
	unjoinAll   = 0.95 // share of the surface from which no other way is sought
	unjoinTries = 4    // ways that are fitted, for time
	astrayLooks = 4000 // facets of a known piece that are looked at
	astrayLeast = 0.05 // share of its surface that a region has, to be another piece
	astrayOn    = 0.3  // and that of it which lies on the piece, at most
	unjoinTies  = 12   // ties that are undone, weakest first: each joins all regions anew
)

// unjoin takes parts in two that are nothing known, or hardly, where a region less
// leaves two that are. The region's facets are dealt to the piece that they lie on,
// later.
func (g *grouping) unjoin(ctx context.Context, m *mesh.Mesh, pieces []Piece, opt primitive.Options) ([]Piece, error) {
	var out []Piece
	for _, x := range pieces {
		if x.Patch.TotalMM2 < leftShare*g.p.TotalMM2 {
			out = append(out, x)
			continue
		}
		var ways []way
		if w, ok := g.astray(x); ok {
			ways = append(ways, w)
		}
		if x.Element.Coverage <= unjoinPoor || g.explained(x) <= unjoinKnown || g.bears(x) {
			ways = append(ways, g.apart(g.partOf(x), x.Element.Kind == "freeform")...)
		}
		best, most := []Piece{x}, 0.0
		for _, w := range ways {
			list, err := g.fitWay(ctx, m, w, opt)
			if err != nil {
				return nil, err
			}
			if mm2, share := g.explainedMM2(list); mm2 > most && g.better(x, list) {
				best, most = list, mm2
				if share > unjoinAll {
					break
				}
			}
		}
		out = append(out, best...)
	}
	slices.SortStableFunc(out, func(a, b Piece) int { return len(b.Faces) - len(a.Faces) })
	return out, nil
}

// fitWay fits the parts of a way: what is nothing by itself may be the rest of the
// piece that the region is of.
func (g *grouping) fitWay(ctx context.Context, m *mesh.Mesh, w way, opt primitive.Options) ([]Piece, error) {
	list, err := refitAll(ctx, m, g.p, w.facets, nil, g.known, opt)
	if err != nil {
		return nil, err
	}
	var known []Piece
	rest := slices.Clone(w.region)
	for i, x := range list {
		if g.explained(x) > unjoinOn {
			known = append(known, x)
		} else {
			rest = append(rest, w.facets[i]...)
		}
	}
	if len(known) > 0 && len(known) < len(list) {
		known = append(known, fitPart(m, g.p, rest, primitive.Element{}, opt))
	}
	return known, nil
}

// astray is the way in which a known piece falls apart of which whole regions lie on
// none of its surface: a bar at the end of an arc that is a little thicker. ok is false
// where none does.
func (g *grouping) astray(x Piece) (w way, ok bool) {
	if x.Element.Kind == "freeform" {
		return w, false
	}
	on, all, sum := map[int32]float64{}, map[int32]float64{}, 0.0
	region := func(i int32) int32 { return g.all[g.p.Facet[i][0]] }
	facets := make([]int32, len(x.Faces))
	for j, f := range x.Faces {
		i, _ := slices.BinarySearch(g.p.Face, f)
		facets[j] = int32(i)
	}
	for _, i := range every(facets, astrayLooks) {
		r, mm2 := region(i), g.p.FacetMM2[i]
		all[r], sum = all[r]+mm2, sum+mm2
		if _, lies := liesAt(g.p, &x, int(i)); lies {
			on[r] += mm2
		}
	}
	off := func(r int32) bool { return all[r] > astrayLeast*sum && on[r] < astrayOn*all[r] }
	w.facets = make([][]int32, 2)
	for _, i := range facets {
		if off(region(i)) {
			w.facets[1] = append(w.facets[1], i)
		} else {
			w.facets[0] = append(w.facets[0], i)
		}
	}
	return w, min(len(w.facets[0]), len(w.facets[1])) >= partFacets
}

// bears tells that something with the area of a piece stands on a known one.
func (g *grouping) bears(x Piece) bool {
	return x.Element.Kind != "freeform" && standingMM2(g.p, x.Patch, &x) > standShare*g.p.TotalMM2
}

// explained is the share of a piece's surface that lies on what it is taken for.
func (g *grouping) explained(x Piece) float64 {
	if x.Element.Kind == "freeform" {
		return 0
	}
	return liesOn(g.p, x.Patch, &x)
}

// explainedMM2 is the surface of pieces that they explain, mm², and its share of all
// that they have.
func (g *grouping) explainedMM2(list []Piece) (mm2, share float64) {
	all := 0.0
	for _, x := range list {
		mm2, all = mm2+g.explained(x)*x.Patch.TotalMM2, all+x.Patch.TotalMM2
	}
	return mm2, mm2 / all
}

// better tells that each of the pieces is known, and that they explain more of the
// surface than the whole did. Of what was nothing known, one that shows most of itself
// is enough.
func (g *grouping) better(whole Piece, list []Piece) bool {
	unknown, least := whole.Element.Kind == "freeform", 1.0
	for _, x := range list {
		on := g.explained(x)
		if x.Element.RMSMM > roughNoise*g.p.NoiseMM {
			return false // a lump is not torn into likenesses
		}
		if unknown && on > unjoinSure && x.Element.Coverage > unjoinSure && !slices.Contains(x.Element.Hidden, "thickness_mm") {
			return len(list) > 1
		}
		least = min(least, on)
	}
	on := g.explained(whole)
	_, share := g.explainedMM2(list)
	return len(list) > 1 && least >= unjoinOn && share > on+min(unjoinGain, (1-on)/2)
}

// way is one in which a part may fall apart: the facets of each large part that is
// left, and those of the region that tied them.
type way struct {
	facets [][]int32
	region []int32
	in     int // votes for inside corners between the parts, less those against
}

// apart lists the ways in which part k falls in two or more large parts where one of
// its regions is left out, or, of what is unknown, two that meet are not tied: a cone
// goes on outwards from the tube that it closes. Those come first whose parts meet at
// inside corners most.
func (g *grouping) apart(k int32, unknown bool) []way {
	var ways []way
	for r, x := range g.list {
		if g.part[r] == k && x.points >= minorFlat {
			sub, _ := g.without(k, int32(r))
			if w, ok := sub.way(); ok {
				w.region = g.regionFacets(int32(r))
				ways = append(ways, w)
			}
		}
	}
	var ties [][2]int32
	if unknown {
		ties = g.ties(k)
	}
	for _, pair := range ties {
		sub, to := g.without(k, -1)
		a, b := to[pair[0]], to[pair[1]]
		sub.votes[[2]int32{min(a, b), max(a, b)}] = vote{in: len(g.f.P)} // against all others
		if w, ok := sub.way(); ok {
			w.in = -g.votes[pair].out
			ways = append(ways, w)
		}
	}
	slices.SortStableFunc(ways, func(a, b way) int { return cmp.Compare(b.in, a.in) })
	return ways[:min(len(ways), unjoinTries)]
}

// ties lists the pairs of large regions of part k that meet at outside corners, by
// themselves or over a small one, those first whose border is least for their size.
func (g *grouping) ties(k int32) [][2]int32 {
	large := func(r int32) bool { return g.list[r].points >= minorPoints }
	next := map[int32][]int32{} // small region: what it meets
	border := map[[2]int32]int{}
	for pair, v := range g.votes {
		switch a, b := pair[0], pair[1]; {
		case g.part[a] != k || g.part[b] != k || !v.clear() || !large(a) && !large(b):
		case large(a) && large(b):
			border[pair] += v.out
		case large(a):
			next[b] = append(next[b], a)
		default:
			next[a] = append(next[a], b)
		}
	}
	votes := func(a, b int32) int { return g.votes[[2]int32{min(a, b), max(a, b)}].out }
	for small, list := range next {
		for i, a := range list {
			for _, b := range list[:i] {
				border[[2]int32{min(a, b), max(a, b)}] += min(votes(small, a), votes(small, b))
			}
		}
	}
	share := func(pair [2]int32) float64 {
		return float64(border[pair]) / math.Sqrt(float64(min(g.list[pair[0]].points, g.list[pair[1]].points)))
	}
	out := slices.SortedFunc(maps.Keys(border), func(a, b [2]int32) int {
		return cmp.Or(cmp.Compare(share(a), share(b)), slices.Compare(a[:], b[:]))
	})
	return out[:min(len(out), unjoinTies)]
}

// way joins the regions of a grouping and tells whether they make up two large parts or
// more.
func (g *grouping) way() (w way, ok bool) {
	if g.part = join(g.list, g.same, g.votes); len(g.large()) < 2 {
		return w, false
	}
	g.group()
	large := g.large()
	if len(large) < 2 {
		return w, false
	}
	for pair, v := range g.votes {
		a, b := g.part[pair[0]], g.part[pair[1]]
		if a != b && slices.Contains(large, a) && slices.Contains(large, b) {
			w.in += v.in - v.out
		}
	}
	w.facets = g.facets()
	return w, len(w.facets) > 1
}
