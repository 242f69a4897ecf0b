package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestNarrowTips reads a strip three facets wide whose ends are flat or round:
// the loop's few points there leave it open, the wall's do not.
func TestNarrowTips(t *testing.T) {
	const long, wide, noise = 24.0, 2.9, 0.025
	for seed := range uint64(20) {
		for _, round := range []bool{false, true} {
			rng := rand.New(rand.NewPCG(seed, 0x746970))
			var loop [][2]float64
			var side []SidePoint
			for _, q := range strip(long, wide, round) {
				at := func() [2]float64 {
					d := noise * rng.NormFloat64()
					return [2]float64{q.P[0] + d*q.N[0], q.P[1] + d*q.N[1]}
				}
				loop = append(loop, at())
				for range 60 {
					side = append(side, SidePoint{P: at(), N: q.N})
				}
			}
			opt := DefaultOutlineOptions()
			opt.NoiseMM, opt.SideReachMM = 2*noise, 0.5 // as where faces are rougher than walls
			o, err := FitOutline(loop, nil, side, opt)
			require.NoError(t, err)
			arcs := 0
			for _, s := range o.Steps {
				if s.Arc {
					arcs++
				}
			}
			want := 0
			if round {
				want = 2
			}
			assert.Equal(t, [2]int{4, want}, [2]int{len(o.Steps), arcs}, "seed %d, round %v", seed, round)
			assert.InDelta(t, long, SmallestRectangle(o).LengthMM, 0.1, "seed %d, round %v", seed, round)
		}
	}
}

// strip is a strip with square or half-round ends, counter-clockwise in steps of
// about a millimetre: points with their outward normals, which at a corner lie
// between those of its sides.
func strip(long, wide float64, round bool) []SidePoint {
	r, half := wide/2, long/2
	flat := half
	if round {
		flat = half - r
	}
	var out []SidePoint
	for _, sign := range []float64{1, -1} {
		add := func(u, v, nu, nv float64) {
			out = append(out, SidePoint{P: [2]float64{sign * u, sign * v}, N: [2]float64{sign * nu, sign * nv}})
		}
		n := math.Ceil(2 * flat)
		for i := 1.0; i < n; i++ {
			add(-flat+2*flat*i/n, -r, 0, -1)
		}
		k := 3.0
		if round {
			k = 6
		}
		for i := 0.0; i <= k; i++ {
			switch sin, cos := math.Sincos(math.Pi * (i/k - 0.5)); {
			case round:
				add(flat+r*cos, r*sin, cos, sin)
			case i == 0 || i == k:
				add(half, wide*(i/k-0.5), math.Sqrt2/2, math.Copysign(math.Sqrt2/2, sin))
			default:
				add(half, wide*(i/k-0.5), 1, 0)
			}
		}
	}
	return out
}
