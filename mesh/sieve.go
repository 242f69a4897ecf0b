package mesh

import "gonum.org/v1/gonum/spatial/r3"

// dropped counts the facets of the file that are not in the mesh, and says
// where one of each sort is: the vertices of the first in canonical order.
type dropped struct {
	equal, flat, copies, reversed int // reversed: the copies that face the other way
	flatAt, copyAt                [3]uint32
	equalAt                       uint32
}

// noteEqual counts a facet with vertex v twice.
func (d *dropped) noteEqual(v uint32) {
	if d.equal == 0 || v < d.equalAt {
		d.equalAt = v
	}
	d.equal++
}

// add takes what a later share of the facets dropped.
func (d *dropped) add(o dropped) {
	if d.flat == 0 {
		d.flatAt = o.flatAt
	}
	if d.copies == 0 {
		d.copyAt = o.copyAt
	}
	if d.equal == 0 || o.equal > 0 && o.equalAt < d.equalAt {
		d.equalAt = o.equalAt
	}
	d.equal, d.flat = d.equal+o.equal, d.flat+o.flat
	d.copies, d.reversed = d.copies+o.copies, d.reversed+o.reversed
}

// sieveAll moves the facets to keep to the front, puts them in canonical order
// and returns their number. faces come in buckets of one first vertex.
func (d *dropped) sieveAll(faces [][3]uint32, source []uint32, points [][3]float32) int {
	cut := bucketCuts(faces)
	kept, drop := make([]int, len(cut)-1), make([]dropped, len(cut)-1)
	eachFree(cut, func(k, lo, hi int) {
		kept[k] = drop[k].sieve(faces[lo:hi], source[lo:hi], points)
	})
	n := 0
	for k := range kept {
		d.add(drop[k])
		if lo := cut[k]; lo != n {
			copy(source[n:], source[lo:lo+kept[k]])
			copy(faces[n:], faces[lo:lo+kept[k]])
		}
		n += kept[k]
	}
	return n
}

// sieve is sieveAll of whole buckets, one after another.
func (d *dropped) sieve(faces [][3]uint32, source []uint32, points [][3]float32) int {
	kept := 0
	for lo := 0; lo < len(faces); {
		hi := bucketEnd(faces, lo)
		if allStay(faces[lo:hi], points) {
			n := copy(faces[kept:], faces[lo:hi])
			copy(source[kept:], source[lo:hi])
			sortDistinct(faces[kept:kept+n], source[kept:kept+n])
			kept += n
		} else {
			kept = d.sieveBucket(faces, source, points, lo, hi, kept)
		}
		lo = hi
	}
	return kept
}

// bucketSmall is how many facets are held against each other; a vertex hardly ever is
// the lowest of more.
const bucketSmall = 8

// allStay tells that nothing in a bucket is to be dropped, as in all but a few.
func allStay(faces [][3]uint32, points [][3]float32) bool {
	if len(faces) > bucketSmall {
		return false
	}
	for i, t := range faces {
		for _, o := range faces[:i] {
			if sameCorners(t, o) {
				return false
			}
		}
		if flat(&points[t[0]], &points[t[1]], &points[t[2]]) {
			return false
		}
	}
	return true
}

// sieveBucket moves the facets from lo on and before hi that stay to the place kept,
// in order, and returns the place behind them.
func (d *dropped) sieveBucket(faces [][3]uint32, source []uint32, points [][3]float32, lo, hi, kept int) int {
	first := kept
	sortPairs(faces[lo:hi], source[lo:hi], nil, compareUnwound)
	for lo < hi {
		end := copiesEnd(faces, lo, hi)
		i := lo
		if end > lo+1 {
			i = d.choose(faces, lo, end)
		}
		if t := faces[i]; flat(&points[t[0]], &points[t[1]], &points[t[2]]) {
			if d.flat == 0 {
				d.flatAt = t
			}
			d.flat++
		} else {
			faces[kept], source[kept] = t, source[i]
			kept++
		}
		lo = end
	}
	sortPairs(faces[first:kept], source[first:kept], nil, compareWound)
	return kept
}

func copiesEnd(faces [][3]uint32, lo, hi int) int {
	end := lo + 1
	for end < hi && sameCorners(faces[lo], faces[end]) {
		end++
	}
	return end
}

// choose returns which of the copies of a facet stays: the first of those that
// face as most do, on a tie of those that stand first.
func (d *dropped) choose(faces [][3]uint32, lo, end int) int {
	if d.copies == 0 {
		d.copyAt = faces[lo]
	}
	d.copies += end - lo - 1
	turn := lo // the first that faces the other way
	for turn < end && faces[turn] == faces[lo] {
		turn++
	}
	d.reversed += min(turn-lo, end-turn)
	if end-turn > turn-lo {
		return turn
	}
	return lo
}

// flatRatio is the height of a facet, in parts of its longest edge, at and
// under which it has no area: differences of float32 coordinates are exact in
// float64, so only the products round, by some 1e-16 of the edge squared.
const flatRatio = 1e-14

func flat(a, b, c *[3]float32) bool {
	u, v, w := difference(b, a), difference(c, a), difference(c, b)
	n := r3.Cross(u, v)
	long := max(r3.Norm2(u), r3.Norm2(v), r3.Norm2(w))
	return r3.Norm2(n) <= flatRatio*flatRatio*long*long
}
