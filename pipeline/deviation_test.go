package pipeline

import (
	"context"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh/scanfile"
	"pointup/mesh/synthetic"
	"pointup/pipeline/job"
	"pointup/segment/primitive"
)

// TestDeviationIsExact: what the histogram tells is what sorting all vertices
// tells, to the last bit: the least deviation that 95 % of the area keep to, the
// largest that is no spike, and how many are.
func TestDeviationIsExact(t *testing.T) {
	for seed, n := range map[uint64]int{1: 3, 2: 40, 3: 999, 4: 5000, 5: 60000} {
		rng := rand.New(rand.NewPCG(seed, 9))
		e := &element{Element: primitive.Element{DeviationMM: make([]float64, n)}, vertexMM2: make([]float64, n)}
		for i := range n {
			e.DeviationMM[i], e.vertexMM2[i] = 0.02*rng.NormFloat64(), 0.1+rng.Float64()
			if i%1500 == 7 {
				e.DeviationMM[i] = 1 + rng.Float64()
			}
		}
		got := newDeviation(e, 12, 3)
		require.NotNil(t, got)

		order := make([]int, n)
		total := 0.0
		for i := range order {
			order[i] = i
			total += e.vertexMM2[i]
		}
		size := func(i int) float64 { return math.Abs(12 * e.DeviationMM[i]) }
		slices.SortFunc(order, func(a, b int) int {
			if size(a) < size(b) {
				return -1
			}
			return 1
		})
		sum, k := 0.0, 0
		for ; k < n-1; k++ {
			if sum += e.vertexMM2[order[k]]; sum >= 0.95*total {
				break
			}
		}
		assert.Equal(t, size(order[k]), got.p95MM, "%d vertices", n)
		edge, spikes := size(order[min(int(0.999*float64(n)), n-1)]), 0
		for spikes < n-1 && spikes*1000 < n && size(order[n-1-spikes]) > max(8*got.rmsMM, 3*edge) {
			spikes++
		}
		assert.Equal(t, spikes, got.spikes, "%d vertices", n)
		assert.Equal(t, size(order[n-1-spikes]), got.maxMM, "%d vertices", n)
	}
}

// TestDeviationOfEveryVertex: a shell of more vertices than it is fitted to has the
// deviation of each.
func TestDeviationOfEveryVertex(t *testing.T) {
	j, err := job.ForScan("ball.stl", "mm", 10)
	require.NoError(t, err)
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = 0.6, 0.02
	s, err := synthetic.Scan(synthetic.Scene{Name: "ball", Pieces: []synthetic.Piece{{Name: "ball", Shape: synthetic.Sphere{DiameterMM: 60}, Pose: synthetic.Upright(0, 0, 30)}}}, opt)
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "ball.stl")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, scanfile.WriteSTL(f, "ball", s.Soup("ball.stl")))
	require.NoError(t, f.Close())
	w, err := measure(context.Background(), j, path, newKeeper("", "", true), nil)
	require.NoError(t, err)
	e := w.elements[0]
	require.Equal(t, "sphere", e.Kind)
	require.Greater(t, len(e.vertex), 33000)
	require.Equal(t, len(e.vertex), len(e.DeviationMM))
	for i, v := range e.vertex {
		require.InDelta(t, e.DistanceMM(w.scaled.At(v)), e.DeviationMM[i], 1e-9)
	}
}
