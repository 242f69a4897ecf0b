package mesh

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestGuarded holds that a panic beside the main goroutine is an error, which the
// command answers with its status for faults.
func TestGuarded(t *testing.T) {
	var list []int
	err := Guarded(func() error { list[3]++; return nil })()
	var fault *Fault
	require.ErrorAs(t, err, &fault)
	require.ErrorContains(t, err, "a fault of the program, not of your files: runtime error: index out of range")
	require.NoError(t, Guarded(func() error { return nil })())
}
