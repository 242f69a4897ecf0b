package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
	"pointup/segment/surface"
)

const (
	remnantShare = 0.8 // of a part's points on surfaces of the other: the rest is weld at its border
	remnantLeast = 60  // points on each of them, as many as a part has facets at least
	remnantDeep  = 2   // facet edges under a plane, where metal is looked for
	remnantCos   = 0.9 // between two planes, at most: nearer to parallel they are one condition
)

// remnants ties a part that shows no surface of its own to the larger ones whose
// surfaces it shows: one cylinder or cone, or two planes that cross and are linked,
// hardly agree by chance. Such are a corner of a plate, or a strip of a tube's side,
// that what crosses the piece has cut off; a corner between two faces that came apart
// makes one of these too.
//
// linked tells whether there is metal between what two parts show of one plane: two
// plates in line are two.
func remnants(found []surface.Surface, list []region, piece []int32, linked func(a, b int32) bool) []int32 {
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
		if total[a] < remnantLeast {
			continue
		}
		var larger []int
		for b := range list {
			if total[b] > total[a] {
				larger = append(larger, b)
			}
		}
		for _, b := range shownBy(found, shown, a, total[a], larger) {
			if !curved(found, shown[a], shown[b]) && !linked(int32(a), int32(b)) {
				continue
			}
			relabel(out, max(out[a], out[b]), min(out[a], out[b]))
		}
	}
	return out
}

// shownBy lists the larger part that shows what part a, of so many points, does, or
// several that do so together; nil for none.
func shownBy(found []surface.Surface, shown []map[int]int, a, points int, larger []int) []int {
	all := map[int]int{}
	best, most := -1, 0
	for _, b := range larger {
		for s, n := range shown[b] {
			all[s] = max(all[s], n)
		}
		if n, sure := shared(found, shown[a], shown[b]); sure && n > most {
			best, most = b, n
		}
	}
	enough := remnantShare * float64(points)
	if best >= 0 && float64(most) >= enough {
		return []int{best}
	}
	if n, sure := shared(found, shown[a], all); !sure || float64(n) < enough {
		return nil
	}
	var out []int
	for _, b := range larger {
		for s, n := range shown[b] {
			if shown[a][s] >= remnantLeast && n == all[s] {
				out = append(out, b)
				break
			}
		}
	}
	return out
}

// curved tells that both show one curved surface.
func curved(found []surface.Surface, a, b map[int]int) bool {
	for s, n := range a {
		if _, flat := found[s].Ideal.(fit.Plane); !flat && min(n, b[s]) >= remnantLeast {
			return true
		}
	}
	return false
}

// linkedOver tells, of parts with these flat sides, that two of them show one plane
// with metal under all the way between.
func linkedOver(f *surface.Field, found []surface.Surface, parts [][]side, metal func(r3.Vec) bool) func(a, b int32) bool {
	return func(a, b int32) bool {
		for _, x := range parts[a] {
			for _, y := range parts[b] {
				sink := r3.Scale(-remnantDeep*f.SpacingMM, outOf(found[x.surface]))
				if x.surface == y.surface && len(x.points) >= remnantLeast && len(y.points) >= remnantLeast && spanned(f, x.points, y.points, sink, severedMost, metal) {
					return true
				}
			}
		}
		return false
	}
}

// shared counts a's points on surfaces that b shows too; sure tells that these hardly
// agree by chance.
func shared(found []surface.Surface, a, b map[int]int) (points int, sure bool) {
	var planes []r3.Vec
	for s, n := range a {
		if b[s] < remnantLeast {
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
