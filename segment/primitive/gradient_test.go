package primitive

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// TestGradients holds the derivatives of every surface's residual against central
// differences, away from the current state too. Steps of 1e-5 leave some 1e-9 of
// rounding and curvature.
func TestGradients(t *testing.T) {
	f := newFrame(r3.Vec{X: 1, Y: 2, Z: -1}, r3.Vec{X: .3, Y: -.8, Z: .5})
	ends := func(rc float64) arcEnds {
		a := arcEnds{seen: [2]bool{true, true}, phi: [2]float64{.3, 2.1}}
		for k := range a.f {
			a.stand(k, f, rc)
			a.e[k] = endPlane{.1, .05, -.04}
		}
		return a
	}
	square := ends(20)
	square.square, square.e[0] = [2]bool{true, false}, endPlane{z: .1}
	flat := flatCut{f: newFrame(r3.Vec{Z: 4}, r3.Vec{X: .1, Z: 1}), e: endPlane{.1, .02, .03}}
	all := [4]bool{true, true, true, true}
	tilted := [2]endPlane{{-5, .1, .05}, {6, -.1, .2}}
	for _, sol := range []solid{
		&round{f: f, ro: 8, ri: 6, free: true, end: tilted, seen: all},
		&round{f: f, ro: 8, ri: 6, end: [2]endPlane{{z: -2}, {z: 2}}, seen: all},
		&torus{f: f, rc: 20, rs: 5, rb: 3},
		&bend{f: f, rc: 20, rs: 5, rb: 3, ends: ends(20)},
		&bend{f: frame{f.at(-900, 800, 7), f.E1, f.E2, f.D}, rc: 1200, rs: 5, ends: ends(1200)},
		&sector{f: f, ro: 22, ri: 18, z: [2]float64{-8, 8}, ends: ends(20)},
		&sector{f: f, ro: 22, ri: 18, z: [2]float64{-8, 8}, hidden: [2]bool{true, false}, ends: ends(20)},
		&sector{f: f, ro: 22, ri: 18, z: [2]float64{-8, 8}, ends: square},
		&coneSection{f: f, a: .3, xo: 22, xi: 18, y: [2]float64{-8, 8}, ends: ends(20)},
		&sphere{c: f.C, ro: 9, ri: 7, flat: []flatCut{flat}},
		&prism{f: f, end: tilted, flat: []flatWall{{mid: [2]float64{5, 1}, angle: .3, halfMM: 4}, {mid: [2]float64{-1, 6}, angle: 2, halfMM: 3}}},
		&prism{f: f, end: tilted, unseen: [2]bool{true, false}, flat: []flatWall{{mid: [2]float64{5, 1}, angle: .3, halfMM: 4}, {mid: [2]float64{-1, 6}, angle: 2, halfMM: 3}}},
		&cone{f: f, r0: 8, k: .4, wall: 2, free: true, end: tilted, seen: all},
		&cone{f: f, r0: 8, k: .4, wall: 2, end: [2]endPlane{{z: -2}, {z: 2}}, seen: all},
		&cone{f: f, r0: 8, k: .4, pointed: true, free: true, seen: [4]bool{true, false, true, false}},
	} {
		rng := rand.New(rand.NewPCG(1, 2))
		n := sol.params()
		x, g, none := make([]float64, n), make([]float64, n), make([]float64, n)
		for try := range 5 {
			p := r3.Vec{X: 9 * rng.NormFloat64(), Y: 9 * rng.NormFloat64(), Z: 9 * rng.NormFloat64()}
			for i := range x {
				x[i] = float64(try) * .02 * rng.NormFloat64()
			}
			for s := range sol.surfaces() {
				sol.prepare(x)
				clear(g)
				r := sol.residual(p, s, g)
				require.Equal(t, r, sol.residual(p, s, nil))
				if r > 1e300 {
					continue
				}
				for i := range x {
					at := x[i]
					x[i] = at + 1e-5
					sol.prepare(x)
					up := sol.residual(p, s, none)
					x[i] = at - 1e-5
					sol.prepare(x)
					down := sol.residual(p, s, none)
					x[i] = at
					require.InDelta(t, (up-down)/2e-5, g[i], 1e-6, fmt.Sprintf("%T surface %d parameter %d try %d", sol, s, i, try))
				}
			}
		}
	}
}
