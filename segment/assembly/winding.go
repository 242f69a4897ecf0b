package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/primitive"
)

// dipoleFar is the distance, in facet edges, from which a facet's solid angle is that
// of its area vector at its centre, to a hundredth.
const dipoleFar = 8

// within tells whether q, in the patch's own coordinates, lies within its
// surface: where the facets fill over half of the sphere of directions (Jacobson,
// Kavan and Sorkine-Hornung, ACM TOG 32 (2013) 33), which holes in a scan leave
// alone. Solid angles near by are Van Oosterom and Strackee's, IEEE TBME 30 (1983)
// 125, those far off dipoles (Barill and others, ACM TOG 37 (2018) 43).
func within(p *primitive.Patch, q r3.Vec) bool {
	sum, far := 0.0, dipoleFar*dipoleFar*p.EdgeMM*p.EdgeMM
	for i, c := range p.FacetC {
		d := r3.Sub(c, q)
		r2 := r3.Dot(d, d)
		if r2 > far {
			sum += p.FacetMM2[i] * r3.Dot(p.FacetN[i], d) / (2 * r2 * math.Sqrt(r2))
			continue
		}
		sum += halfSolidAngle(p, i, q)
	}
	return sum > math.Pi // a full sphere has 2 pi of these half angles
}

// halfSolidAngle is half of that of facet i at q, sr, positive where its back is seen.
func halfSolidAngle(p *primitive.Patch, i int, q r3.Vec) float64 {
	t := p.Facet[i]
	a, b, c := r3.Sub(p.P[t[0]], q), r3.Sub(p.P[t[1]], q), r3.Sub(p.P[t[2]], q)
	x, y, z := r3.Norm(a), r3.Norm(b), r3.Norm(c)
	return math.Atan2(r3.Dot(a, r3.Cross(b, c)), x*y*z+r3.Dot(a, b)*z+r3.Dot(b, c)*x+r3.Dot(c, a)*y)
}
