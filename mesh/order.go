package mesh

import (
	"cmp"
	"math"
	"slices"
)

// rankPoints orders points by x, then y, then z and returns the vertex of each
// one and the vertices themselves. Points that differ only in the sign of a
// zero are one vertex.
func rankPoints(points [][3]float32) (vertex []uint32, distinct [][3]float32) {
	entries := sortedEntries(points)
	vertex = Large[uint32](len(points))
	distinct = Large[[3]float32](len(points))[:0]
	for _, e := range entries {
		p := points[uint32(e)]
		for k := range p {
			p[k] += 0 // -0 becomes +0
		}
		if n := len(distinct); n == 0 || distinct[n-1] != p {
			distinct = append(distinct, p)
		}
		vertex[uint32(e)] = uint32(len(distinct) - 1)
	}
	return vertex, distinct
}

// sortedEntries returns one word a point, its index in the low half, in rising
// order of x, y, z.
func sortedEntries(points [][3]float32) []uint64 {
	entries := Large[uint64](len(points))
	for i := range entries {
		entries[i] = uint64(i)
	}
	spare := Large[uint64](len(points))
	sortByAxis(points, entries, spare, 0)
	return entries
}

// runShort is the length under which a comparison sort beats three passes over
// 2048 counters.
const runShort = 512

// sortByAxis puts entries in order of the coordinates from axis on. spare is as
// long as entries.
func sortByAxis(points [][3]float32, entries, spare []uint64, axis int) {
	if len(entries) < runShort {
		slices.SortFunc(entries, func(a, b uint64) int { return comparePoints(points[uint32(a)], points[uint32(b)], axis) })
		return
	}
	for i, e := range entries {
		entries[i] = uint64(sortKey(points[uint32(e)][axis]))<<32 | uint64(uint32(e))
	}
	radixSort(entries, spare)
	if axis == 2 {
		return
	}
	for lo := 0; lo < len(entries); {
		hi := lo + 1
		for hi < len(entries) && entries[hi]>>32 == entries[lo]>>32 {
			hi++
		}
		if hi > lo+1 {
			sortByAxis(points, entries[lo:hi], spare[lo:hi], axis+1)
		}
		lo = hi
	}
}

func comparePoints(a, b [3]float32, axis int) int {
	for k := axis; k < 3; k++ {
		if c := cmp.Compare(a[k], b[k]); c != 0 {
			return c
		}
	}
	return 0
}

// sortKey maps finite numbers to words in the same order; both zeros are equal.
func sortKey(f float32) uint32 {
	b := math.Float32bits(f + 0)
	if b>>31 != 0 {
		return ^b
	}
	return b | 1<<31
}

// radixSort orders entries by their high half, stably, in three passes of 11,
// 11 and 10 bits.
func radixSort(entries, spare []uint64) {
	const digit = 1<<11 - 1
	var count [3][digit + 1]uint32
	for _, e := range entries {
		count[0][e>>32&digit]++
		count[1][e>>43&digit]++
		count[2][e>>54]++
	}
	from, to := entries, spare
	for pass := range count {
		sum := uint32(0)
		for d, n := range count[pass] {
			count[pass][d] = sum
			sum += n
		}
		shift := 32 + 11*pass
		for _, e := range from {
			d := e >> shift & digit
			to[count[pass][d]] = e
			count[pass][d]++
		}
		from, to = to, from
	}
	copy(entries, spare)
}
