package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// islandMost is the size from which even what is nothing known is looked at by itself
// only: what a scanner sees through an opening is smaller.
const islandMost = 20000

// islandSeen is the coverage from which a scrap of surface, as small as no part of a
// shell may be, is a piece.
const islandSeen = 0.5

// MayBeIsland tells a shell that may be a part of a piece on another one: a small one
// that is open or nothing known, or a larger one that is both.
func MayBeIsland(x Piece) bool {
	open, known := x.Patch.OpenEdges > 0, x.Element.Kind != "freeform"
	if len(x.Faces) < fusedFacets {
		return open || !known
	}
	return open && !known && len(x.Faces) < islandMost
}

// Islands gives shells of a scan that are parts of pieces on other shells to
// these: what a scanner sees of a piece through an opening, and no way to it. An
// island that is open and lies on the ideal surface of a larger piece is that
// one's, which is fitted again; so is a bar whose bore it is. One that is nothing known
// and small beside all pieces, a closed one as small as spatter, is weld of the nearest;
// so is an open one of that size that shows hardly any of what it looks like. taken
// tells which islands were given away; pieces change in place.
func Islands(m *mesh.Mesh, pieces, islands []Piece, noiseMM float64, opt primitive.Options) (taken []bool) {
	taken = make([]bool, len(islands))
	gained := make([][]uint32, len(pieces))
	total := 0.0
	for _, x := range pieces {
		total += x.Patch.TotalMM2
	}
	for i, x := range islands {
		share := leftShare
		if x.Patch.OpenEdges == 0 {
			share = partShare
		} else if k := bearer(x.Patch, pieces); k >= 0 {
			gained[k], taken[i] = append(gained[k], x.Faces...), true
			continue
		} else if fillsBore(m, pieces, x, noiseMM, opt) {
			taken[i] = true
			continue
		}
		unknown := x.Element.Kind == "freeform" && x.Patch.TotalMM2 < share*total
		shard := x.Patch.OpenEdges > 0 && x.Element.Coverage < islandSeen && x.Patch.TotalMM2 < partShare*total
		if k := nearestTo(x.Patch, pieces); k >= 0 && len(x.Faces) < fusedFacets && (unknown || shard) {
			pieces[k].Weld, taken[i] = merged(pieces[k].Weld, x.Faces), true
		}
	}
	for k, more := range gained {
		if len(more) > 0 {
			pieces[k] = widened(m, pieces[k], more, noiseMM, opt)
		}
	}
	return taken
}

// fillsBore gives a bar the island that is its bore, and tells whether there is
// such a bar.
func fillsBore(m *mesh.Mesh, pieces []Piece, x Piece, noiseMM float64, opt primitive.Options) bool {
	for k := range pieces {
		if tube, ok := bored(m, noiseMM, pieces[k], x, opt); ok {
			pieces[k] = tube
			return true
		}
	}
	return false
}

// bearer is the piece on whose ideal surface most of the patch lies, -1 for none.
func bearer(q *primitive.Patch, pieces []Piece) int {
	best, at := absorbed, -1
	for k := range pieces {
		x := &pieces[k]
		if x.Element.Kind == "freeform" || x.Patch.TotalMM2 <= q.TotalMM2 || !near(q, x.Patch) {
			continue
		}
		if on := liesOn(q, q, x); on > best {
			best, at = on, k
		}
	}
	return at
}

// nearestTo is the piece to whose ideal surface the middle facet of the patch is
// nearest, -1 where all are freeform.
func nearestTo(q *primitive.Patch, pieces []Piece) int {
	least, at := math.Inf(1), -1
	c := r3.Add(q.FacetC[len(q.FacetC)/2], q.OriginMM)
	for k := range pieces {
		if d := math.Abs(pieces[k].Element.DistanceMM(c)); d < least { // a freeform's is no number
			least, at = d, k
		}
	}
	return at
}

// widened is a piece with more facets of its own, or with these as weld where it
// cannot be fitted to all.
func widened(m *mesh.Mesh, x Piece, more []uint32, noiseMM float64, opt primitive.Options) Piece {
	faces := merged(x.Faces, more)
	q := primitive.NewPatch(m, faces, noiseMM)
	e := primitive.Refit(q, x.Element, opt)
	if e.Kind != x.Element.Kind || worse(e, x.Element) {
		x.Weld = merged(x.Weld, more)
		return x
	}
	return Piece{Element: e, Faces: faces, Weld: x.Weld, Patch: q}
}

// merged is both lists as one, rising.
func merged(a, b []uint32) []uint32 {
	out := slices.Concat(a, b)
	slices.Sort(out)
	return out
}
