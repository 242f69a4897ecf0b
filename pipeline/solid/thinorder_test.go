package solid

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Edges are drawn together in the order of what they cost in either direction, as if
// all were looked through each time.
func TestThinTakesTheCheapestFirst(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for _, roughMM := range []float64{0, 0.5, 3} {
		m, err := Coil{CentrelineMM: 60, SectionMM: 16, PitchMM: 24, Turns: 1.5}.Mesh(1)
		require.NoError(t, err)
		for i := range m.Points {
			m.Points[i] = r3.Add(m.Points[i], r3.Vec{X: roughMM * rng.Float64(), Y: roughMM * rng.Float64(), Z: roughMM * rng.Float64()})
		}
		for _, triangles := range []int{len(m.Triangles) / 2, len(m.Triangles) / 8, 0} {
			require.Equal(t, thinSlowly(m, triangles), Thin(m, triangles), "rough by %g mm, to %d", roughMM, triangles)
		}
	}
}

// thinSlowly passes an edge over that was refused until one of its ends has changed.
func thinSlowly(m Mesh, triangles int) Mesh {
	t, refused := newThinning(m), map[collapse]bool{}
	for left := len(t.tri); left > triangles; {
		var best *collapse
		for v := range t.around {
			from := uint32(v)
			for _, to := range t.ring(from) {
				q := t.form[from]
				q.add(&t.form[to])
				c := collapse{cost: q.at(t.at[to]), from: from, to: to, age: t.age[from] + t.age[to]}
				if !refused[c] && (best == nil || c.less(best)) {
					best = &c
				}
			}
		}
		if best == nil {
			break
		}
		if t.allowed(best.from, best.to) {
			left -= t.collapse(best.from, best.to)
		} else {
			refused[*best] = true
		}
	}
	return t.mesh()
}
