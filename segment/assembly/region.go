package assembly

import (
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
	"pointup/segment/surface"
)

// regions makes nodes of the surfaces that are metal: one for a cylinder, cone,
// sphere or torus with all its parts, since two pieces hardly share one; one
// for each connected part of a plane, since many pieces may stand on one plane.
// It returns each point's region, -1 for none, and their number.
func regions(f *surface.Field, found []surface.Surface, label []int32) ([]int32, int) {
	region := make([]int32, len(f.P))
	for i := range region {
		region[i] = -1
	}
	n := int32(0)
	var stack []int32
	for k, s := range found {
		if blend(f, s) {
			continue
		}
		if _, flat := s.Ideal.(fit.Plane); !flat {
			for _, i := range s.Points {
				region[i] = n
			}
			n++
			continue
		}
		for _, seed := range s.Points {
			if region[seed] >= 0 {
				continue
			}
			region[seed] = n
			stack = append(stack[:0], seed)
			for len(stack) > 0 {
				a := stack[len(stack)-1]
				stack = stack[:len(stack)-1]
				for _, b := range f.To[f.From[a]:f.From[a+1]] {
					if region[b] < 0 && label[b] == int32(k) {
						region[b] = n
						stack = append(stack, b)
					}
				}
			}
			n++
		}
	}
	return region, int(n)
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
// the regions spread from, which lie on both sides of any weld.
func borders(f *surface.Field, all, source []int32) map[[2]int32]vote {
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
			if r3.Dot(r3.Sub(f.N[q], f.N[p]), d)/l < -0.15 {
				v.in++
			} else {
				v.out++
			}
			votes[key] = v
		}
	}
	return votes
}

// join unites regions that meet at outside corners: the same piece of metal.
func join(n int, votes map[[2]int32]vote) []int32 {
	parent := make([]int32, n)
	for i := range parent {
		parent[i] = int32(i)
	}
	find := func(a int32) int32 {
		for parent[a] != a {
			parent[a] = parent[parent[a]]
			a = parent[a]
		}
		return a
	}
	for key, v := range votes {
		if v.out >= 4 && v.out > 2*v.in {
			a, b := find(key[0]), find(key[1])
			parent[max(a, b)] = min(a, b)
		}
	}
	out := make([]int32, n)
	for i := range out {
		out[i] = find(int32(i))
	}
	return out
}
