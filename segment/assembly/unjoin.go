package assembly

import (
	"cmp"
	"context"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
	"pointup/segment/surface"
)

// grouping is the regions of a shell's surfaces and the part that each is of.
type grouping struct {
	p     *primitive.Patch
	f     *surface.Field
	found []surface.Surface
	list  []region
	at    []int32 // of every point, -1 for weld
	all   []int32 // of every point: weld has its nearest one's
	same  [][2]int32
	votes map[[2]int32]vote
	part  []int32 // of every region
}

func newGrouping(p *primitive.Patch, f *surface.Field, found []surface.Surface, label []int32) *grouping {
	g := &grouping{p: p, f: f, found: found}
	g.at, g.list, g.same = regions(f, found, label)
	var source []int32
	g.all, source = spreadRegions(f, g.at)
	g.votes = borders(f, found, g.list, g.all, source)
	g.group()
	return g
}

// group finds the parts.
func (g *grouping) group() {
	g.part = join(g.list, g.same, g.votes)
	g.part = severed(g.f, g.found, g.list, g.at, g.part, func(q r3.Vec) bool { return within(g.p, q) })
	g.part = remnants(g.found, g.list, g.part)
}

// facets lists those of each part.
func (g *grouping) facets() [][]int32 {
	part := make([]int32, len(g.all))
	for i, r := range g.all {
		part[i] = -1
		if r >= 0 {
			part[i] = g.part[r]
		}
	}
	return facetParts(g.p, part)
}

// A region that two pieces share ties them: the edge of a plate that runs on into
// the side of another, a tube's end flush with the disc that it passes through.
const (
	unjoinPoor  = 0.5 // coverage under which a known piece may be two
	unjoinKnown = 0.8 // and the share of its surface that it explains
	unjoinGain  = 0.1 // of the surface that both explain more than one did
	unjoinOn    = 0.7 // of each one's surface that it explains
	unjoinSure  = 0.8 // of a piece that is sure, explained and covered: a wall of a hollow section is less
	unjoinTries = 4
)

// unjoin takes parts in two that are nothing known, or hardly, where a region less
// leaves two that are. The region's facets are dealt to the piece that they lie on,
// later.
func (g *grouping) unjoin(ctx context.Context, m *mesh.Mesh, pieces []Piece, opt primitive.Options) ([]Piece, error) {
	var out []Piece
	for _, x := range pieces {
		if x.Patch.TotalMM2 < leftShare*g.p.TotalMM2 || x.Element.Coverage > unjoinPoor && g.explained(x) > unjoinKnown {
			out = append(out, x)
			continue
		}
		best := []Piece{x}
		for _, w := range g.apart(g.partOf(m, x)) {
			list, err := g.fitWay(ctx, m, w, opt)
			if err != nil {
				return nil, err
			}
			if g.better(x, list) {
				best = list
				break
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
	list, err := fitAll(ctx, m, g.p, w.facets, nil, opt)
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

// explained is the share of a piece's surface that lies on what it is taken for.
func (g *grouping) explained(x Piece) float64 {
	if x.Element.Kind == "freeform" {
		return 0
	}
	return liesOn(g.p, x.Patch, &x)
}

// better tells that each of the pieces is known, and that they explain more of the
// surface than the whole did. Of what was nothing known, one that shows most of itself
// is enough.
func (g *grouping) better(whole Piece, list []Piece) bool {
	sum, area := 0.0, 0.0
	for _, x := range list {
		on := g.explained(x)
		if whole.Element.Kind == "freeform" && on > unjoinSure && x.Element.Coverage > unjoinSure && !slices.Contains(x.Element.Hidden, "thickness_mm") {
			return len(list) > 1
		}
	}
	for _, x := range list {
		on := g.explained(x)
		if on < unjoinOn {
			return false
		}
		sum, area = sum+on*x.Patch.TotalMM2, area+x.Patch.TotalMM2
	}
	return len(list) > 1 && sum > (g.explained(whole)+unjoinGain)*area
}

// partOf is the number of the part that a piece's facets are of.
func (g *grouping) partOf(m *mesh.Mesh, x Piece) int32 {
	mine := make(map[uint32]bool, len(x.Faces))
	for _, f := range x.Faces {
		mine[f] = true
	}
	n := map[int32]int{}
	best := int32(-1)
	for i, f := range g.p.Face {
		if !mine[f] {
			continue
		}
		if r := g.all[g.p.Facet[i][0]]; r >= 0 {
			k := g.part[r]
			n[k]++
			if best < 0 || n[k] > n[best] {
				best = k
			}
		}
	}
	return best
}

// way is one in which a part may fall apart: the facets of each large part that is
// left, and those of the region that tied them.
type way struct {
	facets [][]int32
	region []int32
	in     int // votes for inside corners between the parts, less those against
}

// apart lists the ways in which part k falls in two or more large parts that meet at
// inside corners, where one of its regions is left out; the surest first.
func (g *grouping) apart(k int32) []way {
	var ways []way
	for r, x := range g.list {
		if g.part[r] != k || x.points < minorFlat {
			continue
		}
		sub := g.without(k, int32(r))
		if sub.part = join(sub.list, sub.same, sub.votes); len(sub.large()) < 2 {
			continue
		}
		sub.group()
		large := sub.large()
		if len(large) < 2 {
			continue
		}
		w := way{region: g.regionFacets(int32(r))}
		for pair, v := range sub.votes {
			a, b := sub.part[pair[0]], sub.part[pair[1]]
			if a != b && slices.Contains(large, a) && slices.Contains(large, b) {
				w.in += v.in - v.out
			}
		}
		if w.facets = sub.facets(); len(w.facets) > 1 {
			ways = append(ways, w)
		}
	}
	slices.SortStableFunc(ways, func(a, b way) int { return cmp.Compare(b.in, a.in) })
	return ways[:min(len(ways), unjoinTries)]
}

// regionFacets lists the facets of one region.
func (g *grouping) regionFacets(r int32) []int32 {
	var out []int32
	for i, t := range g.p.Facet {
		if g.all[t[0]] == r && g.all[t[1]] == r && g.all[t[2]] == r {
			out = append(out, int32(i))
		}
	}
	return out
}

// large lists the parts with as many points as a piece has, in rising order.
func (g *grouping) large() []int32 {
	n := map[int32]int{}
	for r, x := range g.list {
		n[g.part[r]] += x.points
	}
	var out []int32
	for k, points := range n {
		if points >= minorPoints {
			out = append(out, k)
		}
	}
	slices.Sort(out)
	return out
}

// without is the grouping of part k alone, region r left out, not grouped yet.
func (g *grouping) without(k, r int32) *grouping {
	out := &grouping{p: g.p, f: g.f, found: g.found, votes: map[[2]int32]vote{}}
	to := make([]int32, len(g.list))
	for i, x := range g.list {
		to[i] = -1
		if g.part[i] == k && int32(i) != r {
			to[i] = int32(len(out.list))
			out.list = append(out.list, x)
		}
	}
	renumbered := func(at []int32) []int32 {
		list := make([]int32, len(at))
		for i, x := range at {
			list[i] = -1
			if x >= 0 {
				list[i] = to[x]
			}
		}
		return list
	}
	out.at, out.all = renumbered(g.at), renumbered(g.all)
	for _, s := range g.same {
		if a, b := to[s[0]], to[s[1]]; a >= 0 && b >= 0 {
			out.same = append(out.same, [2]int32{a, b})
		}
	}
	for pair, v := range g.votes {
		if a, b := to[pair[0]], to[pair[1]]; a >= 0 && b >= 0 {
			out.votes[[2]int32{min(a, b), max(a, b)}] = v
		}
	}
	return out
}
