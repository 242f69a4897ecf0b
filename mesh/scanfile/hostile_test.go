package scanfile

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// spoilt returns the binary tetrahedron with a float written over coordinate k
// (0 to 8) of a facet.
func spoilt(facet, k int, v float32) string {
	b := binaryOf("scan", tetrahedron)
	binary.LittleEndian.PutUint32(b[stlHead+stlRecord*facet+12+4*k:], math.Float32bits(v))
	return string(b)
}

// counted returns the binary tetrahedron, which has 4 facets and 284 bytes,
// with another count.
func counted(n uint32) string {
	b := binaryOf("scan", tetrahedron)
	binary.LittleEndian.PutUint32(b[80:], n)
	return string(b)
}

// instead returns the text tetrahedron with the nth old replaced.
func instead(old, by string, nth int) string {
	parts := strings.Split(textOf("t", tetrahedron), old)
	return strings.Join(parts[:nth+1], old) + by + strings.Join(parts[nth+1:], old)
}

var (
	nan = float32(math.NaN())
	inf = float32(math.Inf(1))
)

// plyHead is the header of a PLY of four vertices and four triangles; the
// first verb is the format, the others are counts.
const plyHead = "ply\nformat %s 1.0\nelement vertex %d\nproperty float x\nproperty float y\nproperty float z\n" +
	"element face %d\nproperty list uchar int vertex_indices\nend_header\n"

const plyText = "0 0 0\n0 10 0\n10 0 0\n0 0 10\n3 0 1 2\n3 0 2 3\n3 0 3 1\n3 2 1 3\n"

// plyOf is a text PLY with header and body given.
func plyOf(vertices, faces any, body string) string {
	return fmt.Sprintf(strings.ReplaceAll(plyHead, "%d", "%v"), "ascii", vertices, faces) + body
}

// plyBinary is the tetrahedron in bytes: a header of 171 bytes, 4 vertices of
// 12, 4 faces of 13.
func plyBinary() []byte {
	b := fmt.Appendf(nil, plyHead, "binary_little_endian", 4, 4)
	for _, p := range tetrahedronSoup.Points {
		for _, v := range p {
			b = append32(b, math.Float32bits(v))
		}
	}
	for _, c := range tetrahedronSoup.Corners {
		b = append(b, 3)
		for _, v := range c {
			b = append32(b, v)
		}
	}
	return b
}

// with writes bytes over b at i, counted from the end where negative.
func with(b []byte, i int, by ...byte) string {
	if i < 0 {
		i += len(b)
	}
	copy(b[i:], by)
	return string(b)
}

// TestRefusals holds what damaged files are refused with. Offsets follow from
// the format: facet i of a binary STL starts at byte 84 + 50 i.
func TestRefusals(t *testing.T) {
	same := textOf("t", []triangle{tetrahedron[0], tetrahedron[0], {{0, 10, 0}, {10, 0, 0}, {0, 0, 0}}})
	flat := triangle{{0, 0, 0}, {1, 1, 1}, {2, 2, 2}}
	head := len(fmt.Sprintf(plyHead, "binary_little_endian", 4, 4))
	for _, c := range []struct{ name, data, want string }{
		{"empty", "", "the file is empty"},
		{"blanks", " \n\t\n", "holds blanks only"},
		{"one byte", "\x00", "has 1 bytes, less than the 84"},
		{"prose", "hello world\n", "is text, but starts neither with solid nor ply nor a point"},
		{"wavefront", "# made by hand\nv 0 0 0\nv 1 0 0\nf 1 2 3\n", "is text, but starts neither"},
		{"points", "0 0 0\n1 0 0\n0 1 0\n", "holds points without triangles; export the scan as a mesh"},
		{"zip", "PK\x03\x04" + strings.Repeat("\x00x", 200), "is a zip archive"},
		{"gzip", "\x1f\x8b" + strings.Repeat("\x00x", 200), "is compressed with gzip"},
		{"utf-16", "\xff\xfes\x00o\x00l\x00i\x00d\x00", "is UTF-16 text"},

		{"binary cut in the header", string(binaryOf("scan", tetrahedron)[:80]), "has 80 bytes, less than the 84"},
		{"binary cut in the count", string(binaryOf("scan", tetrahedron)[:83]), "has 83 bytes, less than the 84"},
		{"binary cut after the count", string(binaryOf("scan", tetrahedron)[:84]),
			"scan.stl: byte 80 (count): the count says 4 triangles, which take 284 bytes, but the file has 84; copy or export the scan again"},
		{"binary cut in a normal", string(binaryOf("scan", tetrahedron)[:84+50+3]),
			"scan.stl: byte 137 (triangle 1): the file ends inside a triangle; its count says 4 triangles, which take 284 bytes, and it has 137"},
		{"binary cut in a point", string(binaryOf("scan", tetrahedron)[:84+150+20]), "byte 254 (triangle 3): the file ends inside a triangle"},
		{"binary cut in the attributes", string(binaryOf("scan", tetrahedron)[:283]), "byte 283 (triangle 3): the file ends inside a triangle"},
		{"binary cut between facets", string(binaryOf("scan", tetrahedron)[:234]), "the count says 4 triangles, which take 284 bytes, but the file has 234"},
		{"binary with a byte more", string(binaryOf("scan", tetrahedron)) + "\n", "the count says 4 triangles, which take 284 bytes, but the file has 285"},
		{"count 0", counted(0), "the count says 0 triangles, which take 84 bytes, but the file has 284"},
		{"count 0, rightly", string(binaryOf("scan", nil)), "byte 80 (count): the count says 0 triangles; export the scan again"},
		{"count 1", counted(1), "the count says 1 triangles, which take 134 bytes, but the file has 284"},
		{"count one less", counted(3), "the count says 3 triangles, which take 234 bytes, but the file has 284"},
		{"count one more", counted(5), "the count says 5 triangles, which take 334 bytes, but the file has 284"},
		{"count 2^32-1", counted(math.MaxUint32), "the count says 4294967295 triangles, which take 214748364834 bytes, but the file has 284"},
		{"solid in a binary header, lying count", with([]byte(counted(5)), 0, []byte("solid thing")...), "the count says 5 triangles"},
		{"binary NaN", spoilt(2, 8, nan), "scan.stl: byte 184 (triangle 2): vertex 2 is NaN; export the scan again"},
		{"binary negative NaN", spoilt(0, 0, -nan), "byte 84 (triangle 0): vertex 0 is NaN"},
		{"binary infinity", spoilt(3, 4, inf), "byte 234 (triangle 3): vertex 1 is infinite"},
		{"binary minus infinity", spoilt(3, 4, -inf), "byte 234 (triangle 3): vertex 1 is infinite"},
		{"binary 1e38", spoilt(1, 3, 1e38), "byte 134 (triangle 1): vertex 1 is too large to be a length"},
		{"binary -1e30", spoilt(1, 3, -1e30), "byte 134 (triangle 1): vertex 1 is too large to be a length"},
		{"binary, all the same", string(binaryOf("scan", []triangle{tetrahedron[0], tetrahedron[0]})), "its 2 triangles are all the same one"},
		{"binary, no area", string(binaryOf("scan", []triangle{flat, {}, flat})), "none of its 3 triangles has an area"},
		{"binary, all zero", string(binaryOf("scan", make([]triangle, 100))), "none of its 100 triangles has an area"},

		{"solid alone", "solid", "holds no triangles"},
		{"solid without facets", "solid x\nendsolid x\n", "holds no triangles"},
		{"text cut in a word", textOf("t", tetrahedron)[:12], `line 2 (triangle 0): "fac" stands where facet or endsolid should`},
		{"text cut after facet", instead("endfacet", "endfacet\nfacet", 0)[:strings.Index(textOf("t", tetrahedron), "endfacet")+14], "line 9 (triangle 1): the file ends inside a triangle"},
		{"text cut in a number", textOf("t", tetrahedron)[:strings.Index(textOf("t", tetrahedron), "vertex 0 10")+9], "line 5 (triangle 0): the file ends inside a triangle; copy or export the scan again"},
		{"text cut before endloop", textOf("t", tetrahedron)[:strings.Index(textOf("t", tetrahedron), "endloop")], "line 7 (triangle 0): the file ends inside a triangle"},
		{"text cut before endfacet", textOf("t", tetrahedron)[:strings.LastIndex(textOf("t", tetrahedron), "endfacet")], "line 29 (triangle 3): the file ends inside a triangle"},
		{"text NaN", instead("vertex 10 0 0", "vertex 10 nan 0", 1), "scan.stl: line 12 (triangle 1): vertex 1 is NaN; export the scan again"},
		{"text NaN of Windows", instead("vertex 10 0 0", "vertex -1.#IND 0 0", 1), "vertex 1 is NaN"},
		{"text infinity", instead("vertex 10 0 0", "vertex 10 0 -INF", 1), "vertex 1 is infinite"},
		{"text 1e38", instead("vertex 10 0 0", "vertex 1e38 0 0", 1), "vertex 1 is too large to be a length"},
		{"text 1e999", instead("vertex 10 0 0", "vertex 1e999 0 0", 1), "vertex 1 is infinite"},
		{"text word for a number", instead("vertex 10 0 0", "vertex ten 0 0", 1), `line 12 (triangle 1): "ten" is not a number`},
		{"text two coordinates", instead("vertex 10 0 0", "vertex 10 0", 1), `"vertex" is not a number`},
		{"text four vertices", instead("  endloop", "   vertex 1 1 1\n  endloop", 0), `line 7 (triangle 0): "vertex" stands where endloop should`},
		{"text two vertices", instead("   vertex 10 0 0\n", "", 0), `"endloop" stands where vertex should`},
		{"text control character", instead("vertex 10 0 0", "vertex 10\x00 0 0", 2), "line 25 (triangle 3): \"10\\x00\" is not a number"},
		{"text behind endsolid", textOf("t", tetrahedron) + "facet", `line 31 (triangle 4): "facet" stands where solid should`},
		{"text long word", "solid x\n" + strings.Repeat("x", 100), `"xxxxxxxxxxxxxxxxxxxxxxxx"... stands`},
		{"text, all the same", same, "its 3 triangles are all the same one"},
		{"text, no area", textOf("t", []triangle{flat, flat}), "none of its 2 triangles has an area"},
		{"text line without end", "solid x\n facet normal " + strings.Repeat("1", 3<<20), "a line or record of more than 65536 bytes"},

		{"ply alone", "ply\n", "line 2 (header): the file ends inside its header"},
		{"ply cut in its header", plyOf(4, 4, "")[:60], "the file ends inside its header"},
		{"ply header without end", "ply\n" + strings.Repeat("comment x\n", 20000), "the header is longer than 65536 bytes"},
		{"ply unknown word", "ply\nformat ascii 1.0\nelephant vertex 4\nend_header\n", `line 3 (header): "elephant" is no word of a PLY header`},
		{"ply unknown format", "ply\nformat utf 1.0\nend_header\n", `"utf" is not a format of PLY`},
		{"ply version 2", "ply\nformat ascii 2.0\nend_header\n", "its version 1.0"},
		{"ply no format", "ply\nelement vertex 4\nproperty float x\nend_header\n", "the header names no format"},
		{"ply unknown type", strings.Replace(plyOf(4, 4, plyText), "float y", "half y", 1), `line 5 (header): "half" is not a type of PLY`},
		{"ply list counted by float", strings.Replace(plyOf(4, 4, plyText), "list uchar", "list float", 1), `"float" cannot count a list`},
		{"ply list short of a word", strings.Replace(plyOf(4, 4, plyText), "list uchar int", "list uchar", 1), "a property has a type and a name"},
		{"ply property first", "ply\nformat ascii 1.0\nproperty float x\nend_header\n", "a property stands before the first element"},
		{"ply two x", strings.Replace(plyOf(4, 4, plyText), "float y", "float x", 1), `two properties of the name "x"`},
		{"ply two vertex", strings.Replace(plyOf(4, 4, plyText), "element face", "element vertex", 1), `two elements of the name "vertex"`},
		{"ply no z", strings.Replace(plyOf(4, 4, plyText), "float z", "float w", 1), "its vertices have no z"},
		{"ply list for z", strings.Replace(plyOf(4, 4, plyText), "float z", "list uchar float z", 1), "its vertices have no z"},
		{"ply no faces", plyOf(4, 0, "0 0 0\n0 10 0\n10 0 0\n0 0 10\n"), "holds points without triangles"},
		{"ply no vertices", plyOf(0, 4, plyText), "holds no vertices"},
		{"ply negative count", plyOf(-4, 4, plyText), `line 3 (header): "-4" is not a count`},
		{"ply count 2^64", plyOf("18446744073709551616", 4, plyText), "is not a count"},
		{"ply vertex count lies", plyOf(math.MaxInt64, 4, plyText), `the header counts 9223372036854775807 of element "vertex", which take at least 6 bytes each`},
		{"ply face count lies", plyOf(4, 4_000_000_000, plyText), `the header counts 4000000000 of element "face", which take at least 8 bytes each`},
		{"ply vertex count one more", plyOf(5, 4, plyText+"          "), "line 14 (face 0): a face of 2 corners"},
		{"ply vertex count one less", plyOf(3, 4, plyText), "line 13 (face 0): a face of 0 corners"},
		{"ply face count one less", plyOf(4, 3, plyText), `line 17: "3" stands behind the last element`},
		{"ply face count one more", plyOf(4, 5, plyText+strings.Repeat(" ", 9)), `line 18 (face 4): the file ends here; its header counts 5 of element "face"`},
		{"ply NaN", plyOf(4, 4, strings.Replace(plyText, "0 10 0", "0 nan 0", 1)), "line 11 (vertex 1): y is NaN"},
		{"ply 1e38", plyOf(4, 4, strings.Replace(plyText, "0 10 0", "0 1e38 0", 1)), "line 11 (vertex 1): y is too large"},
		{"ply control character", plyOf(4, 4, strings.Replace(plyText, "0 10 0", "0 10\x00 0", 1)), `line 11 (vertex 1): "10\x00" is not a number`},
		{"ply word for a number", plyOf(4, 4, strings.Replace(plyText, "0 10 0", "0 ten 0", 1)), `line 11 (vertex 1): "ten" is not a number`},
		{"ply corner out of range", plyOf(4, 4, strings.Replace(plyText, "2 1 3", "2 1 4", 1)), "line 17 (face 3): corner 2 is vertex 4, but there are 4 vertices"},
		{"ply corner negative", plyOf(4, 4, strings.Replace(plyText, "2 1 3", "2 -1 3", 1)), "corner 1 is vertex -1"},
		{"ply corner not whole", plyOf(4, 4, strings.Replace(plyText, "2 1 3", "2 1.5 3", 1)), "corner 1 is vertex 1.5"},
		{"ply face of two", plyOf(4, 4, strings.Replace(plyText, "3 2 1 3", "2 2 1 3", 1)), "line 17 (face 3): a face of 2 corners"},
		{"ply list count 2^31", plyOf(4, 4, strings.Replace(plyText, "3 2 1 3", "2147483648 2 1 3", 1)), "a list of 2147483648 items takes at least 4294967296 bytes, but"},
		{"ply list count not whole", plyOf(4, 4, strings.Replace(plyText, "3 2 1 3", "3.5 2 1 3", 1)), "a list of 3.5 items"},
		{"ply, all the same", plyOf(4, 2, "0 0 0\n0 10 0\n10 0 0\n0 0 10\n3 0 1 2\n3 1 2 0\n"), "its 2 triangles are all the same one"},

		{"ply bytes cut in a vertex", string(plyBinary()[:head+20]), "(header): the header counts 4 of element"},
		{"ply bytes cut in a list", string(plyBinary()[:head+48+13*4-2]), fmt.Sprintf("byte %d (header): the header counts 4 of element \"face\"", head)},
		{"ply bytes NaN", with(plyBinary(), head+12+8, 0, 0, 0xc0, 0x7f), fmt.Sprintf("byte %d (vertex 1): z is NaN", head+12)},
		{"ply bytes corner", with(plyBinary(), -4, 4), fmt.Sprintf("byte %d (face 3): corner 2 is vertex 4", head+48+39)},
		{"ply bytes corner -1", with(plyBinary(), -4, 255, 255, 255, 255), "corner 2 is vertex -1"},
		{"ply bytes list too long", with(plyBinary(), -13, 4), fmt.Sprintf("byte %d (face 3): a list of 4 items takes at least 16 bytes, but 12 are left", head+48+39)},
		{"ply bytes more", string(plyBinary()) + "\x00", "1 bytes stand behind the last element"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := readBytes([]byte(c.data))
			require.ErrorContains(t, err, c.want)
			var e *Error
			require.True(t, errors.As(err, &e))
			require.Equal(t, "scan.stl", e.File)
			require.True(t, strings.HasPrefix(err.Error(), "scan.stl: "))
			require.Empty(t, s)
		})
	}
}

// TestCutAnywhere cuts a file of every kind at every byte: what is read of it
// is refused, or all of it was there.
func TestCutAnywhere(t *testing.T) {
	for name, data := range map[string]string{
		"binary": string(binaryOf("scan", tetrahedron)),
		"text":   textOf("t", tetrahedron),
		"ply":    plyOf(4, 4, plyText),
		"bytes":  string(plyBinary()),
	} {
		t.Run(name, func(t *testing.T) {
			whole := len(data)
			switch name {
			case "text":
				whole = strings.LastIndex(data, "endfacet") + len("endfacet")
			case "ply":
				whole--
			}
			for n := range data {
				_, err := readBytes([]byte(data[:n]))
				var e *Error
				switch {
				case n >= whole && err != nil: // a piece of the word endsolid
					require.ErrorContains(t, err, "stands where facet or endsolid should", n)
				case n < whole && name == "text" && err == nil:
					require.Regexp(t, `endfacet\s*$`, data[:n])
				case n < whole:
					require.True(t, errors.As(err, &e), "%d bytes: %v", n, err)
				}
			}
		})
	}
}
