package assembly

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// turned is a solid of revolution about z: a closed profile of (radius, height)
// steps from axis to axis, facets of about edge, noise along the normal.
func turned(profile [][2]float64, edge, noise float64) mesh.Soup {
	rng := rand.New(rand.NewPCG(3, 0))
	var line [][2]float64
	for i := 1; i < len(profile); i++ {
		a, b := profile[i-1], profile[i]
		n := max(int(math.Hypot(b[0]-a[0], b[1]-a[1])/edge), 1)
		for k := range n {
			t := float64(k) / float64(n)
			line = append(line, [2]float64{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])})
		}
	}
	line = append(line, profile[len(profile)-1])
	const round = 64
	s := mesh.Soup{File: "turned.stl"}
	at := func(i, k int) uint32 { return uint32(i*round + k%round) }
	for _, p := range line {
		for k := range round {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / round)
			r, z := p[0]+noise*rng.NormFloat64(), p[1]+noise*rng.NormFloat64()
			if p[0] == 0 {
				r, z = 0, p[1]
			}
			s.Points = append(s.Points, [3]float32{float32(r * cos), float32(r * sin), float32(z)})
		}
	}
	for i := 1; i < len(line); i++ {
		for k := range round {
			a, b, c, d := at(i-1, k), at(i-1, k+1), at(i, k+1), at(i, k)
			if line[i-1][0] > 0 {
				s.Corners = append(s.Corners, [3]uint32{a, b, c})
			}
			if line[i][0] > 0 {
				s.Corners = append(s.Corners, [3]uint32{a, c, d})
			}
		}
	}
	return s
}

// flanged is a bar of 16 by 40 on a disc of 60 by 5, one surface.
func flanged(t *testing.T) (*mesh.Mesh, []uint32, float64) {
	m, report, err := mesh.Check(context.Background(), turned([][2]float64{{0, 0}, {30, 0}, {30, 5}, {8, 5}, {8, 45}, {0, 45}}, 1.5, 0.01), mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	faces := make([]uint32, len(m.Faces))
	for i := range faces {
		faces[i] = uint32(i)
	}
	return m, faces, report.NoiseMM
}

// TestPart holds that two points take a disc with a bar on it apart, wherever on
// the two they lie, and that joining what belongs together gives the piece back.
func TestPart(t *testing.T) {
	m, faces, noise := flanged(t)
	opt := primitive.DefaultOptions()
	for name, points := range map[string][]r3.Vec{
		"middles":          {{X: 20, Z: 5}, {X: 8, Z: 25}},
		"far from welds":   {{X: 25, Y: 3}, {X: 2, Z: 45}},
		"near to the weld": {{Y: 10, Z: 5}, {Y: 8, Z: 8}},
	} {
		t.Run(name, func(t *testing.T) {
			pieces, err := Part(context.Background(), m, faces, noise, points, opt)
			require.NoError(t, err)
			require.Len(t, pieces, 2)
			require.Equal(t, []string{"disc", "bar"}, []string{pieces[0].Element.Kind, pieces[1].Element.Kind})
			for k, want := range []float64{60, 16} {
				got, _ := pieces[k].Element.Dim("outside_diameter_mm")
				require.InDelta(t, want, got, 0.05)
			}
			n := 0
			for _, x := range pieces {
				n += len(x.Faces) + len(x.Weld)
			}
			require.Equal(t, len(faces), n, "every facet has its place")
		})
	}
}

// TestPartRefuses holds that two points on one facet are no two pieces.
func TestPartRefuses(t *testing.T) {
	m, faces, noise := flanged(t)
	pieces, err := Part(context.Background(), m, faces[:30], noise, []r3.Vec{{X: 1}, {X: 1}}, primitive.DefaultOptions())
	require.NoError(t, err)
	require.Empty(t, pieces)
}

// TestJoin holds that a bar that came in two, with weld between, is one bar of
// the whole length.
func TestJoin(t *testing.T) {
	m, report, err := mesh.Check(context.Background(), turned([][2]float64{{0, 0}, {8, 0}, {8, 60}, {0, 60}}, 1.5, 0.01), mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	var own, weld []uint32
	for f, c := range m.Faces {
		if z := m.At(c[0]).Z; z > 28 && z < 33 {
			weld = append(weld, uint32(f))
		} else {
			own = append(own, uint32(f))
		}
	}
	x := Join(m, own, weld, report.NoiseMM, primitive.DefaultOptions())
	require.Equal(t, "bar", x.Element.Kind)
	l, _ := x.Element.Dim("length_mm")
	require.InDelta(t, 60, l, 0.05)
	require.Empty(t, x.Weld, "what lies on the bar is the bar's")
	require.Len(t, x.Faces, len(m.Faces))
}
