package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
	"pointup/segment/surface"
)

const (
	remnantShare = 0.8 // of a part's points on surfaces of the other
	remnantLeast = 60  // points on each of them
	remnantCos   = 0.9 // between two planes, at most: nearer to parallel they are one condition
)

// remnants ties a part that shows no surface of its own to the larger one whose
// surfaces it shows: one cylinder or cone, or two planes that cross, hardly agree by
// chance. Such are a corner of a plate, or a strip of a tube's side, that what
// crosses the piece has cut off.
func remnants(found []surface.Surface, list []region, piece []int32) []int32 {
	total := make([]int, len(list))
	shown := make([]map[int]int, len(list)) // part: points on each surface
	for r, x := range list {
		k := piece[r]
		if shown[k] == nil {
			shown[k] = map[int]int{}
		}
		total[k] += x.points
		shown[k][x.surface] += x.points
	}
	out := slices.Clone(piece)
	for a := range list {
		best, most := -1, 0
		for b := range list {
			if total[b] <= total[a] || total[a] < remnantLeast {
				continue
			}
			n, sure := shared(found, shown[a], shown[b])
			if sure && n > most && float64(n) >= remnantShare*float64(total[a]) {
				best, most = b, n
			}
		}
		if best >= 0 && out[a] != out[best] {
			relabel(out, out[a], out[best])
		}
	}
	return out
}

// shared counts a's points on surfaces that b shows too; sure tells that these hardly
// agree by chance.
func shared(found []surface.Surface, a, b map[int]int) (points int, sure bool) {
	var planes []r3.Vec
	for s, n := range a {
		if b[s] < n {
			continue
		}
		points += n
		if n < remnantLeast {
			continue
		}
		switch h := found[s].Ideal.(type) {
		case fit.Plane:
			for _, d := range planes {
				sure = sure || math.Abs(r3.Dot(d, h.Axis)) < remnantCos
			}
			planes = append(planes, h.Axis)
		case fit.Cylinder, fit.Cone:
			sure = true
		}
	}
	return points, sure
}
