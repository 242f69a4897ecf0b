package assembly

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

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
	part  []int32   // of every region
	known []dealing // parts that were fitted before
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
	metal := func(q r3.Vec) bool { return within(g.p, q) }
	g.part = severed(g.f, g.found, g.list, g.at, g.part, metal)
	parts, _, _ := flatSides(g.list, g.at, g.part)
	g.part = remnants(g.found, g.list, g.part, linkedOver(g.f, g.found, parts, metal))
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

// partOf is the number of the part that a piece's facets, all of one, are of.
func (g *grouping) partOf(x Piece) int32 {
	i, _ := slices.BinarySearch(g.p.Face, x.Faces[0])
	return g.partAt(int32(i))
}

func (g *grouping) partAt(facet int32) int32 { return g.part[g.all[g.p.Facet[facet][0]]] }

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

// without is the grouping of part k alone, region r left out, not grouped yet, and the
// number of each region in it, -1 for none.
func (g *grouping) without(k, r int32) (out *grouping, to []int32) {
	out = &grouping{p: g.p, f: g.f, found: g.found, votes: map[[2]int32]vote{}}
	to = make([]int32, len(g.list))
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
	return out, to
}
