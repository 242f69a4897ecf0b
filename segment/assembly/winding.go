package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/primitive"
)

// within tells whether q, in the patch's own coordinates, lies within its
// surface: where the facets fill over half of the sphere of directions (Jacobson,
// Kavan and Sorkine-Hornung, ACM TOG 32 (2013) 33), which holes in a scan leave
// alone. Solid angles are Van Oosterom and Strackee's, IEEE TBME 30 (1983) 125.
func within(p *primitive.Patch, q r3.Vec) bool {
	sum := 0.0
	for _, t := range p.Facet {
		a, b, c := r3.Sub(p.P[t[0]], q), r3.Sub(p.P[t[1]], q), r3.Sub(p.P[t[2]], q)
		x, y, z := r3.Norm(a), r3.Norm(b), r3.Norm(c)
		sum += math.Atan2(r3.Dot(a, r3.Cross(b, c)), x*y*z+r3.Dot(a, b)*z+r3.Dot(b, c)*x+r3.Dot(c, a)*y)
	}
	return sum > math.Pi // a full sphere has 2 pi of these half angles
}
