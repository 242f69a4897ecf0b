package fit

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Whatever the cells, few columns or many, those near a point are found as by looking
// at all, those of one cell in the order in which they were named.
func TestGridFindsAllNear(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for _, c := range []struct {
		name       string
		size, flat float64
		columns    bool
	}{
		{"large cells", 20, 1, true}, {"small cells", 3, 1, true}, {"cells far apart", 0.05, 1, false}, {"one layer", 5, 0, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			points := make([]r3.Vec, 2000)
			ids := rng.Perm(len(points))[:1500]
			for i := range points {
				points[i] = r3.Vec{X: 100 * rng.Float64(), Y: 100 * rng.Float64(), Z: 100 * c.flat * rng.Float64()}
			}
			g := newGrid(points, ids, c.size, r3.Vec{})
			require.Equal(t, c.columns, g.column != nil)
			place := map[int32]int{}
			for n, i := range ids {
				place[int32(i)] = n
			}
			for k := 0; k < len(ids); k += 37 {
				p, last := points[ids[k]], map[[3]int64]int{}
				found := map[int32]bool{}
				g.around(p, func(from, to int) {
					near := g.point[from:to]
					for _, i := range near {
						cell := g.cell(points[i])
						if n, known := last[cell]; known {
							require.Less(t, n, place[i])
						}
						found[i], last[cell] = true, place[i]
					}
				})
				for _, i := range ids {
					if d := r3.Norm(r3.Sub(points[i], p)); d < c.size {
						require.True(t, found[int32(i)], "point %d at %v", i, d)
					}
				}
			}
		})
	}
}
