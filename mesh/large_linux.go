package mesh

import (
	"syscall"
	"unsafe"
)

// adviseLarge is for memory that was not touched yet; that it may not be granted
// is no matter.
func adviseLarge(b []byte) {
	const madvHugepage = 14 // Linux, asm-generic/mman-common.h
	at := uintptr(unsafe.Pointer(unsafe.SliceData(b)))
	skip := (largePage - at%largePage) % largePage
	if n := (uintptr(len(b)) - skip) / largePage * largePage; n > 0 {
		_ = syscall.Madvise(b[skip:skip+n], madvHugepage)
	}
}
