package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
	"pointup/segment/surface"
)

// region is one connected part of an ideal surface that is metal.
type region struct {
	surface int
	points  int
	flat    bool
}

// leastShare is the size, as a share of the largest part of its surface, from
// which a part is taken for the same piece's: a piece that runs on behind
// another shows a good part of itself on both sides; a chance meeting of some
// other surface with the ideal one does not.
const leastShare = 0.08

// regions splits each surface that is metal into its connected parts and
// returns each point's region, -1 for none. Parts of one cylinder, cone or
// torus are united by same: two pieces hardly share one; parts of a plane are
// not, since many pieces may stand on one plane.
func regions(f *surface.Field, found []surface.Surface, label []int32) (at []int32, list []region, same [][2]int32) {
	at = make([]int32, len(f.P))
	for i := range at {
		at[i] = -1
	}
	var stack []int32
	for k, s := range found {
		if blend(f, s) {
			continue
		}
		first := len(list)
		_, flat := s.Ideal.(fit.Plane)
		for _, seed := range s.Points {
			if at[seed] >= 0 {
				continue
			}
			n := int32(len(list))
			r := region{surface: k, flat: flat}
			at[seed] = n
			stack = append(stack[:0], seed)
			for len(stack) > 0 {
				a := stack[len(stack)-1]
				stack = stack[:len(stack)-1]
				r.points++
				for _, b := range f.To[f.From[a]:f.From[a+1]] {
					if at[b] < 0 && label[b] == int32(k) {
						at[b] = n
						stack = append(stack, b)
					}
				}
			}
			list = append(list, r)
		}
		same = append(same, unite(list, first)...)
	}
	return at, list, same
}

// unite pairs the parts of the last surface, from first on, that are large
// enough with the largest of them.
func unite(list []region, first int) [][2]int32 {
	if list[first].flat {
		return nil
	}
	most := first
	for i := first; i < len(list); i++ {
		if list[i].points > list[most].points {
			most = i
		}
	}
	var out [][2]int32
	for i := first; i < len(list); i++ {
		if i != most && float64(list[i].points) >= max(leastShare*float64(list[most].points), minorPoints/4) {
			out = append(out, [2]int32{int32(i), int32(most)})
		}
	}
	return out
}

// spreadRegions gives every other point the region of the nearest point with
// one, and that point: breadth first over neighbours.
func spreadRegions(f *surface.Field, region []int32) (all, source []int32) {
	all, source = append([]int32(nil), region...), make([]int32, len(region))
	var queue []int32
	for i, r := range region {
		source[i] = -1
		if r >= 0 {
			source[i] = int32(i)
			queue = append(queue, int32(i))
		}
	}
	for at := 0; at < len(queue); at++ {
		a := queue[at]
		for _, b := range f.To[f.From[a]:f.From[a+1]] {
			if all[b] < 0 {
				all[b], source[b] = all[a], source[a]
				queue = append(queue, b)
			}
		}
	}
	return all, source
}

// vote counts how two regions meet along their border: at outside corners or
// smoothly, or at inside corners.
type vote struct{ out, in int }

// borders votes at every step from one region to another, between the points
// the regions spread from, which lie on both sides of any weld. The normals are
// those of the ideal surfaces: the scan's own turn slowly over a weld, on which
// both regions have spread.
func borders(f *surface.Field, found []surface.Surface, list []region, all, source []int32) map[[2]int32]vote {
	normal := func(i, r int32) r3.Vec {
		n := found[list[r].surface].Ideal.Normal(f.P[i])
		if r3.Dot(n, f.N[i]) < 0 {
			return r3.Scale(-1, n)
		}
		return n
	}
	round := rounds{f: f, found: found, seen: map[int]*[runsOnSector]bool{}}
	votes := map[[2]int32]vote{}
	for a := range f.P {
		for _, b := range f.To[f.From[a]:f.From[a+1]] {
			if int(b) < a || all[a] == all[b] || all[a] < 0 || all[b] < 0 {
				continue
			}
			p, q := source[a], source[b]
			d := r3.Sub(f.P[q], f.P[p])
			l := r3.Norm(d)
			if l == 0 {
				continue
			}
			key := [2]int32{min(all[a], all[b]), max(all[a], all[b])}
			v := votes[key]
			na, nb := normal(p, all[a]), normal(q, all[b])
			sa, sb := list[all[a]].surface, list[all[b]].surface
			switch {
			case r3.Dot(r3.Sub(nb, na), d)/l < -0.15 || step(na, nb, d, f) || round.runsOn(sa, sb, f.P[q]) || round.runsOn(sb, sa, f.P[p]):
				v.in++
			case l < 3.5*f.SpacingMM:
				v.out++
			}
			votes[key] = v
		}
	}
	return votes
}

// step tells that two surfaces which face the same way lie at different heights:
// rods or plates of different size that butt, under one weld. Where they pass
// smoothly into each other, the way between their points is along both.
func step(na, nb, d r3.Vec, f *surface.Field) bool {
	const alike = 0.94 // cosine of 20 degrees: more is a corner
	l := r3.Norm(d)
	return r3.Dot(na, nb) > alike && l > 1.5*f.SpacingMM && math.Abs(r3.Dot(r3.Add(na, nb), d))/2 > 0.15*l+3*f.NoiseMM
}

// minorPoints is the size under which a curved region may be a bead or spatter,
// minorFlat that of a flat one: by itself it ties nothing, only in a strip with
// others (join).
const (
	minorPoints = 400
	minorFlat   = 150
)
