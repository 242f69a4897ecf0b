package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// absorbed is the share of a part's surface that lies on another piece, where it
// is a patch of that one which a weld or a crossing piece has cut off: the rest is
// its border in the weld.
const absorbed = 0.85

// absorb takes out the parts that lie on the ideal surface of a larger piece:
// their facets are dealt to that one. An ideal surface ends at its edges, so a
// plate that only continues another's face does not lie on it.
func absorb(p *primitive.Patch, pieces []Piece) []Piece {
	area := func(x Piece) float64 { return x.Patch.TotalMM2 }
	order := make([]int, len(pieces))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return len(pieces[a].Faces) - len(pieces[b].Faces) })
	gone := make([]bool, len(pieces))
	for _, i := range order {
		for j := range pieces {
			x := &pieces[j]
			if j != i && !gone[j] && x.Element.Kind != "freeform" && area(pieces[i]) < area(*x) && near(pieces[i].Patch, x.Patch) &&
				liesOn(p, pieces[i].Patch, x) > absorbed {
				gone[i] = true
				break
			}
		}
	}
	var out []Piece
	for i, x := range pieces {
		if !gone[i] {
			out = append(out, x)
		}
	}
	return out
}

// looksMost is how many facets are looked at to tell where a part lies.
const looksMost = 400

// liesOn is the share of a patch's area that lies on a piece's ideal surface and
// faces its way.
func liesOn(p *primitive.Patch, q *primitive.Patch, x *Piece) float64 {
	gate := onGate(p, x)
	on, all := 0.0, 0.0
	for i := 0; i < len(q.Facet); i += len(q.Facet)/looksMost + 1 {
		at := r3.Add(q.FacetC[i], q.OriginMM)
		all += q.FacetMM2[i]
		if math.Abs(x.Element.DistanceMM(at)) <= gate && r3.Dot(x.Element.Normal(at), q.FacetS[i]) >= onCos {
			on += q.FacetMM2[i]
		}
	}
	return on / all
}

// leftShare is the share of the shell's area under which what is nothing known
// is weld.
const leftShare = 0.01

// leaveWeld takes out what is small and nothing known, or half as small and stands
// on a face that nobody saw, as a lump of weld may: its facets are weld of the
// piece nearest to each.
func leaveWeld(p *primitive.Patch, pieces []Piece) []Piece {
	var out []Piece
	left := map[uint32]bool{}
	for _, x := range pieces {
		if x.Element.Kind == "freeform" && x.Patch.TotalMM2 < leftShare*p.TotalMM2 || x.Element.Standing() && x.Patch.TotalMM2 < leftShare/2*p.TotalMM2 {
			for _, f := range slices.Concat(x.Faces, x.Weld) {
				left[f] = true
			}
			continue
		}
		out = append(out, x)
	}
	if len(left) == 0 || len(out) == 0 {
		return pieces
	}
	for i, f := range p.Face {
		if left[f] {
			k, _ := placeOf(p, out, -1, i)
			out[k].Weld = append(out[k].Weld, f)
		}
	}
	for k := range out {
		slices.Sort(out[k].Weld)
	}
	return out
}

// absorbFitted absorbs once more when all pieces are fitted: what was nothing known
// before its weld was taken off may bear others now. It is fitted again with their
// facets.
func absorbFitted(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, opt primitive.Options) []Piece {
	out := absorb(p, pieces)
	if len(out) == len(pieces) {
		return pieces
	}
	left := map[uint32]bool{}
	for _, x := range pieces {
		if !slices.ContainsFunc(out, func(y Piece) bool { return y.Patch == x.Patch }) {
			for _, f := range slices.Concat(x.Faces, x.Weld) {
				left[f] = true
			}
		}
	}
	for _, x := range out { // a piece that kept its first fit kept that one's facets
		for _, f := range slices.Concat(x.Faces, x.Weld) {
			delete(left, f)
		}
	}
	gained, weld := make([][]uint32, len(out)), make([][]uint32, len(out))
	for i, f := range p.Face {
		if !left[f] {
			continue
		}
		if k, isWeld := placeOf(p, out, -1, i); isWeld {
			weld[k] = append(weld[k], f)
		} else {
			gained[k] = append(gained[k], f)
		}
	}
	for k := range out {
		out[k].Weld = merged(out[k].Weld, weld[k])
		if len(gained[k]) > 0 {
			out[k] = widened(m, out[k], gained[k], p.NoiseMM, opt)
		}
	}
	return out
}
