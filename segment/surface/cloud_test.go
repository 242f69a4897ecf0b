package surface

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// drawn makes n points of a surface from two numbers in [0,1).
func drawn(n int, seed uint64, at func(u, v float64) r3.Vec) []r3.Vec {
	r := rand.New(rand.NewPCG(seed, 7))
	out := make([]r3.Vec, n)
	for i := range out {
		// A jittered grid keeps the density even, as scanners and meshers do.
		side := int(math.Ceil(math.Sqrt(float64(n))))
		out[i] = at((float64(i%side)+r.Float64())/float64(side), (float64(i/side)+r.Float64())/float64(side))
	}
	return out
}

func disturbed(p []r3.Vec, sigmaMM float64) []r3.Vec {
	r := rand.New(rand.NewPCG(3, 5))
	out := make([]r3.Vec, len(p))
	for i, q := range p {
		out[i] = r3.Add(q, r3.Scale(sigmaMM, r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}))
	}
	return out
}

func round(u float64) (x, y float64) { return math.Cos(2 * math.Pi * u), math.Sin(2 * math.Pi * u) }

// shapes are surfaces of about 10 mm, each with its ideal.
func shapes() map[string]struct {
	points []r3.Vec
	want   Ideal
} {
	type row = struct {
		points []r3.Vec
		want   Ideal
	}
	return map[string]row{
		"plane": {drawn(1600, 1, func(u, v float64) r3.Vec { return r3.Vec{X: 20 * u, Y: 20 * v, Z: 3} }),
			fit.Plane{Point: r3.Vec{Z: 3}, Axis: r3.Vec{Z: 1}}},
		"cylinder": {drawn(2500, 2, func(u, v float64) r3.Vec { x, y := round(u); return r3.Vec{X: 6 * x, Y: 6 * y, Z: 30 * v} }),
			fit.Cylinder{Axis: r3.Vec{Z: 1}, RadiusMM: 6}},
		"cone": {drawn(2500, 3, func(u, v float64) r3.Vec {
			x, y := round(u)
			h := 8 + 14*v
			return r3.Vec{X: h * x * math.Tan(math.Pi/6), Y: h * y * math.Tan(math.Pi/6), Z: h}
		}), fit.Cone{Point: r3.Vec{Z: 10}, Axis: r3.Vec{Z: 1}, RadiusMM: 10 * math.Tan(math.Pi/6), HalfAngleDeg: 30}},
		"sphere": {drawn(2500, 4, func(u, v float64) r3.Vec {
			x, y := round(u)
			z := 2*v - 1
			s := math.Sqrt(1 - z*z)
			return r3.Vec{X: 8 * s * x, Y: 8 * s * y, Z: 8 * z}
		}), fit.Sphere{RadiusMM: 8}},
		"torus": {drawn(3600, 5, func(u, v float64) r3.Vec {
			x, y := round(u)
			a, b := round(v)
			return r3.Vec{X: (12 + 3*a) * x, Y: (12 + 3*a) * y, Z: 3 * b}
		}), fit.Torus{Axis: r3.Vec{Z: 1}, RadiusMM: 12, SectionRadiusMM: 3}},
	}
}

// TestEachSurfaceFound holds type and size of every surface without noise and
// with 1 and 2 % of 10 mm. A size is within 5 sigma/√n of its points and what
// the gate lets in: 0.2 sigma.
func TestEachSurfaceFound(t *testing.T) {
	for name, c := range shapes() {
		for _, sigma := range []float64{0, 0.1, 0.2} {
			t.Run(fmt.Sprint(name, sigma), func(t *testing.T) {
				t.Parallel()
				p := disturbed(c.points, sigma)
				f := FromCloud(p)
				assert.InDelta(t, sigma, f.NoiseMM, 0.15*sigma+0.01)
				got, label, err := Find(context.Background(), f, DefaultOptions())
				require.NoError(t, err)
				require.NotEmpty(t, got)
				require.Equal(t, Type(c.want), Type(got[0].Ideal))
				assert.Greater(t, len(got[0].Points), 95*len(p)/100)
				assert.Len(t, label, len(p))
				for _, q := range c.points[:200] {
					assert.InDelta(t, 0, got[0].Ideal.Distance(q), 0.2*sigma+1e-6)
				}
			})
		}
	}
}

// stepped is a turned part: flange, barrel, cone and the faces between, with
// the surface that each point was drawn on.
func stepped() (points []r3.Vec, truth []int) {
	add := func(k int, p []r3.Vec) {
		for _, q := range p {
			points, truth = append(points, q), append(truth, k)
		}
	}
	disc := func(inner, outer, z float64) func(u, v float64) r3.Vec {
		return func(u, v float64) r3.Vec {
			x, y := round(u)
			r := math.Sqrt(inner*inner + v*(outer*outer-inner*inner))
			return r3.Vec{X: r * x, Y: r * y, Z: z}
		}
	}
	wall := func(low, high, from, to float64) func(u, v float64) r3.Vec {
		return func(u, v float64) r3.Vec {
			x, y := round(u)
			r := low + v*(high-low)
			return r3.Vec{X: r * x, Y: r * y, Z: from + v*(to-from)}
		}
	}
	add(0, drawn(1600, 11, disc(0, 20, 0)))
	add(1, drawn(900, 12, wall(20, 20, 0, 6)))
	add(2, drawn(1200, 13, disc(10, 20, 6)))
	add(3, drawn(1600, 14, wall(10, 10, 6, 26)))
	add(4, drawn(900, 15, wall(10, 4, 26, 40)))
	return points, truth
}

// TestTurnedPart holds the mean overlap with the truth (Dice) of a part of five
// surfaces: what is lost are points at edges, within the noise of two of them.
func TestTurnedPart(t *testing.T) {
	points, truth := stepped()
	for _, c := range []struct{ sigma, dice float64 }{{0, 0.99}, {0.05, 0.98}, {0.2, 0.95}, {0.4, 0.9}} {
		t.Run(fmt.Sprint(c.sigma), func(t *testing.T) {
			t.Parallel()
			_, label, err := Find(context.Background(), FromCloud(disturbed(points, c.sigma)), DefaultOptions())
			require.NoError(t, err)
			assert.Greater(t, overlap(truth, label), c.dice)
		})
	}
}

// overlap is the mean over true surfaces of 2|A∩B|/(|A|+|B|) with the best found.
func overlap(truth []int, label []int32) float64 {
	both, nt, no := map[[2]int]int{}, map[int]int{}, map[int]int{}
	for i, a := range truth {
		b := int(label[i])
		nt[a]++
		no[b]++
		both[[2]int{a, b}]++
	}
	best := make([]float64, len(nt))
	for k, n := range both {
		if k[1] >= 0 {
			best[k[0]] = max(best[k[0]], 2*float64(n)/float64(nt[k[0]]+no[k[1]]))
		}
	}
	sum := 0.0
	for _, x := range best {
		sum += x / float64(len(best))
	}
	return sum
}

func TestSameCloudSameAnswer(t *testing.T) {
	points, _ := stepped()
	points = disturbed(points, 0.05)
	a, la, err := Find(context.Background(), FromCloud(points), DefaultOptions())
	require.NoError(t, err)
	b, lb, err := Find(context.Background(), FromCloud(points), DefaultOptions())
	require.NoError(t, err)
	assert.Equal(t, a, b)
	assert.Equal(t, la, lb)
}

// TestHostileClouds holds that nothing panics or hangs.
func TestHostileClouds(t *testing.T) {
	line := make([]r3.Vec, 500)
	grid := make([]r3.Vec, 0, 900)
	for i := range line {
		line[i] = r3.Vec{X: float64(i)}
	}
	for i := range 900 {
		grid = append(grid, r3.Vec{X: float64(i % 30), Y: float64(i / 30)})
	}
	far := disturbed(grid, 0.01)
	for i := range far {
		far[i] = r3.Add(far[i], r3.Vec{X: 1e7, Y: -1e7})
	}
	for name, p := range map[string][]r3.Vec{
		"none":              nil,
		"one":               {{X: 1}},
		"three":             {{X: 1}, {Y: 1}, {Z: 1}},
		"collinear":         line,
		"all the same":      make([]r3.Vec, 400),
		"each point twice":  append(append([]r3.Vec(nil), grid...), grid...),
		"far from zero":     far,
		"a ball of nothing": disturbed(make([]r3.Vec, 300), 5),
	} {
		t.Run(name, func(t *testing.T) {
			f := FromCloud(p)
			got, label, err := Find(context.Background(), f, DefaultOptions())
			require.NoError(t, err)
			require.Len(t, label, len(p))
			for _, s := range got {
				for _, i := range s.Points {
					require.GreaterOrEqual(t, label[i], int32(0))
				}
				kind, _ := Describe(s)
				require.NotEmpty(t, kind)
			}
		})
	}
}

func TestFindHeedsContext(t *testing.T) {
	points, _ := stepped()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, err := Find(ctx, FromCloud(points), DefaultOptions())
	assert.ErrorIs(t, err, context.Canceled)
}
