package mesh

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// White noise put along the normals has to be read within 15 %: on smooth pieces
// and on pieces that are half edges, at the facet sizes of two scanners. A noise
// of a third of an edge, 0.1 on 0.3 mm, is the worst that a mesh can carry.
func TestNoise(t *testing.T) {
	shapes := []struct {
		name string
		make func(edge float64) *shape // sized in edges, so that counts stay
	}{
		{"tube", func(e float64) *shape { return tube(24*e, 14*e, 20*e, e) }},
		{"thin plate", func(e float64) *shape { return box(30*e, 30*e, 4*e, e) }},
		{"torus", func(e float64) *shape { return torus(12*e, 6*e, e) }},
		{"sheet", func(e float64) *shape { return sheet(30*e, 30*e, e) }},
	}
	for _, s := range shapes {
		for _, edge := range []float64{1, 0.3} {
			for _, sigma := range []float64{0.01, 0.03, 0.1} {
				t.Run(fmt.Sprintf("%s, edge %g, noise %g", s.name, edge, sigma), func(t *testing.T) {
					_, r := checked(t, s.make(edge).turned(0.4, r3.Vec{X: 1, Y: 1, Z: 3}).noisy(sigma, 21).soup())
					require.InEpsilon(t, sigma, r.NoiseMM, 0.15)
					require.Greater(t, r.Noise.Patches, 100)
					require.InEpsilon(t, sigma, r.NoiseLongMM, 0.25)
				})
			}
		}
	}
}

func TestNoiseGrowsWithTheMesh(t *testing.T) {
	s := tube(24, 14, 40, 1).noisy(0.05, 4).soup()
	_, mm, err := Check(t.Context(), s, CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	_, in, err := Check(t.Context(), s, CheckOptions{Unit: "in"}, nil)
	require.NoError(t, err)
	require.InEpsilon(t, 25.4*mm.NoiseMM, in.NoiseMM, 1e-9)
}

// Without noise, curvature and edges must not be taken for it. A tenth of the
// thinnest noise that matters, 0.01 mm, is the limit; what is left is the fourth
// order of the surface on coarse facets.
func TestCleanMeshHasNoNoise(t *testing.T) {
	for _, row := range []struct {
		name string
		make *shape
		most float64
	}{
		{"box of 1 mm facets", box(20, 20, 10, 1), 1e-5},
		{"box of 12 facets", box(20, 20, 10, 20), 0},
		{"tube of 4 mm facets", tube(20, 14, 100, 4), 0},
		{"coarse tube", tube(40, 30, 60, 5), 0},
		{"tube of 1 mm facets", tube(20, 14, 60, 1), 1e-3},
		{"torus of 1 mm facets", torus(20, 6, 1), 2e-3},
		{"sheet", sheet(20, 20, 1), 1e-5},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, r := checked(t, row.make.soup())
			require.LessOrEqual(t, r.NoiseMM, row.most)
		})
	}
}

// Spikes on one vertex in two hundred spoil one patch in ten and not the median.
func TestNoiseStandsSpikes(t *testing.T) {
	s := tube(30, 24, 50, 1).noisy(0.03, 8)
	for i := 0; i < len(s.at); i += 200 {
		s.at[i] = r3.Add(s.at[i], r3.Scale(2, s.normal[i]))
	}
	_, r := checked(t, s.soup())
	require.InEpsilon(t, 0.03, r.NoiseMM, 0.15)
}

func TestHeightFitIsExact(t *testing.T) {
	var points []r3.Vec
	for i := range 5 {
		for j := range 5 {
			x, y := float64(i-2), float64(j-2)
			points = append(points, r3.Vec{X: x, Y: y, Z: 3 - x + 2*y + .5*x*x - .25*x*y + .1*y*y})
		}
	}
	var q heightFit
	left, _, ok := q.solve(points, quadricTerms, 3)
	require.True(t, ok)
	require.InDelta(t, 0, left, 1e-20)
	for i := range points {
		points[i].Z += .01 * points[i].X * points[i].Y * points[i].Y
	}
	left, _, ok = q.solve(points, cubicTerms, 3)
	require.True(t, ok)
	require.InDelta(t, 0, left, 1e-20)
	_, curvature, ok := q.solve([]r3.Vec{{X: -2, Z: 2}, {X: -1, Y: 1, Z: .5}, {}, {X: 1, Y: -1, Z: .5}, {X: 2, Z: 2}, {Y: 2}, {Y: -2}, {X: 1, Y: 1, Z: .5}}, quadricTerms, 2)
	require.True(t, ok)
	require.InDelta(t, 1, curvature, 1e-12) // z = x²/2
	_, _, ok = q.solve([]r3.Vec{{X: 1}, {X: 2}, {X: 3}, {X: 4}, {X: 5}, {X: 6}, {X: 7}}, quadricTerms, 7)
	require.False(t, ok, "points on a line")
}
