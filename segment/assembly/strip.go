package assembly

import (
	"context"
	"slices"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// stripMetal is the share of a part's facets that are no weld, from which it is tried
// without: of less than half the rest says little.
const stripMetal = 0.5

// strip fits what is nothing known once more without the weld that its regions have
// spread over: a short rod between others is half weld.
func (g *grouping) strip(ctx context.Context, m *mesh.Mesh, pieces []Piece, opt primitive.Options) error {
	var which []int
	var bare [][]int32
	for i, x := range pieces {
		if x.Element.Kind != "freeform" {
			continue
		}
		if f := g.metal(x); len(f) >= partFacets && float64(len(f)) > stripMetal*float64(len(x.Faces)) {
			which, bare = append(which, i), append(bare, f)
		}
	}
	stripped, err := refitAll(ctx, m, g.p, bare, nil, g.known, opt)
	if err != nil {
		return err
	}
	for k, x := range stripped {
		if e := x.Element; e.Kind != "freeform" && !e.Standing() && e.RMSMM < wholeRough*g.p.NoiseMM && g.explained(x) > unjoinKnown {
			pieces[which[k]] = x
		}
	}
	return nil
}

// metal lists a piece's facets on which surfaces were found.
func (g *grouping) metal(x Piece) []int32 {
	var out []int32
	for _, f := range x.Faces {
		i, _ := slices.BinarySearch(g.p.Face, f)
		if t := g.p.Facet[i]; g.at[t[0]] >= 0 && g.at[t[1]] >= 0 && g.at[t[2]] >= 0 {
			out = append(out, int32(i))
		}
	}
	return mainland(g.p, out)
}
