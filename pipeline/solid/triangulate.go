package solid

import (
	"errors"
	"math"
	"slices"
)

// triangulate fills a polygon with holes: the first line counter-clockwise, the
// others clockwise. Points are numbered through all lines; every side of every
// line is the side of one triangle. Ears are cut off (Meisters, Amer. Math.
// Monthly 82 (1975) 648) after each hole is tied to what it sees to its right.
func triangulate(lines [][][2]float64) ([][3]uint32, error) {
	var at [][2]float64
	var rings [][]uint32
	for _, l := range lines {
		var ring []uint32
		for _, p := range l {
			ring = append(ring, uint32(len(at)))
			at = append(at, p)
		}
		if len(ring) < 3 {
			return nil, errOutline
		}
		rings = append(rings, ring)
	}
	ring, holes := rings[0], rings[1:]
	for i, h := range holes { // each starts at its point farthest along u
		most := 0
		for k := range h {
			if at[h[k]][0] > at[h[most]][0] {
				most = k
			}
		}
		holes[i] = append(slices.Clone(h[most:]), h[:most]...)
	}
	slices.SortStableFunc(holes, func(a, b []uint32) int {
		switch x, y := at[a[0]][0], at[b[0]][0]; {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return int(a[0]) - int(b[0])
	})
	for _, h := range holes {
		k := sees(at, ring, at[h[0]])
		if k < 0 {
			return nil, errOutside
		}
		tied := append(slices.Clone(ring[:k+1]), h...)
		tied = append(tied, h[0])
		ring = append(tied, ring[k:]...)
	}
	return cutEars(at, ring)
}

// sees is the place in ring of a point that can be joined to p without crossing
// the ring: of the side that a ray along u from p meets first, its farther end,
// or the point nearest to the ray's line that hides it (Eberly 2002).
func sees(at [][2]float64, ring []uint32, p [2]float64) int {
	best, far := -1, math.Inf(1)
	for i := range ring {
		a, b := at[ring[i]], at[ring[(i+1)%len(ring)]]
		if (a[1] > p[1]) == (b[1] > p[1]) && a[1] != p[1] && b[1] != p[1] || a[1] == b[1] {
			continue
		}
		if min(a[1], b[1]) > p[1] || max(a[1], b[1]) < p[1] {
			continue
		}
		if u := a[0] + (p[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]); u >= p[0] && u < far && b[1] > a[1] {
			far = u
			if best = i; b[0] > a[0] {
				best = (i + 1) % len(ring)
			}
		}
	}
	if best < 0 {
		return -1
	}
	hit, q := [2]float64{far, p[1]}, at[ring[best]]
	least := math.Inf(1)
	place := best
	for i := range ring {
		r := at[ring[i]]
		if r == q || r[0] < p[0] || !within(p, hit, q, r) || !reflex(at, ring, i) {
			continue
		}
		if slope := math.Abs(r[1]-p[1]) / (r[0] - p[0]); slope < least || slope == least && r[0] < at[ring[place]][0] {
			least, place = slope, i
		}
	}
	return facing(at, ring, place, p)
}

// facing is, among places of ring with the same point (where holes were tied),
// the one whose corner opens towards p.
func facing(at [][2]float64, ring []uint32, place int, p [2]float64) int {
	n := len(ring)
	for i := range ring {
		if ring[i] != ring[place] {
			continue
		}
		q := at[ring[i]]
		before, after := at[ring[(i+n-1)%n]], at[ring[(i+1)%n]]
		l, r := side(before, q, p) >= 0, side(q, after, p) >= 0
		if side(before, q, after) >= 0 && l && r || side(before, q, after) < 0 && (l || r) {
			return i
		}
	}
	return place
}

func reflex(at [][2]float64, ring []uint32, i int) bool {
	n := len(ring)
	return side(at[ring[(i+n-1)%n]], at[ring[i]], at[ring[(i+1)%n]]) <= 0
}

// within tells whether p lies in the triangle, its sides included.
func within(a, b, c, p [2]float64) bool {
	x, y, z := side(a, b, p), side(b, c, p), side(c, a, p)
	return x >= 0 && y >= 0 && z >= 0 || x <= 0 && y <= 0 && z <= 0
}

func cutEars(at [][2]float64, ring []uint32) ([][3]uint32, error) {
	n := len(ring)
	next, prev := make([]int, n), make([]int, n)
	for i := range n {
		next[i], prev[i] = (i+1)%n, (i+n-1)%n
	}
	p := func(i int) [2]float64 { return at[ring[i]] }
	convex := func(i int) float64 { return side(p(prev[i]), p(i), p(next[i])) }
	hollow := make([]bool, n) // reflex corners: only they can lie in an ear
	for i := range n {
		if convex(i) <= 0 {
			hollow[i] = true
		}
	}
	free := func(i int) bool {
		a, b, c := p(prev[i]), p(i), p(next[i])
		for k := next[next[i]]; k != prev[i]; k = next[k] {
			if !hollow[k] {
				continue
			}
			if q := p(k); q != a && q != b && q != c && within(a, b, c, q) {
				return false
			}
		}
		return true
	}
	var out [][3]uint32
	left, i := n, 0
	for tried, flat := 0, false; left > 3; {
		a := convex(i)
		if a > 0 && free(i) || flat && a == 0 {
			out = append(out, [3]uint32{ring[prev[i]], ring[i], ring[next[i]]})
			next[prev[i]], prev[next[i]] = next[i], prev[i]
			for _, k := range [2]int{prev[i], next[i]} {
				hollow[k] = convex(k) <= 0
			}
			left--
			i, tried, flat = next[next[i]], 0, false
			continue
		}
		i = next[i]
		if tried++; tried > left {
			if flat {
				return nil, errors.New("an outline cannot be filled with triangles")
			}
			tried, flat = 0, true
		}
	}
	return append(out, [3]uint32{ring[prev[i]], ring[i], ring[next[i]]}), nil
}

// span joins two layers of n points each, the second above the first: walls along
// the lines, whose points stand in order, and the triangles on both.
func (m *Mesh) span(lines [][][2]float64, tri [][3]uint32, n uint32) {
	first := uint32(0)
	for _, l := range lines {
		k := uint32(len(l))
		for i := range k {
			a, b := first+i, first+(i+1)%k
			m.quad(a, b, b+n, a+n)
		}
		first += k
	}
	for _, t := range tri {
		m.triangle(t[0], t[2], t[1])
		m.triangle(t[0]+n, t[1]+n, t[2]+n)
	}
}
