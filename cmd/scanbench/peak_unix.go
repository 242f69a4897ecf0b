//go:build unix

package main

import (
	"os"
	"runtime"
	"syscall"
)

// peakBytes is the most memory that an ended process had.
func peakBytes(s *os.ProcessState) int64 {
	u, ok := s.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	if runtime.GOOS == "darwin" || runtime.GOOS == "ios" {
		return int64(u.Maxrss) // bytes there, kilobytes elsewhere (getrusage(2) of either)
	}
	return 1024 * int64(u.Maxrss)
}
