package site

import (
	"cmp"
	"slices"
)

// Shadow is the convex outline of a piece seen from the front (x, z) and from above (x, y):
// enough of the work to show where on it a place is.
type Shadow struct {
	ID    string
	Front [][2]float64
	Plan  [][2]float64
}

// shadowsOf has one for each piece with a surface.
func shadowsOf(pieces []Piece) []Shadow {
	var out []Shadow
	for _, p := range pieces {
		if len(p.PointsMM) == 0 {
			continue
		}
		var front, plan [][2]float64
		for _, q := range p.PointsMM {
			front, plan = append(front, [2]float64{q.X, q.Z}), append(plan, [2]float64{q.X, q.Y})
		}
		out = append(out, Shadow{p.Part.ID, hull(front), hull(plan)})
	}
	return out
}

// hull is the convex outline of points, counter-clockwise (Andrew, Inf. Proc. Lett. 9
// (1979) 216).
func hull(points [][2]float64) [][2]float64 {
	slices.SortFunc(points, func(a, b [2]float64) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	points = slices.Compact(points)
	if len(points) < 3 {
		return points
	}
	var out [][2]float64
	half := func(points [][2]float64) {
		first := len(out)
		for _, p := range points {
			for n := len(out); n > first+1; n = len(out) {
				a, b := out[n-2], out[n-1]
				if (b[0]-a[0])*(p[1]-a[1])-(b[1]-a[1])*(p[0]-a[0]) > 0 {
					break
				}
				out = out[:n-1]
			}
			out = append(out, p)
		}
		out = out[:len(out)-1]
	}
	half(points)
	slices.Reverse(points)
	half(points)
	return out
}
