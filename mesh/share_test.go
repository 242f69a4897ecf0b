package mesh

import (
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// large is a soup that is worked on in several shares and has all that checking
// sets right: copies, facets of no area, points that differ in the sign of a zero
// only, turned facets, dust, openings, edges of three, slits between tiles, a long
// fan whose facets reach through every band.
func large() Soup {
	s := torus(30, 8, 0.5).with(
		tube(20, 14, 60, 0.5).moved(r3.Vec{X: 70}).inverted(),
		box(30, 30, 30, 0.6).moved(r3.Vec{Y: 60}).without(r3.Vec{X: 30, Y: 75, Z: 15}, 4),
		sheet(40, 40, 0.5).moved(r3.Vec{Z: -60}),
		sheet(40, 40, 0.5).moved(r3.Vec{X: 40.00001, Z: -60}),
	).noisy(0.01, 5)
	for i := range 200 {
		s.with(box(.1, .1, .1, 1).moved(r3.Vec{X: float64(i), Y: -50}))
	}
	s.with(fan(3000).moved(r3.Vec{X: 20, Y: 20, Z: 90}))
	for i := range len(s.corners) / 50 {
		c := s.corners[40*i]
		switch i % 4 {
		case 0:
			s.corners = append(s.corners, c)
		case 1:
			s.corners = append(s.corners, [3]uint32{c[1], c[0], c[2]})
		case 2:
			s.corners = append(s.corners, [3]uint32{c[0], c[0], c[1]})
		case 3:
			s.corners[40*i] = [3]uint32{c[0], c[2], c[1]}
		}
	}
	return shuffledLightly(s.soup())
}

// fan is a disc of n facets round one vertex.
func fan(n int) *shape {
	s := &shape{at: []r3.Vec{{Z: 1}}, normal: make([]r3.Vec, n+1)}
	for i := range n {
		s.at = append(s.at, r3.NewRotation(float64(i)/float64(n)*6.283185307179586, r3.Vec{Z: 1}).Rotate(r3.Vec{X: 60}))
		s.corners = append(s.corners, [3]uint32{0, 1 + uint32(i), 1 + uint32(i+1)%uint32(n)})
	}
	return s
}

// TestAnyNumberOfProcessors holds the mesh and the report, to the last bit,
// against the number of processors.
func TestAnyNumberOfProcessors(t *testing.T) {
	s := large()
	require.Greater(t, len(s.Corners), 4*shareLeast)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	want, report := checked(t, s)
	require.Positive(t, report.DuplicateFacets)
	require.Positive(t, report.DegenerateFacets)
	require.Positive(t, report.RewoundFacets)
	require.Positive(t, report.DustShells)
	require.Positive(t, report.BoundaryLoops)
	require.Positive(t, report.WeldedVertices)
	for _, n := range []int{2, 4} {
		runtime.GOMAXPROCS(n)
		m, r := checked(t, s)
		require.Equal(t, report, r, "%d processors", n)
		requireSame(t, want, m)
		require.True(t, slices.Equal(want.Source, m.Source), "%d processors", n)
		require.True(t, slices.Equal(want.FilePoint, m.FilePoint), "%d processors", n)
		require.True(t, slices.Equal(want.atStart, m.atStart), "%d processors", n)
	}
}

// TestRankInShares holds points with many equal coordinates, and pairs that
// differ in the sign of a zero, against sorting.
func TestRankInShares(t *testing.T) {
	var points [][3]float32
	for i := range 4 * shareLeast {
		points = append(points, [3]float32{float32(i * 7919 % 61), float32(i * 104729 % 211), float32(i)})
	}
	zero := float32(0)
	for i := range 3000 {
		points = append(points, [3]float32{zero, -zero, float32(i)}, [3]float32{-1 * zero, zero, float32(i)})
	}
	want := slices.Clone(points)
	slices.SortFunc(want, func(a, b [3]float32) int { return comparePoints(a, b, 0) })
	want = slices.CompactFunc(want, func(a, b [3]float32) bool { return a == b })
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(4))
	vertex, distinct := rankPoints(points)
	require.True(t, slices.Equal(want, distinct))
	for i, v := range vertex {
		require.Equal(t, points[i], distinct[v])
	}
}
