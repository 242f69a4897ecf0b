package primitive

import "slices"

// Order statistics without sorting: a list is parted by one of its values, and only
// the part that holds the wanted one is parted again, until few are left.

// parted moves values so that those below one of them come first, then its equals,
// then the rest, and returns where its equals begin and end. The value is the
// middle one of nine from all over the list, so that orders as scans have them,
// rising, falling or to and fro, are parted evenly.
func parted[T any](v []T, of func(T) float64) (from, to int) {
	var some [9]float64
	for i := range some {
		some[i] = of(v[(2*i+1)*len(v)/18])
	}
	slices.Sort(some[:])
	pivot := some[4]
	to = len(v)
	for i := 0; i < to; {
		switch x := of(v[i]); {
		case x < pivot:
			v[from], v[i] = v[i], v[from]
			from, i = from+1, i+1
		case x > pivot:
			to--
			v[to], v[i] = v[i], v[to]
		default:
			i++
		}
	}
	return from, to
}

// nth puts the value that would stand at place n of the sorted list there, lower
// ones before it and higher ones behind.
func nth(v []float64, n int) float64 {
	self := func(x float64) float64 { return x }
	for len(v) > 1 {
		from, to := parted(v, self)
		switch {
		case n < from:
			v = v[:from]
		case n >= to:
			v, n = v[to:], n-to
		default:
			return v[n]
		}
	}
	return v[n]
}
