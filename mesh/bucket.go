package mesh

import (
	"cmp"
	"slices"
)

func bucketEnd(faces [][3]uint32, lo int) int {
	hi := lo + 1
	for hi < len(faces) && faces[hi][0] == faces[lo][0] {
		hi++
	}
	return hi
}

// sortBuckets puts facets that stand in order of their first vertex in order of
// all three, and takes source and label along.
func sortBuckets(faces [][3]uint32, source, label []uint32) {
	for lo := 0; lo < len(faces); {
		hi := bucketEnd(faces, lo)
		sortPairs(faces[lo:hi], source[lo:hi], label[lo:hi], compareWound)
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

// sortDistinct is sortPairs by compareWound of a few facets, no two alike.
func sortDistinct(faces [][3]uint32, source []uint32) {
	for i := 1; i < len(faces); i++ {
		for j := i; j > 0 && before(&faces[j], &faces[j-1]); j-- {
			faces[j], faces[j-1] = faces[j-1], faces[j]
			source[j], source[j-1] = source[j-1], source[j]
		}
	}
}

func before(a, b *[3]uint32) bool { return a[1] < b[1] || a[1] == b[1] && a[2] < b[2] }

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
