package primitive

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestContourLine: distances from a star of thirty points are those by looking at
// each segment, up to the reach; beyond it only the side is told.
func TestContourLine(t *testing.T) {
	var star [][2]float64
	for k := range 60 {
		s, c := math.Sincos(float64(k) * math.Pi / 30)
		r := 30 - 8*float64(k%2)
		star = append(star, [2]float64{r * c, r * s})
	}
	line := newContourLine(star)
	rng := rand.New(rand.NewPCG(5, 6))
	for range 5000 {
		q := [2]float64{80*rng.Float64() - 40, 80*rng.Float64() - 40}
		want := math.Inf(1)
		for i, a := range star {
			b := star[(i+1)%len(star)]
			dx, dy := b[0]-a[0], b[1]-a[1]
			s := min(max(((q[0]-a[0])*dx+(q[1]-a[1])*dy)/(dx*dx+dy*dy), 0), 1)
			want = min(want, hypot(q[0]-a[0]-s*dx, q[1]-a[1]-s*dy))
		}
		got := line.distance(q[0], q[1])
		assert.Equal(t, insideChain(q, star), got < 0, "%v", q)
		if want < line.reachMM {
			assert.InDelta(t, want, math.Abs(got), 1e-9, "%v", q)
		} else {
			assert.GreaterOrEqual(t, math.Abs(got), line.reachMM*(1-1e-9), "%v", q)
		}
	}
}
