package scanfile

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
)

// FuzzRead holds that whatever is read is a sound soup, in step with the size
// of its file, which comes back the same when written; and that whatever is not
// is refused with a typed error.
func FuzzRead(f *testing.F) {
	f.Add(binaryOf("scan", tetrahedron)[:200])
	f.Add(binaryOf("solid scan", tetrahedron))
	f.Add([]byte(textOf("t", tetrahedron)))
	f.Add([]byte(strings.ToUpper(bom + strings.ReplaceAll(textOf("t", tetrahedron), "\n", "\r\n"))))
	f.Add([]byte(plyOf(4, 4, plyText)))
	f.Add(plyBinary())
	f.Add(bytes.Replace(plyBinary(), []byte("little"), []byte("big"), 1))
	f.Add([]byte(plyOf(4, 1, "0 0 0\n0 10 0\n10 0 0\n0 0 10\n4 0 1 2 3\n")))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := readBytes(data)
		if err != nil {
			isRefusal(t, err)
			return
		}
		isSoup(t, s, len(data))
		var b bytes.Buffer
		require.NoError(t, WriteSTL(&b, "again", s))
		readsAs(t, s, b.Bytes())
		b.Reset()
		require.NoError(t, WritePLY(&b, unlabelled(s)))
		readsAs(t, s, b.Bytes())
	})
}

// FuzzCloud holds the same of clouds.
func FuzzCloud(f *testing.F) {
	f.Add([]byte("1 2 3\n4 5 6\n"))
	f.Add([]byte("# scan\r\n1,2,3,0,0,1\r4;5;6;1;0;0\n"))
	f.Add(fmt.Appendf(nil, plyCloudHead+"end_header\n1 2 3\n4 5 6\n7 8 9\n", "ascii"))
	f.Add(binaryOf("scan", tetrahedron)[:200])
	f.Add(plyBinary())
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := parseCloud(context.Background(), bytes.NewReader(data), int64(len(data)), "scan.xyz")
		if err != nil {
			isRefusal(t, err)
			return
		}
		require.NotEmpty(t, c.Points)
		require.LessOrEqual(t, len(c.Points), len(data))
		require.True(t, len(c.Normals) == 0 || len(c.Normals) == len(c.Points))
		var b strings.Builder
		for i, p := range c.Points {
			require.Empty(t, outOfRange(p.X)+outOfRange(p.Y)+outOfRange(p.Z))
			fmt.Fprint(&b, p.X, " ", p.Y, " ", p.Z)
			if len(c.Normals) > 0 {
				n := c.Normals[i]
				require.InDelta(t, 1, r3.Norm(n), 1e-12)
				fmt.Fprint(&b, " ", n.X, " ", n.Y, " ", n.Z)
			}
			b.WriteByte('\n')
		}
		again, err := cloudOf(b.String())
		require.NoError(t, err)
		require.Equal(t, c.Points, again.Points)
	})
}

// isRefusal checks that an error is typed, on one line and complete.
func isRefusal(t *testing.T, err error) {
	var e *Error
	require.True(t, errors.As(err, &e), "%v", err)
	require.NotEmpty(t, e.File)
	require.NotEmpty(t, e.What)
	require.NotEmpty(t, e.Do)
	require.NotContains(t, err.Error(), "\n")
	require.Less(t, len(err.Error()), 400)
}

// isSoup checks what the type promises: finite points, each once and in order
// of first use, corners in range, no more facets than the file has bytes.
func isSoup(t *testing.T, s mesh.Soup, size int) {
	require.NotEmpty(t, s.Corners)
	require.LessOrEqual(t, len(s.Corners), size)
	seen := map[[3]float32]bool{}
	for _, p := range s.Points {
		require.Empty(t, outOfRange(float64(p[0]))+outOfRange(float64(p[1]))+outOfRange(float64(p[2])))
		require.False(t, seen[p], "%v twice", p)
		seen[p] = true
	}
	next := uint32(0)
	for _, c := range s.Corners {
		for _, v := range c {
			require.LessOrEqual(t, v, next)
			next = max(next, v+1)
		}
	}
	require.Len(t, s.Points, int(next))
}
