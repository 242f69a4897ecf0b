package mesh

import (
	"context"
	"slices"
)

// stride is how many facets are worked on between two looks at the context.
const stride = 1 << 16

// sortFacets returns the facets of corners on vertices, in canonical order, and
// the index in corners of each. Facets with two equal vertices, facets without
// area and second copies are left out.
//
// Facets go to the bucket of their lowest vertex in two passes over the file,
// so that no second list of facets is held; a bucket holds a handful.
func sortFacets(ctx context.Context, corners [][3]uint32, vertex []uint32, points [][3]float32) ([][3]uint32, []uint32, dropped, error) {
	bounds := shares(len(corners))
	place, n, d, err := countFacets(ctx, bounds, corners, vertex, len(points))
	if err != nil {
		return nil, nil, d, err
	}
	faces, source := Large[[3]uint32](n), Large[uint32](n)
	err = each(bounds, func(k, lo, hi int) error {
		for ; lo < hi; lo += placed {
			if lo%stride < placed && ctx.Err() != nil {
				return ctx.Err()
			}
			placeFacets(corners[lo:min(lo+placed, hi)], uint32(lo), vertex, place[k], faces, source)
		}
		return nil
	})
	if err != nil {
		return nil, nil, d, err
	}
	kept := d.sieveAll(faces, source, points)
	return slices.Clip(faces[:kept]), slices.Clip(source[:kept]), d, nil
}

// placed is how many facets are placed together, so that the memory's answers
// overlap: each of them is a look at three lists far larger than the caches.
const placed = 64

// placeFacets writes facets, the first of which is number first, to their places,
// next by lowest vertex.
func placeFacets(corners [][3]uint32, first uint32, vertex, next []uint32, faces [][3]uint32, source []uint32) {
	var t [placed][3]uint32
	var from, to [placed]uint32
	n := 0
	for i, c := range corners {
		var ok bool
		if t[n], ok = rotated(c, vertex); ok {
			from[n] = first + uint32(i)
			n++
		}
	}
	for i := range n {
		to[i] = next[t[i][0]]
		next[t[i][0]] = to[i] + 1
	}
	for i, at := range to[:n] {
		faces[at], source[at] = t[i], from[i]
	}
}

// countFacets returns where each share of corners has its first facet in each
// vertex's bucket, how many facets there are in all, and what two equal vertices
// drop.
func countFacets(ctx context.Context, bounds []int, corners [][3]uint32, vertex []uint32, vertices int) ([][]uint32, int, dropped, error) {
	place := make([][]uint32, len(bounds)-1)
	drop := make([]dropped, len(place))
	err := each(bounds, func(k, lo, hi int) error {
		count, d := Large[uint32](vertices), dropped{}
		for ; lo < hi; lo += placed {
			if lo%stride < placed && ctx.Err() != nil {
				return ctx.Err()
			}
			d.count(corners[lo:min(lo+placed, hi)], vertex, count)
		}
		place[k], drop[k] = count, d
		return nil
	})
	var d dropped
	for _, o := range drop {
		d.add(o)
	}
	if err != nil {
		return nil, 0, d, err
	}
	return place, placesOf(place), d, nil
}

// count counts a few facets by their lowest vertex.
func (d *dropped) count(corners [][3]uint32, vertex, count []uint32) {
	var low [placed]uint32
	n := 0
	for _, c := range corners {
		t, ok := rotated(c, vertex)
		if !ok {
			d.noteEqual(twice(t))
			continue
		}
		low[n] = t[0]
		n++
	}
	for _, v := range low[:n] {
		count[v]++
	}
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
