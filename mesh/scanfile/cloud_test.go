package scanfile

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func cloudOf(data string) (Cloud, error) {
	return parseCloud(context.Background(), strings.NewReader(data), int64(len(data)), "scan.xyz")
}

const plyCloudHead = "ply\nformat %s 1.0\nelement vertex 3\nproperty double x\nproperty double y\nproperty double z\n"

// TestClouds reads three points in every dress; 0.1 and 1e-7 are not exact in
// float32, so that a loss would show.
func TestClouds(t *testing.T) {
	points := []r3.Vec{{X: 0.1, Y: -2, Z: 1e-7}, {X: 4, Y: 5, Z: 6}, {X: -7, Y: 8.25, Z: 1000000.1}}
	normals := []r3.Vec{{X: 1}, {Y: -1}, {X: 0.6, Z: 0.8}}
	plain := "0.1 -2 1e-7\n4 5 6\n-7 8.25 1000000.1\n"
	full := "0.1 -2 1e-7 1 0 0\n4 5 6 0 -1 0\n-7 8.25 1000000.1 .6 0 .8\n"
	plyNormals := fmt.Sprintf(plyCloudHead, "ascii") + "property float nx\nproperty double ny\nproperty double nz\nend_header\n"
	big := &plyWriter{order: plyFormats["binary_big_endian"], b: fmt.Appendf(nil, plyCloudHead+"end_header\n", "binary_big_endian")}
	for _, p := range points {
		big.put("double", p.X)
		big.put("double", p.Y)
		big.put("double", p.Z)
	}
	for _, c := range []struct {
		name, data string
		normals    []r3.Vec
	}{
		{"blanks", plain, nil},
		{"tabs", strings.ReplaceAll(plain, " ", "\t"), nil},
		{"commas", strings.ReplaceAll(plain, " ", ","), nil},
		{"commas and blanks", strings.ReplaceAll(plain, " ", " , "), nil},
		{"semicolons", strings.ReplaceAll(plain, " ", ";"), nil},
		{"crlf", strings.ReplaceAll(plain, "\n", "\r\n"), nil},
		{"cr", strings.ReplaceAll(plain, "\n", "\r"), nil},
		{"no last line end", strings.TrimSpace(plain), nil},
		{"blanks about", "   " + strings.ReplaceAll(plain, "\n", "  \n  "), nil},
		{"comments", "# x y z\n\n" + strings.Replace(plain, "\n", " # first\n\n#\n", 1), nil},
		{"byte order mark", bom + plain, nil},
		{"normals", full, normals},
		{"normals of 5 % more", strings.Replace(full, ".6 0 .8", ".63 0 .84", 1), normals},
		{"ply", fmt.Sprintf(plyCloudHead, "ascii") + "end_header\n" + plain, nil},
		{"ply with normals", plyNormals + full, normals},
		{"ply with two of three", strings.Replace(plyNormals, "double nz", "double curvature", 1) + full, nil},
		{"ply big-endian", string(big.b), nil},
		{"ply with faces", strings.Replace(plyNormals, "end_header", "element face 1\nproperty list uchar int vertex_indices\nend_header", 1) + full + "3 0 1 2\n", normals},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := cloudOf(c.data)
			require.NoError(t, err)
			require.Equal(t, points, got.Points)
			require.Len(t, got.Normals, len(c.normals))
			for i, n := range c.normals {
				require.InDelta(t, 0, r3.Norm(r3.Sub(n, got.Normals[i])), 3e-8) // half a step of float32 at 0.6
			}
			sum := sha256.Sum256([]byte(c.data))
			require.Equal(t, hex.EncodeToString(sum[:]), got.SHA256)
			require.Equal(t, "scan.xyz", got.File)
		})
	}
}

// TestCloudRefusals holds what damaged clouds are refused with.
func TestCloudRefusals(t *testing.T) {
	for _, c := range []struct{ name, data, want string }{
		{"empty", "", "the file is empty"},
		{"comments", "# nothing\n# at all\n", "is text, but starts neither"},
		{"prose", "x y z\n1 2 3\n", "is text, but starts neither"},
		{"two numbers", "1 2\n", "is text, but starts neither"},
		{"four numbers", "1 2 3 4\n", "scan.xyz: line 1 (point 0): 4 numbers on the line; write x y z or x y z nx ny nz a line"},
		{"seven numbers", "1 2 3 4 5 6 7\n", "7 numbers on the line"},
		{"row short", "1 2 3\n4 5\n", "scan.xyz: line 2 (point 1): 2 numbers on the line; write"},
		{"normal comes", "1 2 3\n4 5 6 0 0 1\n", "line 2 (point 1): 6 numbers on the line, 3 on those before"},
		{"word", "1 2 3\n\n4 five 6\n", `line 3 (point 1): "five" is not a number`},
		{"NaN", "1 2 3\n4 nan 6\n", "line 2 (point 1): y is NaN"},
		{"infinity", "1 2 3\n4 5 inf\n", "line 2 (point 1): z is infinite"},
		{"1e38", "1 2 3\n1e38 5 6\n", "line 2 (point 1): x is too large to be a length"},
		{"colours", "1 2 3 255 0 0\n", "line 1 (point 0): a normal of length 255; give unit normals, or x y z alone"},
		{"no normal", "1 2 3 0 0 0\n", "a normal of length 0"},
		{"normal NaN", "1 2 3 0 nan 0\n", "the normal is NaN"},
		{"control character", "1 2 3\n" + strings.Repeat("4 5 6\n", 1000) + "4 5 6\x00\n", `line 1002 (point 1001): "6\x00" is not a number`},
		{"all the same", "1 2 3\n1 2 3\n", "its 2 points are all the same one"},
		{"long line", "1 2 3\n" + strings.Repeat("1", 3<<20), "a line or record of more than 65536 bytes"},
		{"ply cut", fmt.Sprintf(plyCloudHead, "ascii") + "end_header\n0 0 0\n1 1\n", "the header counts 3"},
		{"ply NaN", fmt.Sprintf(plyCloudHead, "ascii") + "end_header\n0 0 0\n1 nan 1\n0 0 1\n", "line 9 (vertex 1): y is NaN"},
		{"ply no normal", fmt.Sprintf(plyCloudHead, "ascii") + "property float nx\nproperty float ny\nproperty float nz\nend_header\n" +
			strings.Repeat("0 0 0 0 0 0\n", 3), "line 11 (vertex 0): a normal of length 0"},
		{"mesh", textOf("t", tetrahedron), "holds triangles, not bare points; read it as a mesh"},
		{"binary mesh", string(binaryOf("", tetrahedron)), "holds triangles, not bare points"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := cloudOf(c.data)
			require.ErrorContains(t, err, c.want)
			var e *Error
			require.ErrorAs(t, err, &e)
			require.Empty(t, got)
		})
	}
}

// TestCloudLines counts lines over the border of a chunk, whatever ends them.
func TestCloudLines(t *testing.T) {
	rows := make([]string, 100_000) // over 1 MiB
	for i := range rows {
		rows[i] = fmt.Sprintf("%d %d 0.125", i, i%7)
	}
	rows[90_000] = "1 2 x"
	for _, eol := range []string{"\n", "\r\n", "\r"} {
		_, err := cloudOf(strings.Join(rows, eol))
		require.EqualError(t, err, `scan.xyz: line 90001 (point 90000): "x" is not a number; export the scan again`)
	}
	rows[90_000] = "1 2 3"
	for _, eol := range []string{"\n", "\r\n", "\r"} {
		c, err := cloudOf(strings.Join(rows, eol))
		require.NoError(t, err)
		require.Len(t, c.Points, len(rows))
	}
}

// TestReadCloudFile reads from disk, and stops with its context.
func TestReadCloudFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "points.txt")
	require.NoError(t, os.WriteFile(path, []byte("1 2 3\n4 5 6\n"), 0o600))
	c, err := ReadCloud(context.Background(), path)
	require.NoError(t, err)
	require.Equal(t, "points.txt", c.File)
	require.Equal(t, []r3.Vec{{X: 1, Y: 2, Z: 3}, {X: 4, Y: 5, Z: 6}}, c.Points)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = ReadCloud(ctx, path)
	require.ErrorIs(t, err, context.Canceled)
}

// TestRoundTripNormals holds that unit normals come back of length 1 to the
// last bits.
func TestRoundTripNormals(t *testing.T) {
	var b bytes.Buffer
	for i := range 1000 {
		a := float64(i)
		fmt.Fprintf(&b, "%d 0 0 %.6f %.6f 0\n", i, math.Cos(a), math.Sin(a))
	}
	c, err := cloudOf(b.String())
	require.NoError(t, err)
	for _, n := range c.Normals {
		require.InDelta(t, 1, r3.Norm(n), 1e-15)
	}
}
