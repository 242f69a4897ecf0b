package primitive

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/synthetic"
)

// fromAbove is a scan of what stands about the origin without the facets that
// face down, and without all that reaches under the height.
func fromAbove(soup mesh.Soup, underMM float64) mesh.Soup {
	soup.Corners = slices.DeleteFunc(soup.Corners, func(c [3]uint32) bool {
		var v [3]r3.Vec
		for k, i := range c {
			q := soup.Points[i]
			v[k] = r3.Vec{X: float64(q[0]), Y: float64(q[1]), Z: float64(q[2])}
		}
		n := r3.Cross(r3.Sub(v[1], v[0]), r3.Sub(v[2], v[0]))
		return n.Z < -0.5*r3.Norm(n) || min(v[0].Z, v[1].Z, v[2].Z) < underMM
	})
	return soup
}

// TestWheelOfOneFace reads wheels that lie on a table: teeth, rim and bore are
// measured, the thickness is hidden.
func TestWheelOfOneFace(t *testing.T) {
	for seed := range uint64(6) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			rng := rand.New(rand.NewPCG(seed, 78))
			w := anyWheel(rng, seed%2 == 0)
			opt := scanOptions(0.6)
			opt.NoiseMM = 0.03
			whole := soupOf(t, synthetic.Piece{Name: "wheel", Shape: w, Pose: synthetic.Upright(0, 0, 0)}, opt)
			e := read(t, fromAbove(whole, w.ThicknessMM*(float64(seed%3)/4-0.6)))
			require.Equal(t, "toothed_wheel", e.Kind)
			require.Equal(t, []string{"thickness_mm"}, e.Hidden)
			n, _ := e.Dim("tooth_count")
			assert.InDelta(t, w.ToothCount, n, 0)
			for key, mm := range map[string]float64{"tip_diameter_mm": w.TipDiameterMM, "root_diameter_mm": w.RootDiameterMM, "bore_diameter_mm": w.BoreDiameterMM} {
				d := e.dimension(key)
				assert.InDelta(t, mm, d.Value, max(2*d.U95, 0.02), key)
			}
		})
	}
}
