package primitive

import "gonum.org/v1/gonum/spatial/r3"

// thin returns a patch of about n vertices and as many facets, every k-th in
// canonical order, for finding out what a patch is; it has no links.
func (p *Patch) thin(n int) *Patch {
	k := len(p.P) / n
	if k < 2 {
		return p
	}
	q := *p
	q.full = p.whole()
	left := len(p.P)/k + 1
	q.P, q.N = make([]r3.Vec, 0, left), make([]r3.Vec, 0, left)
	q.AreaMM2, q.Vertex = make([]float64, 0, left), make([]uint32, 0, left)
	q.Facet, q.Next, q.Face, q.Open = nil, nil, nil, nil
	q.FacetN, q.FacetS, q.FacetC, q.FacetMM2 = nil, nil, nil, nil
	q.TotalMM2 = 0
	for i := 0; i < len(p.P); i += k {
		q.P, q.N = append(q.P, p.P[i]), append(q.N, p.N[i])
		q.AreaMM2 = append(q.AreaMM2, p.AreaMM2[i])
		q.Vertex = append(q.Vertex, p.Vertex[i])
		q.TotalMM2 += p.AreaMM2[i]
	}
	k = max(len(p.Facet)/n, 1)
	for i := 0; i < len(p.Facet); i += k {
		q.FacetN, q.FacetC = append(q.FacetN, p.FacetN[i]), append(q.FacetC, p.FacetC[i])
		q.FacetS = append(q.FacetS, p.FacetS[i])
		q.FacetMM2 = append(q.FacetMM2, p.FacetMM2[i]*float64(k))
	}
	return &q
}

// some returns half of n to n of a list, evenly spread over it; all of a short one.
func some[T any](list []T, n int) []T {
	step := len(list)/n + 1
	if step == 1 {
		return list
	}
	out := make([]T, 0, n)
	for i := 0; i < len(list); i += step {
		out = append(out, list[i])
	}
	return out
}

// What a start is sought by: at most so many facets, until it moves by less than
// this share of the patch; the fit goes on from there.
const (
	startFacets = 1500
	startShare  = 1e-5
)

// startStep is the step at which startFacets or fewer are met.
func (p *Patch) startStep() int { return len(p.FacetC)/startFacets + 1 }

// whole is the patch that this one was thinned from, or itself.
func (p *Patch) whole() *Patch {
	if p.full != nil {
		return p.full
	}
	return p
}
