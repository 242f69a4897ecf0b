package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// FromPoints makes a patch of bare points with outward unit normals, each
// standing for the same area. It has no facets in the scan and no links, so that
// plates, wheels and profiles, whose outlines are followed over facets, cannot be
// found in it.
//
// spacingMM is the distance between neighbours, noiseMM one sigma of a point.
func FromPoints(points, normals []r3.Vec, spacingMM, noiseMM float64) *Patch {
	p := &Patch{NoiseMM: noiseMM, EdgeMM: spacingMM, N: normals}
	lo := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	hi := r3.Scale(-1, lo)
	for _, q := range points {
		lo = r3.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y), Z: min(lo.Z, q.Z)}
		hi = r3.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y), Z: max(hi.Z, q.Z)}
	}
	p.OriginMM = r3.Scale(0.5, r3.Add(lo, hi))
	p.SizeMM = norm(r3.Sub(hi, lo))
	area := spacingMM * spacingMM
	for i, q := range points {
		q = r3.Sub(q, p.OriginMM)
		p.P = append(p.P, q)
		p.AreaMM2 = append(p.AreaMM2, area)
		p.Vertex = append(p.Vertex, uint32(i))
		p.Facet = append(p.Facet, [3]int32{int32(i), int32(i), int32(i)})
		p.FacetN, p.FacetC = append(p.FacetN, normals[i]), append(p.FacetC, q)
		p.FacetMM2 = append(p.FacetMM2, area)
		p.Next = append(p.Next, [3]int32{-1, -1, -1})
		p.Face = append(p.Face, uint32(i))
	}
	p.FacetS = p.FacetN
	p.Open = make([]bool, len(points))
	p.OpenEdges = len(points) // bare points never show that they are all
	p.TotalMM2 = area * float64(len(points))
	return p
}
