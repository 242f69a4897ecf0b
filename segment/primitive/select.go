package primitive

import "slices"

// Order statistics without sorting: a list is parted by one of its values, and only
// the part that holds the wanted one is parted again, until few are left. Long lists are
// parted in two without a branch at each value: which way one goes cannot be foretold.

// narrowMost is how many values are told apart as fast with branches.
const narrowMost = 256

// narrowed parts v again and again by a value from its middle, and keeps the part
// that holds places i and i+1 of the sorted list, until it is short or the two would be
// in different ones. It returns that part and the first place in it.
func narrowed(v []float64, i int) ([]float64, int) {
	for len(v) > narrowMost {
		n := len(v)
		low := below(v, middle(v[n/8], v[n/2], v[n-1-n/8]))
		switch {
		case i+1 < low:
			v = v[:low]
		case i >= low && low > 0:
			v, i = v[low:], i-low
		default:
			return v, i
		}
	}
	return v, i
}

// middle is the middle one of three values.
func middle(a, b, c float64) float64 { return max(min(a, b), min(max(a, b), c)) }

// below moves the values under x to the front and returns how many they are.
func below(v []float64, x float64) int {
	n := 0
	for i, y := range v {
		v[i], v[n] = v[n], y
		under := 0
		if y < x {
			under = 1
		}
		n += under
	}
	return n
}

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
