package mesh

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Held against a map of edges, which is slow and plain.
func TestAcrossAgainstMap(t *testing.T) {
	m, _ := checked(t, messy())
	type edge [2]uint32
	at := map[edge][]uint32{}
	key := func(v, w uint32) edge { return edge{min(v, w), max(v, w)} }
	for f, c := range m.Faces {
		for k := range 3 {
			e := key(c[k], c[(k+1)%3])
			at[e] = append(at[e], uint32(f))
		}
	}
	for f, c := range m.Faces {
		for k := range 3 {
			var others []uint32
			for _, g := range at[key(c[k], c[(k+1)%3])] {
				if g != uint32(f) && m.Dust(g) == m.Dust(uint32(f)) {
					others = append(others, g)
				}
			}
			g, ok := m.Across(uint32(f), k)
			require.Equal(t, len(others) == 1, ok)
			if ok {
				require.Equal(t, others[0], g)
				require.Equal(t, m.ComponentOf[f], m.ComponentOf[g])
				require.True(t, m.runsUp(g, c[(k+1)%3], c[k]), "wound alike")
			}
		}
	}
	for v := range uint32(len(m.Points)) {
		for _, f := range m.FacesAt(v) {
			require.Contains(t, m.Faces[f], v)
		}
	}
}

func TestEulerCharacteristic(t *testing.T) {
	for _, row := range []struct {
		name  string
		make  *shape
		euler int // vertices - edges + facets
	}{
		{"box", box(10, 10, 10, 1), 2},
		{"torus", torus(10, 3, 1), 0},
		{"tube", tube(20, 14, 30, 1), 0},
		{"sheet", sheet(5, 5, 1), 1},
		{"two boxes", box(5, 5, 5, 1).with(box(5, 5, 5, 1).moved(r3.Vec{X: 9})), 4},
	} {
		t.Run(row.name, func(t *testing.T) {
			m, _ := checked(t, row.make.soup())
			e, err := m.scanEdges(t.Context(), make([]uint32, len(m.Faces)), nil)
			require.NoError(t, err)
			require.Equal(t, row.euler, len(m.Points)-e.count+len(m.Faces))
		})
	}
}

func TestShellsThatTouch(t *testing.T) {
	cube := func(x, y, z float64) *shape { return box(10, 10, 10, 5).moved(r3.Vec{X: x, Y: y, Z: z}) }
	for _, row := range []struct {
		name string
		at   r3.Vec
	}{
		{"in a point", r3.Vec{X: 10, Y: 10, Z: 10}},
		{"along an edge", r3.Vec{X: 10, Y: 10}},
		{"apart", r3.Vec{X: 20}},
	} {
		t.Run(row.name, func(t *testing.T) {
			m, r := checked(t, cube(0, 0, 0).with(cube(row.at.X, row.at.Y, row.at.Z)).soup())
			require.Equal(t, 2, r.Shells)
			require.Equal(t, 0, r.BoundaryLoops)
			for _, c := range m.Components {
				require.InDelta(t, 1000, c.VolumeMM3, 1e-9)
				require.InDelta(t, 600, c.AreaMM2, 1e-9)
			}
		})
	}
}

// A fan of 50 000 facets round one vertex must not take quadratic time in any
// step.
func TestFan(t *testing.T) {
	const n = 50000
	s := &shape{at: []r3.Vec{{Z: -1000}}, normal: []r3.Vec{{}}}
	var ring []r3.Vec
	for i := range n {
		p := r3.NewRotation(float64(i)/n*6.283185307179586, r3.Vec{Z: 1}).Rotate(r3.Vec{X: 1000})
		ring = append(ring, p)
	}
	s.at = append(s.at, ring...)
	s.normal = make([]r3.Vec, len(s.at))
	for i := range uint32(n) {
		s.corners = append(s.corners, [3]uint32{0, 1 + (i+1)%n, 1 + i})
	}
	_, r := checked(t, s.soup())
	require.Equal(t, 1, r.Shells)
	require.Equal(t, 1, r.BoundaryLoops)
	require.InDelta(t, 2000, r.Loops[0].SpanMM, 0.01)
}

// Half of the edges a thousand times shorter than the rest: the tolerance of the
// weld then spans many open vertices at once, and must still end.
func TestWeldOfACrowd(t *testing.T) {
	s := sheet(100, 100, 2)
	for i := range 60 {
		s.with(sheet(0.002, 0.002, 0.001).moved(r3.Vec{X: 0.0001 * float64(i), Z: 5}))
	}
	_, r := checked(t, s.soup())
	require.Positive(t, r.WeldedVertices)
	require.Equal(t, 1, r.Shells)
}
