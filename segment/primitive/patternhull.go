package primitive

import (
	"cmp"
	"math"
	"slices"
)

// convexHull is the least convex loop about the points, counter-clockwise
// (Andrew, Information Processing Letters 9 (1979) 216).
func convexHull(points [][2]float64) [][2]float64 {
	p := slices.Clone(points)
	slices.SortFunc(p, func(a, b [2]float64) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	p = slices.Compact(p)
	if len(p) < 3 {
		return p
	}
	var hull [][2]float64
	for pass := 0; pass < 2; pass++ {
		from := len(hull)
		for _, q := range p {
			for len(hull) >= from+2 {
				a, b := hull[len(hull)-2], hull[len(hull)-1]
				if cross2([2]float64{b[0] - a[0], b[1] - a[1]}, [2]float64{q[0] - b[0], q[1] - b[1]}) > 0 {
					break
				}
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, q)
		}
		hull = hull[:len(hull)-1]
		slices.Reverse(p)
	}
	return hull
}

// chainDistance is the distance of q from a closed chain.
func chainDistance(q [2]float64, chain [][2]float64) float64 {
	best := math.Inf(1)
	for i, a := range chain {
		b := chain[(i+1)%len(chain)]
		dx, dy, px, py := b[0]-a[0], b[1]-a[1], q[0]-a[0], q[1]-a[1]
		if l := dx*dx + dy*dy; l > 0 {
			s := min(max((px*dx+py*dy)/l, 0), 1)
			px, py = px-s*dx, py-s*dy
		}
		best = min(best, hypot(px, py))
	}
	return best
}
