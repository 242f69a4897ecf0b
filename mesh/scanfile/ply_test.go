package scanfile

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/mesh"
)

// plyWriter lays out PLY numbers of any type in any of the three formats.
type plyWriter struct {
	order binary.AppendByteOrder // nil for text
	b     []byte
}

func (w *plyWriter) put(kind string, v float64) {
	if w.order == nil {
		w.b = fmt.Appendf(w.b, "%v ", v)
		return
	}
	switch kind {
	case "char", "uchar", "int8", "uint8":
		w.b = append(w.b, byte(int(v)))
	case "short", "ushort", "int16", "uint16":
		w.b = w.order.AppendUint16(w.b, uint16(int(v)))
	case "int", "uint", "int32", "uint32":
		w.b = w.order.AppendUint32(w.b, uint32(int64(v)))
	case "float", "float32":
		w.b = w.order.AppendUint32(w.b, math.Float32bits(float32(v)))
	default:
		w.b = w.order.AppendUint64(w.b, math.Float64bits(v))
	}
}

var plyFormats = map[string]binary.AppendByteOrder{
	"ascii": nil, "binary_little_endian": binary.LittleEndian, "binary_big_endian": binary.BigEndian,
}

// TestPLYDresses writes the tetrahedron with each type of number for
// coordinates and for corners, other elements and properties before, between
// and behind, in each format.
func TestPLYDresses(t *testing.T) {
	for format, order := range plyFormats {
		for _, number := range []string{"char", "uint8", "short", "ushort", "int", "uint32", "float", "float64", "double"} {
			for _, corner := range []string{"uchar", "int8", "int16", "uint16", "int32", "uint"} {
				w := &plyWriter{order: order, b: fmt.Appendf(nil, "ply\nformat %s 1.0\ncomment all sorts\nobj_info none\n"+
					"element camera 2\nproperty float view\nproperty list ushort short path\n"+
					"element empty 1000000000000\n"+
					"element vertex 4\nproperty uchar red\nproperty %[2]s z\nproperty list uchar double extra\nproperty %[2]s x\nproperty %[2]s y\n"+
					"element face 4\nproperty double quality\nproperty list int %[3]s vertex_index\nproperty list uchar float texcoord\n"+
					"element edge 1\nproperty int vertex1\nproperty int vertex2\nend_header\n", format, number, corner)}
				for i := range 2 {
					w.put("float", 0.5)
					w.put("ushort", float64(i))
					for range i {
						w.put("short", -7)
					}
				}
				for i, p := range tetrahedronSoup.Points {
					w.put("uchar", 250)
					w.put(number, float64(p[2]))
					w.put("uchar", float64(i))
					for range i {
						w.put("double", 1e300)
					}
					w.put(number, float64(p[0]))
					w.put(number, float64(p[1]))
				}
				for i, c := range tetrahedronSoup.Corners {
					w.put("double", math.Pi)
					w.put("int", 3)
					for _, v := range c {
						w.put(corner, float64(v))
					}
					w.put("uchar", float64(2*i))
					for range 2 * i {
						w.put("float", 0.25)
					}
				}
				w.put("int", 0)
				w.put("int", 1)
				readsAs(t, tetrahedronSoup, w.b)
			}
		}
	}
}

// TestPLYPolygons splits faces of more than three corners into fans about the
// first, and leaves out a vertex that no face uses; the points stand in order
// of first use.
func TestPLYPolygons(t *testing.T) {
	data := plyOf(6, 3, "9 9 9\n0 0 0\n1 0 0\n1 1 0\n0 1 0\n.5 .5 1\n4 1 2 3 4\n3 5 2 1\n5 5 1 4 3 2\n")
	readsAs(t, mesh.Soup{
		Points:  [][3]float32{{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}, {0.5, 0.5, 1}},
		Corners: [][3]uint32{{0, 1, 2}, {0, 2, 3}, {4, 1, 0}, {4, 0, 3}, {4, 3, 2}, {4, 2, 1}},
	}, []byte(data))
}

// TestPLYFacesFirst takes faces that stand before their vertices.
func TestPLYFacesFirst(t *testing.T) {
	readsAs(t, tetrahedronSoup, []byte("ply\nformat ascii 1.0\nelement face 4\nproperty list uchar int vertex_indices\n"+
		"element vertex 4\nproperty float x\nproperty float y\nproperty float z\nend_header\n"+
		"3 0 1 2\n3 0 2 3\n3 0 3 1\n3 2 1 3\n0 0 0\n0 10 0\n10 0 0\n0 0 10\n"))
}

// TestPLYCarriageReturnBody holds that with header lines ended by CR the first
// byte of the body is not taken for the LF of a CRLF: it is the low byte of
// float32(10 + 10 x 2^-20), whose bits end in 0x0a.
func TestPLYCarriageReturnBody(t *testing.T) {
	x := math.Float32frombits(math.Float32bits(10)&^0xff | 0x0a)
	b := []byte("ply\rformat binary_little_endian 1.0\relement vertex 3\rproperty float x\rproperty float y\rproperty float z\r" +
		"element face 1\rproperty list uchar uchar vertex_indices\rend_header\r")
	want := mesh.Soup{Points: [][3]float32{{x, 0, 0}, {0, x, 0}, {0, 0, x}}, Corners: [][3]uint32{{0, 1, 2}}}
	for _, p := range want.Points {
		for _, v := range p {
			b = append32(b, math.Float32bits(v))
		}
	}
	readsAs(t, want, append(b, 3, 0, 1, 2))
}

// TestPLYLongList reads a polygon whose record is longer than a chunk.
func TestPLYLongList(t *testing.T) {
	const n = 400_000 // corners of 4 bytes: 1.6 MB
	b := fmt.Appendf(nil, plyHead, "binary_little_endian", n, 1)
	for i := range n {
		angle := 2 * math.Pi * float64(i) / n
		b = append32(b, math.Float32bits(float32(math.Cos(angle))))
		b = append32(b, math.Float32bits(float32(math.Sin(angle))))
		b = append32(b, math.Float32bits(float32(i%7)))
	}
	b = bytes.Replace(b, []byte("list uchar"), []byte("list uint"), 1)
	b = append32(b, n)
	for i := range uint32(n) {
		b = append32(b, i)
	}
	s, err := readBytes(b)
	require.NoError(t, err)
	require.Len(t, s.Corners, n-2)
	require.Len(t, s.Points, n)
}

// TestMemoryOfLies holds that a count which the file cannot have takes no
// memory: the files have under 300 bytes, their counts ask for gigabytes.
func TestMemoryOfLies(t *testing.T) {
	for _, data := range []string{
		counted(math.MaxUint32),
		plyOf(4_000_000_000, 4, plyText),
		plyOf(4, 4_000_000_000, plyText),
		plyOf(4, 4, "0 0 0\n0 10 0\n10 0 0\n0 0 10\n4000000000 1 2 3 1 2 3 1 2 3 1 2 3\n"),
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := readBytes([]byte(data))
		runtime.ReadMemStats(&after)
		require.Error(t, err)
		require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(1<<20))
	}
}
