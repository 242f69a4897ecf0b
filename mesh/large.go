package mesh

import "unsafe"

// Large makes a slice like make, and where it is of many megabytes asks the
// system for large memory pages under it: at ten million facets the first touch
// of small ones costs more than the decoding of the file. T must hold no
// pointers. It is memory of the garbage collector's like any other.
func Large[T any](n int) []T {
	s := make([]T, n)
	if size := uintptr(n) * unsafe.Sizeof(*new(T)); size >= largeLeast {
		adviseLarge(unsafe.Slice((*byte)(unsafe.Pointer(unsafe.SliceData(s))), size))
	}
	return s
}

// A large page has 2 MB; a slice of four holds three whole ones.
const (
	largePage  = 2 << 20
	largeLeast = 4 * largePage
)
