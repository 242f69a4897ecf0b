package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// spoiled returns the points with Gaussian noise sigma along the normals and a
// share of them thrown up to half the spread away, with which those are; the
// normals of a tenth of all are turned round.
func spoiled(points, normals []r3.Vec, sigma, share float64, seed uint64) (p, n []r3.Vec, out []bool) {
	rng := rand.New(rand.NewPCG(seed, 6))
	c, _ := newCloud(points, nil)
	for i := range points {
		q, m := along(points[i], sigma*rng.NormFloat64(), normals[i]), normals[i]
		if rng.Float64() < 0.1 {
			m = r3.Scale(-1, m)
		}
		bad := rng.Float64() < share
		if bad {
			d := unit(r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()})
			q, m = along(q, c.scale*(0.1+0.4*rng.Float64()), d), d
		}
		p, n, out = append(p, q), append(n, m), append(out, bad)
	}
	return p, n, out
}

// One point in five is off by 10 to 50 % of the spread. The features lie within
// what 150 to 600 points of noise 0.02 determine; at most 2 % of the good points
// are left out (3.5 standard deviations: 0.05 %), and no bad point further than
// 5 standard deviations from the feature is taken.
func TestRobustLeavesOutliersOut(t *testing.T) {
	const sigma = 0.02
	for _, tr := range trials() {
		for _, bare := range []bool{false, true} {
			if bare && (tr.name == "helix" || tr.name == "left helix" || tr.name == "fillet") {
				continue // takes normals
			}
			name := tr.name
			if bare {
				name += " bare"
			}
			t.Run(name, func(t *testing.T) {
				points, normals, bad := spoiled(tr.points, tr.normals, sigma, 0.2, 4)
				if bare {
					normals = nil
				}
				got, a, in, err := tr.robust(points, normals)
				require.NoError(t, err)
				lost := 0
				for i := range points {
					if !bad[i] && !in[i] {
						lost++
					}
					if bad[i] && in[i] {
						require.Less(t, math.Abs(got.Distance(points[i])), 5*sigma)
					}
				}
				require.LessOrEqual(t, lost, len(points)/50)
				require.InEpsilon(t, sigma, a.NoiseMM, 0.15)
				for i, d := range tr.against(got, centroid(points)) {
					require.InDelta(t, 0, d, 5*a.StdDev(i, sigma)+1e-6, a.Parameters[i])
				}
			})
		}
	}
}

// Without outliers the robust fit is the plain one to a fraction of what the
// noise leaves open, and exact points all stay in.
func TestRobustOnCleanPoints(t *testing.T) {
	for _, tr := range trials() {
		t.Run(tr.name, func(t *testing.T) {
			_, a, in, err := tr.robust(tr.points, tr.normals)
			require.NoError(t, err)
			require.NotContains(t, in, false)
			require.Less(t, a.RMSMM, 1e-10)
		})
	}
}

func TestRobustLineAndCircles(t *testing.T) {
	l := Line{r3.Vec{X: 1, Y: 2, Z: 3}, unit(r3.Vec{X: 2, Y: 3, Z: 6})}
	c := Circle{r3.Vec{X: 1, Y: 2, Z: 3}, unit(r3.Vec{X: 2, Y: 3, Z: 6}), 20}
	e, _ := Frame(l.Axis)
	across := make([]r3.Vec, 120)
	for i := range across {
		across[i] = e
	}
	points, _, _ := spoiled(l.Points(120, Patch{LengthMM: 60}), across, 0.02, 0.25, 1)
	gotL, _, _, err := RobustLine(points, nil)
	require.NoError(t, err)
	sameAxis(t, l.Axis, gotL.Axis, 5*0.02/17/math.Sqrt(90)) // 17 is 60/√12
	points, _, _ = spoiled(c.Points(120, Patch{ArcDeg: 200}), across, 0.02, 0.25, 1)
	gotC, _, _, err := RobustCircle(points, nil)
	require.NoError(t, err)
	require.InDelta(t, 20, gotC.RadiusMM, 0.02)
	samePlace(t, c.Centre, gotC.Centre, 0.03)
	sameAxis(t, c.Axis, gotC.Axis, 1e-3)

	flat := Circle{r3.Vec{X: 5, Y: 6}, r3.Vec{Z: 1}, 20}.Points(120, Patch{ArcDeg: 200})
	plane := make([]r2.Vec, len(flat))
	rng := rand.New(rand.NewPCG(1, 1))
	for i, p := range flat {
		plane[i] = r2.Vec{X: p.X, Y: p.Y}
		if i%4 == 0 {
			plane[i] = r2.Vec{X: 40 * rng.Float64(), Y: 40 * rng.Float64()}
		}
	}
	got, _, in, err := RobustCircle2(plane, nil)
	require.NoError(t, err)
	require.InDelta(t, 20, got.RadiusMM, 1e-9)
	require.True(t, in[1])
	require.False(t, in[0])
}
