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
	entries, spare := Large[uint64](len(points)), Large[uint64](len(points))
	eachFree(shares(len(points)), func(_, lo, hi int) {
		for i := lo; i < hi; i++ {
			entries[i] = entryOf(points, uint32(i), 0)
		}
	})
	radixSort(entries, spare)
	vertex, distinct = Large[uint32](len(points)), Large[[3]float32](len(points))
	cut := runCuts(entries)
	kept := make([]int, len(cut)-1)
	eachFree(cut, func(k, lo, hi int) {
		sortRuns(points, entries[lo:hi], spare[lo:hi], 1)
		kept[k] = number(points, entries[lo:hi], vertex, uint32(lo), distinct[lo:hi])
	})
	n := 0
	for k, lo := range cut[:len(kept)] {
		if shift := uint32(lo - n); shift > 0 {
			copy(distinct[n:], distinct[lo:lo+kept[k]])
			for _, e := range entries[lo:cut[k+1]] {
				vertex[uint32(e)] -= shift
			}
		}
		n += kept[k]
	}
	return vertex, distinct[:n]
}

// entryOf is the word that a point is sorted by: the key of a coordinate over
// its index.
func entryOf(points [][3]float32, i uint32, axis int) uint64 {
	return uint64(sortKey(points[i][axis]))<<32 | uint64(i)
}

// runCuts is shares of sorted entries such that none of equal keys are parted.
func runCuts(entries []uint64) []int {
	cut := shares(len(entries))
	for k := 1; k < len(cut)-1; k++ {
		at := max(cut[k], cut[k-1])
		for at > 0 && at < len(entries) && entries[at]>>32 == entries[at-1]>>32 {
			at++
		}
		cut[k] = at
	}
	return cut
}

// number writes the points that sorted entries name to distinct, each once, and
// gives them numbers from first on; it returns how many there are.
func number(points [][3]float32, entries []uint64, vertex []uint32, first uint32, distinct [][3]float32) int {
	n := 0
	for _, e := range entries {
		p := points[uint32(e)]
		for k := range p {
			p[k] += 0 // -0 becomes +0
		}
		if n == 0 || distinct[n-1] != p {
			distinct[n] = p
			n++
		}
		vertex[uint32(e)] = first + uint32(n-1)
	}
	return n
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
		entries[i] = entryOf(points, uint32(e), axis)
	}
	radixSort(entries, spare)
	sortRuns(points, entries, spare, axis+1)
}

// sortRuns puts each run of entries with equal keys in order of the coordinates
// from axis on.
func sortRuns(points [][3]float32, entries, spare []uint64, axis int) {
	if axis == 3 {
		return
	}
	for lo := 0; lo < len(entries); {
		hi := lo + 1
		for hi < len(entries) && entries[hi]>>32 == entries[lo]>>32 {
			hi++
		}
		if hi > lo+1 {
			sortByAxis(points, entries[lo:hi], spare[lo:hi], axis)
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

// digit is one of the three that a key of 32 bits is sorted by.
const digit = 1<<11 - 1

// radixSort orders entries by their high half, stably, in three passes of 11,
// 11 and 10 bits, in parallel where they are many.
func radixSort(entries, spare []uint64) {
	bounds := shares(len(entries))
	count := make([][]uint32, len(bounds)-1)
	for k := range count {
		count[k] = make([]uint32, digit+1)
	}
	from, to := entries, spare
	for shift := 32; shift < 64; shift += 11 {
		eachFree(bounds, func(k, lo, hi int) {
			clear(count[k])
			for _, e := range from[lo:hi] {
				count[k][e>>shift&digit]++
			}
		})
		placesOf(count)
		eachFree(bounds, func(k, lo, hi int) {
			for _, e := range from[lo:hi] {
				d := e >> shift & digit
				to[count[k][d]] = e
				count[k][d]++
			}
		})
		from, to = to, from
	}
	copy(entries, spare)
}
