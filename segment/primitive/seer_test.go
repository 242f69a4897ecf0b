package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestSeerSeesTheSame: what a coil and a rod of two bends see by one foot is what
// residual, normal and edge say of walls, near ends and beyond them too.
func TestSeerSeesTheSame(t *testing.T) {
	rod := synthetic.Bent{SectionDiameterMM: 5, SectionBoreMM: 3, Legs: []synthetic.Bend{{LengthMM: 20}, {RadiusMM: 15, AngleDeg: 70}, {LengthMM: 18}, {RadiusMM: 12, AngleDeg: 60, TurnDeg: 90}, {LengthMM: 20}}}
	for name, piece := range map[string]synthetic.Piece{
		"coil": upright(synthetic.Coil{CentrelineDiameterMM: 30, SectionDiameterMM: 5, SectionBoreMM: 3, PitchMM: 9, Turns: 2.5}),
		"rod":  upright(rod),
	} {
		p := patchOf(t, soupOf(t, piece, scanOptions(0.6)))
		e := Recognise(p, DefaultOptions())
		sol := e.solid
		dear, ok := sol.(seer)
		require.True(t, ok, "%s: %T", name, sol)
		sol.prepare(make([]float64, sol.params()))
		seen := [2]int{}
		for v, q := range p.P {
			for s := range bendStart {
				for k, margin := range []float64{-0.5, 1.5, -0.5} {
					n := r3.Scale([]float64{1, 1, -1}[k], p.N[v])
					r, dot, edge := sol.residual(q, s, nil), r3.Dot(n, sol.normal(q, s)), sol.edge(q, s)
					want := math.Abs(r) <= 0.04 && dot >= minCos && edge >= margin
					if got := dear.sees(q, n, s, 0.04, margin); got != want && math.Abs(math.Abs(r)-0.04) > 1e-9 {
						t.Fatalf("%s: vertex %d, wall %d: %v, not %v: %g mm off, cosine %g, edge %g mm", name, v, s, got, want, r, dot, edge)
					} else if got {
						seen[s]++
					}
				}
			}
		}
		assert.Greater(t, seen[bendOuter], 1000, name)
		assert.Greater(t, seen[bendBore], 500, name)
	}
}
