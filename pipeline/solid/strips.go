package solid

import (
	"math"
	"slices"
)

// ruled adds points to a polygon where its sides cross the lines u = k step.
func ruled(line [][2]float64, step float64) [][2]float64 {
	var out [][2]float64
	for i, a := range line {
		out = append(out, a)
		out = append(out, cuts(a, line[(i+1)%len(line)], step)...)
	}
	return out
}

// cuts are the points within a → b on the lines u = k step, in order. They are
// the same from b to a.
func cuts(a, b [2]float64, step float64) [][2]float64 {
	if a[0] > b[0] {
		out := cuts(b, a, step)
		slices.Reverse(out)
		return out
	}
	var out [][2]float64
	for k := math.Floor(a[0] / step); k*step < b[0]; k++ {
		if u := k * step; u > a[0] {
			out = append(out, [2]float64{u, a[1] + (u-a[0])/(b[0]-a[0])*(b[1]-a[1])})
		}
	}
	return out
}

// strips cuts triangles along the lines u = k step; neighbours share the points
// on their common side.
func strips(at [][2]float64, tri [][3]uint32, step float64) ([][2]float64, [][3]uint32) {
	shared := map[[2]uint32][]uint32{} // from the lower number to the higher
	side := func(a, b uint32) []uint32 {
		flip := a > b
		if flip {
			a, b = b, a
		}
		ids, known := shared[[2]uint32{a, b}]
		if !known {
			for _, p := range cuts(at[a], at[b], step) {
				ids = append(ids, uint32(len(at)))
				at = append(at, p)
			}
			shared[[2]uint32{a, b}] = ids
		}
		if flip {
			ids = slices.Clone(ids)
			slices.Reverse(ids)
		}
		return ids
	}
	var out [][3]uint32
	for _, t := range tri {
		var ring []uint32
		lo, hi := math.Inf(1), math.Inf(-1)
		for k := range t {
			ring = append(append(ring, t[k]), side(t[k], t[(k+1)%3])...)
			lo, hi = min(lo, at[t[k]][0]), max(hi, at[t[k]][0])
		}
		for k := math.Floor(lo/step) - 1; k*step < hi; k++ {
			var piece []uint32
			for _, i := range ring {
				if u := at[i][0]; u >= k*step && u <= (k+1)*step {
					piece = append(piece, i)
				}
			}
			for i := 2; i < len(piece); i++ {
				out = append(out, [3]uint32{piece[0], piece[i-1], piece[i]})
			}
		}
	}
	return at, out
}
