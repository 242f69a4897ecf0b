package primitive

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// A circle of n points of white noise is sure to the textbook's 1.96 σ/√n, and 95
// % of such circles hold the true radius, give or take three standard deviations
// of 2 %. Where neighbours share their noise over a tenth of a turn, ten patches
// are left of which the fit takes three, too few to tell all: some four in five
// hold it, against one in four for independent points.
func TestCircleU95(t *testing.T) {
	const n, circles, sigma = 300, 120, 0.03
	rng := rand.New(rand.NewPCG(1, 2))
	for _, shared := range []int{1, 30} {
		inside, width := 0.0, 0.0
		for range circles {
			white := make([]float64, n)
			for i := range white {
				white[i] = rng.NormFloat64()
			}
			p := make([][2]float64, n)
			for i := range p {
				sum := 0.0
				for k := range shared {
					sum += white[(i+k)%n] / math.Sqrt(float64(shared))
				}
				sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
				r := 5 + sigma*(0.98*sum+0.2*rng.NormFloat64())
				p[i] = [2]float64{r * cos, r * sin}
			}
			c, r, rms, _, ok := circleOf(p)
			require.True(t, ok)
			u, _ := circleU95(p, c, r, rms)
			width += u / circles
			if math.Abs(r-5) <= u {
				inside += 1.0 / circles
			}
		}
		if shared > 1 {
			require.Greater(t, inside, 0.75)
			continue
		}
		require.InDelta(t, 0.95, inside, 0.045)
		require.InEpsilon(t, 1.96*sigma/math.Sqrt(n), width, 0.12)
	}
	radius, centre := circleU95(nil, [2]float64{}, 1, 1)
	require.Zero(t, radius)
	require.Zero(t, centre)
}
