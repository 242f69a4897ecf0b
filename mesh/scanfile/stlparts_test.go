package scanfile

import (
	"bytes"
	"context"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/mesh"
)

// A file that is read in parts gives the same points, corners and hash as from
// start to end, and the same fault: the first in it.
func TestSTLInParts(t *testing.T) {
	const facets = 3*partLeast + 17
	rng := rand.New(rand.NewPCG(4, 9))
	b := make([]byte, stlHead+facets*stlRecord)
	binary.LittleEndian.PutUint32(b[80:], facets)
	for i := range 9 * facets { // of 64,000 points, all over the file
		at := stlHead + i/9*stlRecord + 12 + 4*(i%9)
		binary.LittleEndian.PutUint32(b[at:], math.Float32bits(float32(rng.IntN(40))))
	}
	read := func(processors int) (mesh.Soup, error) {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
		return parse(context.Background(), bytes.NewReader(b), int64(len(b)), "scan.stl", nil)
	}
	want, err := read(1)
	require.NoError(t, err)
	for _, n := range []int{2, 3, 8} {
		got, err := read(n)
		require.NoError(t, err)
		require.True(t, want.SHA256 == got.SHA256 && len(want.Points) == len(got.Points), "%d processors", n)
		require.Equal(t, want.Points, got.Points)
		require.Equal(t, want.Corners, got.Corners)
	}
	for _, f := range []int{facets - 1, 2*facets/3 + 5, facets/2 + 1, 3} {
		binary.LittleEndian.PutUint32(b[stlHead+f*stlRecord+20:], math.Float32bits(float32(math.NaN())))
		_, want := read(1)
		require.Error(t, want)
		for _, n := range []int{2, 3, 8} {
			_, err := read(n)
			require.EqualError(t, err, want.Error(), "%d processors", n)
		}
	}
}
