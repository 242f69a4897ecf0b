package mesh

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func all(m *Mesh) []uint32 {
	faces := make([]uint32, len(m.Faces))
	for f := range faces {
		faces[f] = uint32(f)
	}
	return faces
}

// A box far from the origin: sums from zero would lose the volume's digits.
func TestMeasureBox(t *testing.T) {
	m, _ := checked(t, box(10, 20, 30, 5).moved(r3.Vec{X: 1e4, Y: -1e4, Z: 1e4}).soup())
	a := m.Measure(all(m))
	require.InEpsilon(t, 6000, a.VolumeMM3, 1e-9)
	require.InEpsilon(t, 2200, a.AreaMM2, 1e-9)
	require.Equal(t, len(m.Faces), a.Facets)
	require.InDelta(t, 0, r3.Norm(r3.Sub(a.CentroidMM, r3.Vec{X: 1e4 + 5, Y: -1e4 + 10, Z: 1e4 + 15})), 1e-6)
	require.Equal(t, r3.Vec{X: 1e4, Y: -1e4, Z: 1e4}, a.MinMM)
	require.Equal(t, r3.Vec{X: 1e4 + 10, Y: -1e4 + 20, Z: 1e4 + 30}, a.MaxMM)
}

func TestMeasureScalesWithTheUnit(t *testing.T) {
	s := torus(10, 3, 1).soup()
	m, _ := checked(t, s)
	in, _, err := Check(t.Context(), s, CheckOptions{Unit: "in"}, nil)
	require.NoError(t, err)
	a, b := m.Measure(all(m)), in.Measure(all(in))
	require.InEpsilon(t, a.VolumeMM3*math.Pow(25.4, 3), b.VolumeMM3, 1e-12)
	require.InEpsilon(t, a.AreaMM2*25.4*25.4, b.AreaMM2, 1e-12)
}

// Pappus: volume 2 pi² R r², area 4 pi² R r, less what chords cut off: 1 - pi²/n²
// a direction for n = 125 and 37 facets round, under 1 %.
func TestMeasureTorus(t *testing.T) {
	m, _ := checked(t, torus(20, 6, 1).soup())
	a := m.Measure(all(m))
	require.InEpsilon(t, 2*math.Pi*math.Pi*20*36, a.VolumeMM3, 0.01)
	require.InEpsilon(t, 4*math.Pi*math.Pi*20*6, a.AreaMM2, 0.01)
	require.InEpsilon(t, m.Components[0].VolumeMM3, a.VolumeMM3, 1e-9)
}

func TestMeasureOfNothing(t *testing.T) {
	m, _ := checked(t, box(1, 1, 1, 1).soup())
	require.Zero(t, m.Measure(nil))
}

func TestMedianEdge(t *testing.T) {
	m, r := checked(t, sheet(10, 10, 1).soup())
	require.Len(t, m.Points, 121)
	require.InEpsilon(t, 1, r.EdgeMedianMM, 5e-4) // 220 of 320 edges are sides of 1 mm, 100 diagonals
}
