package scanfile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/hschendel/stl"
	"github.com/stretchr/testify/require"

	"pointup/mesh"
)

// TestWritePLYBytes holds the records byte by byte: 16 a vertex, 18 a facet,
// doubled, degenerate and reversed facets in their places.
func TestWritePLYBytes(t *testing.T) {
	s := mesh.Soup{
		Points:  [][3]float32{{0, 1, 2}, {3, 4, 5}, {6, 7, 9}, {1e-40, -1e12, 0.1}},
		Corners: [][3]uint32{{0, 1, 2}, {0, 1, 2}, {2, 1, 0}, {3, 3, 3}, {1, 2, 3}},
	}
	l := Labelled{
		Soup: s, Element: []uint32{1, 1, 2, 0, math.MaxUint32}, Role: []uint8{1, 1, 2, 0, 3},
		DeviationMM: []float32{0.25, -0.5, math.Float32frombits(0xffc12345), 0}, // another NaN
	}
	var b bytes.Buffer
	require.NoError(t, WritePLY(&b, l))
	head, body, found := bytes.Cut(b.Bytes(), []byte("end_header\n"))
	require.True(t, found)
	for _, line := range []string{
		"ply\nformat binary_little_endian 1.0\n",
		"element vertex 4\nproperty float x\nproperty float y\nproperty float z\nproperty float deviation\n",
		"element face 5\nproperty list uchar uint vertex_indices\nproperty uint element\nproperty uchar role\n",
	} {
		require.Contains(t, string(head), line)
	}
	require.Len(t, body, 4*16+5*18)
	deviation := []float32{0.25, -0.5, float32(math.NaN()), 0}
	for i, p := range s.Points {
		r := body[16*i:]
		require.Equal(t, p, [3]float32{float32At(r, 0), float32At(r, 4), float32At(r, 8)})
		require.Equal(t, math.Float32bits(deviation[i])&^1, binary.LittleEndian.Uint32(r[12:])&^1)
	}
	require.Equal(t, []byte{0, 0, 0xc0, 0x7f}, body[2*16+12:2*16+16], "one NaN for all")
	for i, c := range s.Corners {
		r := body[4*16+18*i:]
		require.Equal(t, byte(3), r[0])
		require.Equal(t, c, [3]uint32{binary.LittleEndian.Uint32(r[1:]), binary.LittleEndian.Uint32(r[5:]), binary.LittleEndian.Uint32(r[9:])})
		require.Equal(t, l.Element[i], binary.LittleEndian.Uint32(r[13:]))
		require.Equal(t, l.Role[i], r[17])
	}
}

// TestWritePLYRefusals holds that labels which do not fit write nothing.
func TestWritePLYRefusals(t *testing.T) {
	for want, spoil := range map[string]func(l *Labelled){
		"4 facets have 3 element numbers and 4 roles":         func(l *Labelled) { l.Element = l.Element[1:] },
		"4 facets have 4 element numbers and 0 roles":         func(l *Labelled) { l.Role = []uint8{} },
		"4 points have 3 deviations":                          func(l *Labelled) { l.DeviationMM = l.DeviationMM[1:] },
		"facet 2 has role 4; roles are 0 to 3":                func(l *Labelled) { l.Role[2] = 4 },
		"facet 1 has corners [0 2 3], but there are 3 points": func(l *Labelled) { l.Soup.Points, l.DeviationMM = l.Soup.Points[:3], l.DeviationMM[:3] },
		"facet 0 has corners [0 1 2], but there are 0 points": func(l *Labelled) { l.Soup.Points, l.DeviationMM = nil, nil },
	} {
		l := unlabelled(mesh.Soup{Points: tetrahedronSoup.Points, Corners: tetrahedronSoup.Corners})
		spoil(&l)
		var b bytes.Buffer
		require.EqualError(t, WritePLY(&b, l), want)
		require.Zero(t, b.Len())
	}
}

// fullDisk takes some bytes, then no more.
type fullDisk struct{ room int }

var errFull = errors.New("no space left")

func (d *fullDisk) Write(b []byte) (int, error) {
	if d.room -= len(b); d.room < 0 {
		return 0, errFull
	}
	return len(b), nil
}

// TestWriteErrors passes the error of the disk on, wherever it comes.
func TestWriteErrors(t *testing.T) {
	s := soupOf(wavy(100_000)) // 0.8 MB of vertices, 1.8 MB of facets
	for _, room := range []int{0, 500, 1_000_000, 2_500_000} {
		require.ErrorIs(t, WritePLY(&fullDisk{room}, unlabelled(s)), errFull, room)
		require.ErrorIs(t, WriteSTL(&fullDisk{room}, "scan", s), errFull, room)
	}
}

// TestWriteSTL reads back what was written, with this reader and the oracle;
// normals point by the right-hand rule.
func TestWriteSTL(t *testing.T) {
	s := soupOf(wavy(5000))
	s.Corners = append(s.Corners, [3]uint32{0, 0, 0}, s.Corners[0])
	var b bytes.Buffer
	require.NoError(t, WriteSTL(&b, "a sheet", s))
	require.Equal(t, stlSize(uint32(len(s.Corners))), int64(b.Len()))
	readsAs(t, s, b.Bytes())
	solid, err := stl.ReadAll(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	require.Equal(t, "a sheet", solid.Name)
	require.Len(t, solid.Triangles, len(s.Corners))
	require.Positive(t, solid.Triangles[0].Normal[2])
	require.Equal(t, stl.Vec3{}, solid.Triangles[len(s.Corners)-2].Normal)

	require.ErrorContains(t, WriteSTL(io.Discard, "Solid sheet", s), "starts with solid")
	require.ErrorContains(t, WriteSTL(io.Discard, strings.Repeat("x", 81), s), "81 bytes, over 80")
	s.Points = s.Points[:5]
	require.ErrorContains(t, WriteSTL(io.Discard, "", s), "but there are 5 points")
}

// TestWritePLYWithoutRoles: what is of an element is a piece, where no roles are given.
func TestWritePLYWithoutRoles(t *testing.T) {
	l := unlabelled(soupOf(wavy(500)))
	for i := range l.Element {
		l.Element[i] = uint32(i % 3)
		l.Role[i] = min(uint8(i%3), 1)
	}
	var want, got bytes.Buffer
	require.NoError(t, WritePLY(&want, l))
	l.Role = nil
	require.NoError(t, WritePLY(&got, l))
	require.True(t, bytes.Equal(want.Bytes(), got.Bytes()))
}

// TestWritePLYByRows holds a file whose points are named by their rows against
// one that holds them in order.
func TestWritePLYByRows(t *testing.T) {
	l := unlabelled(soupOf(wavy(5000)))
	by := l
	by.Soup.Points, by.DeviationMM = slices.Clone(l.Soup.Points), slices.Clone(l.DeviationMM)
	slices.Reverse(by.Soup.Points)
	slices.Reverse(by.DeviationMM)
	for i := range l.Soup.Points {
		by.Row = append(by.Row, uint32(len(l.Soup.Points)-1-i))
	}
	var want, got bytes.Buffer
	require.NoError(t, WritePLY(&want, l))
	require.NoError(t, WritePLY(&got, by))
	require.True(t, bytes.Equal(want.Bytes(), got.Bytes()))
	by.Row[7] = uint32(len(by.Soup.Points))
	require.ErrorContains(t, WritePLY(&got, by), "point 7 is row")
}
