package mesh

import (
	"cmp"
	"context"
	"slices"
)

// stride is how many facets are worked on between two looks at the context.
const stride = 1 << 16

// dropped counts the facets of the file that are not in the mesh, and says
// where one of each sort is: the vertices of the first in canonical order.
type dropped struct {
	equal, flat, copies, reversed int // reversed: the copies that face the other way
	flatAt, copyAt                [3]uint32
	equalAt                       uint32
}

// sortFacets returns the facets of corners on vertices, in canonical order, and
// the index in corners of each. Facets with two equal vertices, facets without
// area and second copies are left out.
//
// Facets go to the bucket of their lowest vertex in two passes over the file,
// so that no second list of facets is held; a bucket holds a handful.
func sortFacets(ctx context.Context, corners [][3]uint32, vertex []uint32, points [][3]float32) ([][3]uint32, []uint32, dropped, error) {
	var d dropped
	start := Large[uint32](len(points) + 1)
	n, low := 0, uint32(0)
	for i, c := range corners {
		if i%stride == 0 && ctx.Err() != nil {
			return nil, nil, d, ctx.Err()
		}
		t, ok := rotated(c, vertex)
		if !ok {
			if v := twice(t); d.equal == 0 || v < low {
				low = v
			}
			d.equal++
			continue
		}
		start[t[0]+1]++
		n++
	}
	d.equalAt = low
	for v := range points {
		start[v+1] += start[v]
	}
	faces, source := Large[[3]uint32](n), Large[uint32](n)
	for i, c := range corners {
		if i%stride == 0 && ctx.Err() != nil {
			return nil, nil, d, ctx.Err()
		}
		if t, ok := rotated(c, vertex); ok {
			k := start[t[0]]
			faces[k], source[k] = t, uint32(i)
			start[t[0]]++
		}
	}
	kept := d.sieve(faces, source, points)
	faces, source = slices.Clip(faces[:kept]), slices.Clip(source[:kept])
	sortBuckets(faces, source, nil)
	return faces, source, d, nil
}

// rotated returns the vertices of a facet, the lowest first, and whether the
// three differ.
func rotated(c [3]uint32, vertex []uint32) ([3]uint32, bool) {
	a, b, e := vertex[c[0]], vertex[c[1]], vertex[c[2]]
	if b < a && b < e {
		a, b, e = b, e, a
	} else if e < a && e < b {
		a, b, e = e, a, b
	}
	return [3]uint32{a, b, e}, a != b && b != e && e != a
}

// twice returns the vertex that stands more than once in t.
func twice(t [3]uint32) uint32 {
	if t[1] == t[2] {
		return t[1]
	}
	return t[0]
}

// sieve moves the facets to keep to the front and returns their number. faces
// come in buckets of one first vertex.
func (d *dropped) sieve(faces [][3]uint32, source []uint32, points [][3]float32) int {
	kept := 0
	for lo := 0; lo < len(faces); {
		hi := bucketEnd(faces, lo)
		sortPairs(faces[lo:hi], source[lo:hi], nil, compareUnwound)
		for lo < hi {
			end := copiesEnd(faces, lo, hi)
			i := lo
			if end > lo+1 {
				i = d.choose(faces, lo, end)
			}
			if t := faces[i]; flat(points[t[0]], points[t[1]], points[t[2]]) {
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
	}
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

func bucketEnd(faces [][3]uint32, lo int) int {
	hi := lo + 1
	for hi < len(faces) && faces[hi][0] == faces[lo][0] {
		hi++
	}
	return hi
}

// sortBuckets puts facets that stand in order of their first vertex in order of
// all three, and takes source and, unless nil, label along.
func sortBuckets(faces [][3]uint32, source, label []uint32) {
	for lo := 0; lo < len(faces); {
		hi := bucketEnd(faces, lo)
		var l []uint32
		if label != nil {
			l = label[lo:hi]
		}
		sortPairs(faces[lo:hi], source[lo:hi], l, compareWound)
		lo = hi
	}
}

func compareWound(a, b [3]uint32) int {
	if c := cmp.Compare(a[1], b[1]); c != 0 {
		return c
	}
	return cmp.Compare(a[2], b[2])
}

// compareUnwound puts the copies of a facet side by side, however they face.
func compareUnwound(a, b [3]uint32) int {
	if c := cmp.Compare(min(a[1], a[2]), min(b[1], b[2])); c != 0 {
		return c
	}
	if c := cmp.Compare(max(a[1], a[2]), max(b[1], b[2])); c != 0 {
		return c
	}
	return cmp.Compare(a[1], b[1])
}

func sameCorners(a, b [3]uint32) bool {
	return a[1] == b[1] && a[2] == b[2] || a[1] == b[2] && a[2] == b[1]
}

// sortPairs sorts the facets of one bucket, ties by source.
func sortPairs(faces [][3]uint32, source, label []uint32, compare func(a, b [3]uint32) int) {
	if len(faces) > 24 { // a fan: sorting by insertion would be quadratic
		sortFan(faces, source, label, compare)
		return
	}
	for i := 1; i < len(faces); i++ {
		for j := i; j > 0; j-- {
			c := compare(faces[j], faces[j-1])
			if c > 0 || c == 0 && source[j] > source[j-1] {
				break
			}
			faces[j], faces[j-1] = faces[j-1], faces[j]
			source[j], source[j-1] = source[j-1], source[j]
			if label != nil {
				label[j], label[j-1] = label[j-1], label[j]
			}
		}
	}
}

func sortFan(faces [][3]uint32, source, label []uint32, compare func(a, b [3]uint32) int) {
	type row struct {
		face          [3]uint32
		source, label uint32
	}
	rows := make([]row, len(faces))
	for i := range rows {
		rows[i] = row{face: faces[i], source: source[i]}
		if label != nil {
			rows[i].label = label[i]
		}
	}
	slices.SortFunc(rows, func(a, b row) int {
		if c := compare(a.face, b.face); c != 0 {
			return c
		}
		return cmp.Compare(a.source, b.source)
	})
	for i, r := range rows {
		faces[i], source[i] = r.face, r.source
		if label != nil {
			label[i] = r.label
		}
	}
}

// flatRatio is the height of a facet, in parts of its longest edge, at and
// under which it has no area: differences of float32 coordinates are exact in
// float64, so only the products round, by some 1e-16 of the edge squared.
const flatRatio = 1e-14

func flat(a, b, c [3]float32) bool {
	u, v, w := difference(b, a), difference(c, a), difference(c, b)
	n := crossed(u, v)
	long := max(squared(u), squared(v), squared(w))
	return squared(n) <= flatRatio*flatRatio*long*long
}
