package scanfile

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/hschendel/stl"
	"github.com/stretchr/testify/require"
)

// TestLayouts reads the tetrahedron in every dress that exporters give it.
func TestLayouts(t *testing.T) {
	text := textOf("t", tetrahedron)
	solids := textOf("one", tetrahedron[:1]) + "\n\n" + textOf("two", tetrahedron[1:3]) + textOf("", tetrahedron[3:])
	numbers := strings.NewReplacer("vertex 10 0 0", "vertex 1.0e+01 0.0 -0", "vertex 0 10 0", "vertex 0. +1E1 .0",
		"vertex 0 0 10", "vertex -0.0 0e5 100000e-4").Replace(text)
	for _, c := range []struct{ name, data string }{
		{"binary", string(binaryOf("scan", tetrahedron))},
		{"binary, header starts with solid", string(binaryOf("solid of some program", tetrahedron))},
		{"binary, header of a text", string(binaryOf("solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\n", tetrahedron))},
		{"binary, header starts with ply", string(binaryOf("plywood", tetrahedron))},
		{"text", text},
		{"capitals", strings.ToUpper(text)},
		{"mixed case", strings.NewReplacer("solid", "Solid", "facet", "Facet", "vertex", "VERTEX").Replace(text)},
		{"crlf", strings.ReplaceAll(text, "\n", "\r\n")},
		{"cr", strings.ReplaceAll(text, "\n", "\r")},
		{"byte order mark", bom + text},
		{"leading blanks", "\n \t\r\n  " + text},
		{"byte order mark and blanks", bom + "  \n" + text},
		{"nameless", textOf("", tetrahedron)},
		{"nameless without blank", strings.Replace(textOf("", tetrahedron), "solid \n", "solid\n", 1)},
		{"name of keywords", textOf("facet endsolid solid vertex", tetrahedron)},
		{"name in Latin-1", textOf("caf\xe9", tetrahedron)},
		{"tabs", strings.ReplaceAll(text, " ", "\t")},
		{"one facet a line", strings.Join(strings.Fields(strings.Replace(text, "solid t\n", "", 1)), " ")},
		{"several solids", solids},
		{"exponents and signs", numbers},
		{"normal is NaN", strings.ReplaceAll(text, "normal 0 0 1", "normal nan -nan(ind) 1.#QNAN")},
		{"no endsolid", text[:strings.LastIndex(text, "endsolid")]},
		{"no endsolid, no line end", strings.TrimSpace(text[:strings.LastIndex(text, "endsolid")])},
		{"no endsolid between", strings.Replace(solids, "endsolid two\n", "", 1)},
		{"endsolid without name and line end", strings.TrimSuffix(text, " t\n")},
		{"blank lines", strings.ReplaceAll(text, "\n", "\n\n")},
		{"ply", plyOf(4, 4, plyText)},
		{"ply bytes", string(plyBinary())},
		{"ply crlf", strings.ReplaceAll(plyOf(4, 4, plyText), "\n", "\r\n")},
		{"ply cr", strings.ReplaceAll(plyOf(4, 4, plyText), "\n", "\r")},
		{"ply without last line end", strings.TrimSpace(plyOf(4, 4, plyText))},
	} {
		t.Run(c.name, func(t *testing.T) {
			data := c.data
			if c.name == "one facet a line" {
				data = "solid t\n" + data
			}
			readsAs(t, tetrahedronSoup, []byte(data))
		})
	}
}

// TestLineOfError holds that lines are counted alike whatever ends them, over
// the border of a chunk too: facet 9000 of 7 lines each starts at line 63002,
// its first vertex stands two lines below; the text before it is over 1 MiB.
func TestLineOfError(t *testing.T) {
	facets := wavy(20_000)
	require.Greater(t, len(textOf("t", facets[:9000])), chunkBytes)
	text := strings.Split(textOf("t", facets), "\n")
	require.Contains(t, text[63003], "vertex")
	text[63003] = "vertex 0 0 nan"
	for _, eol := range []string{"\n", "\r\n", "\r"} {
		_, err := readBytes([]byte(strings.Join(text, eol)))
		require.EqualError(t, err, "scan.stl: line 63004 (triangle 9000): vertex 0 is NaN; export the scan again", "%q", eol)
	}
}

// TestOffsetOfError is the message that the house style gives as its example:
// 16684 = 84 + 50 x 332.
func TestOffsetOfError(t *testing.T) {
	facets := wavy(2000)
	facets[332][2][1] = nan
	_, err := parse(context.Background(), bytes.NewReader(binaryOf("", facets)), int64(stlHead+stlRecord*len(facets)), "horse.stl", nil)
	require.EqualError(t, err, "horse.stl: byte 16684 (triangle 332): vertex 2 is NaN; export the scan again")
}

// TestAgainstMap holds Points and Corners against a map of the language, for
// sheets over several chunks, shuffled, and torn apart so that all points
// differ and the table must grow.
func TestAgainstMap(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	sheet := wavy(60_000) // 3 MB, so three chunks
	shuffled := append([]triangle(nil), sheet...)
	random.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
	torn := wavy(20_000)
	for i := range torn {
		for k := range 9 {
			torn[i][k/3][k%3] = float32(random.NormFloat64())
		}
	}
	column := make([]triangle, 5000) // one x and y, z in steps: a hash's bad case
	for i := range column {
		column[i] = triangle{{0, 0, float32(i)}, {0, 0, float32(i + 1)}, {1, 0, float32(i)}}
	}
	for name, facets := range map[string][]triangle{"sheet": sheet, "shuffled": shuffled, "torn": torn, "column": column} {
		t.Run(name, func(t *testing.T) {
			want := soupOf(facets)
			readsAs(t, want, binaryOf("scan", facets))
			readsAs(t, want, []byte(textOf("scan", facets)))
			var b bytes.Buffer
			require.NoError(t, WritePLY(&b, unlabelled(want)))
			readsAs(t, want, b.Bytes())
		})
	}
}

// TestNegativeZero holds that -0 and 0 are one point, in every format.
func TestNegativeZero(t *testing.T) {
	minus := float32(math.Copysign(0, -1))
	facets := append([]triangle(nil), tetrahedron...)
	facets[2] = triangle{{minus, 0, minus}, {minus, 0, 10}, {0, 10, minus}}
	readsAs(t, tetrahedronSoup, binaryOf("", facets))
	readsAs(t, tetrahedronSoup, []byte(textOf("", facets)))
	readsAs(t, tetrahedronSoup, []byte(plyOf(5, 4, "-0 0 -0.0\n0 10 0\n10 0 0\n0 0 10\n0 0 0\n3 0 1 2\n3 0 2 3\n3 4 3 1\n3 2 1 3\n")))
	s, err := readBytes(binaryOf("", facets))
	require.NoError(t, err)
	require.False(t, math.Signbit(float64(s.Points[0][0])))
}

// TestExtremes holds what is still taken: a single triangle, the smallest
// numbers there are, coordinates just under the limit, facets without area
// beside some with.
func TestExtremes(t *testing.T) {
	for name, facets := range map[string][]triangle{
		"single":   {tetrahedron[3]},
		"denormal": {{{0, 0, 0}, {1e-40, 0, 0}, {0, 1e-40, 0}}, {{0, 0, 0}, {1e-45, 0, 0}, {0, 0, 1e-40}}},
		"large":    {{{0, 0, 0}, {1e12, 0, 0}, {0, -1e12, 0}}},
		"flat too": {{}, tetrahedron[0], {{1, 1, 1}, {1, 1, 1}, {2, 2, 2}}, tetrahedron[1]},
	} {
		t.Run(name, func(t *testing.T) {
			readsAs(t, soupOf(facets), binaryOf("", facets))
			readsAs(t, soupOf(facets), []byte(textOf("", facets)))
		})
	}
	over := math.Nextafter32(1e12, float32(math.Inf(1)))
	_, err := readBytes(binaryOf("", []triangle{{{0, 0, 0}, {over, 0, 0}, {0, -1e12, 0}}}))
	require.ErrorContains(t, err, "vertex 1 is too large")
}

// TestAgainstOracle reads what another implementation wrote, and its own test
// files where its module is at hand.
func TestAgainstOracle(t *testing.T) {
	for _, ascii := range []bool{false, true} {
		solid := stl.Solid{Name: "oracle", IsAscii: ascii}
		facets := wavy(5000)
		for _, v := range facets {
			solid.Triangles = append(solid.Triangles, stl.Triangle{Vertices: [3]stl.Vec3{v[0], v[1], v[2]}})
		}
		var b bytes.Buffer
		require.NoError(t, solid.WriteAll(&b))
		readsAs(t, soupOf(facets), b.Bytes())
	}
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/hschendel/stl").Output()
	if err != nil {
		t.Skip("the module's folder is not at hand:", err)
	}
	files, err := filepath.Glob(filepath.Join(strings.TrimSpace(string(dir)), "testdata", "*.stl"))
	require.NoError(t, err)
	for _, f := range files {
		solid, err := stl.ReadFile(f)
		require.NoError(t, err)
		var facets []triangle
		for _, v := range solid.Triangles {
			facets = append(facets, triangle{v.Vertices[0], v.Vertices[1], v.Vertices[2]})
		}
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		if got, err := readBytes(data); err != nil { // a file may be refused for its content
			t.Logf("%s: %v", filepath.Base(f), err)
		} else {
			require.Equal(t, soupOf(facets).Corners, got.Corners, f)
		}
	}
}

// TestReadFile holds name, hash and progress of a read from disk.
func TestReadFile(t *testing.T) {
	data := binaryOf("scan", wavy(60_000))
	path := filepath.Join(t.TempDir(), "a scan.dat") // the name tells nothing
	require.NoError(t, os.WriteFile(path, data, 0o600))
	var told []string
	s, err := Read(context.Background(), path, func(stage string, done, total int64) {
		told = append(told, fmt.Sprint(stage, " ", done, "/", total))
	})
	require.NoError(t, err)
	sum := sha256.Sum256(data)
	require.Equal(t, "a scan.dat", s.File)
	require.Equal(t, hex.EncodeToString(sum[:]), s.SHA256)
	require.Len(t, told, (len(data)+chunkBytes-1)/chunkBytes)
	require.Equal(t, fmt.Sprint("read ", len(data), "/", len(data)), told[len(told)-1])
	kind, err := Sniff(path)
	require.NoError(t, err)
	require.Equal(t, STLBinary, kind)
}

// TestCancel holds that a read ends with its context, after few chunks.
func TestCancel(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	data := binaryOf("scan", wavy(200_000))
	last := int64(0)
	_, err := parse(ctx, bytes.NewReader(data), int64(len(data)), "scan.stl", func(_ string, done, _ int64) {
		last = done
		cancel()
	})
	require.ErrorIs(t, err, context.Canceled)
	require.LessOrEqual(t, last, int64(chunkBytes))
}

// TestChangedSize refuses a file that grows or shrinks while it is read.
func TestChangedSize(t *testing.T) {
	data := binaryOf("scan", wavy(50_000))
	for _, by := range []int64{-1, 1, 1 << 20} {
		_, err := parse(context.Background(), bytes.NewReader(data), int64(len(data))+by, "scan.stl", nil)
		require.Error(t, err, by)
	}
	text := []byte(textOf("scan", wavy(50_000)))
	for _, by := range []int64{-1, 1, 1 << 20} {
		_, err := parse(context.Background(), bytes.NewReader(text), int64(len(text))+by, "scan.stl", nil)
		require.ErrorContains(t, err, "the file changed its size while it was read", by)
	}
}

// brokenReader gives some bytes, then the error of a bad disk.
type brokenReader struct{ good *bytes.Reader }

func (r brokenReader) Read(b []byte) (int, error) {
	if r.good.Len() == 0 {
		return 0, &os.PathError{Op: "read", Path: "/secret/place", Err: os.ErrDeadlineExceeded}
	}
	return r.good.Read(b)
}

// TestBrokenDisk passes the cause on and names no folder.
func TestBrokenDisk(t *testing.T) {
	data := binaryOf("scan", wavy(50_000))
	_, err := parse(context.Background(), brokenReader{bytes.NewReader(data[:2e6])}, int64(len(data)), "scan.stl", nil)
	require.ErrorIs(t, err, os.ErrDeadlineExceeded)
	require.ErrorContains(t, err, "scan.stl: byte 2000000: cannot be read: ")
	require.NotContains(t, err.Error(), "secret")
}
