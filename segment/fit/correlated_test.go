package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// sheet is a grid of n by n points, 1 mm apart.
func sheet(n int) []r3.Vec {
	points := make([]r3.Vec, 0, n*n)
	for i := range n {
		for j := range n {
			points = append(points, r3.Vec{X: float64(i), Y: float64(j)})
		}
	}
	return points
}

// smooth is white noise smoothed by a Gaussian kernel of standard deviation h
// on a grid of n by n, with a margin.
func smooth(n int, h float64, rng *rand.Rand) []float64 {
	reach := int(math.Ceil(4 * h))
	m := n + 2*reach
	a := make([]float64, m*m)
	for i := range a {
		a[i] = rng.NormFloat64()
	}
	if h == 0 {
		return a
	}
	k := make([]float64, 2*reach+1)
	for i := range k {
		d := float64(i-reach) / h
		k[i] = math.Exp(-d * d / 2)
	}
	b := make([]float64, m*n)
	for i := range m {
		for j := range n {
			for q, w := range k {
				b[i*n+j] += w * a[i*m+j+q]
			}
		}
	}
	out := make([]float64, n*n)
	for i := range n {
		for j := range n {
			for q, w := range k {
				out[i*n+j] += w * b[(i+q)*n+j]
			}
		}
	}
	return out
}

func TestInflationOfWhiteNoise(t *testing.T) {
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 1))
		points := sheet(40)
		if seed%2 == 1 {
			points = Cylinder{RadiusMM: 20, Axis: r3.Vec{Z: 1}}.Points(1600, Patch{ArcDeg: 360, LengthMM: 13})
		}
		require.InDelta(t, 1, Inflation(points, smooth(40, 0, rng), 1), 0.03)
	}
}

// The mean of a smoothed sheet is a weighted sum of the white noise below it,
// so its variance is known: by rows, Σc²/n² where c sums the kernel over the
// sheet. The average estimate of 40 sheets is within 20 % of it (one sheet of
// h = 2 holds 70 patches of correlation and scatters by 25 %), and so is the
// scatter of 400 means, with 7 % of sampling. An endless sheet has 4πh².
func TestInflationOfSmoothNoise(t *testing.T) {
	const n, sheets = 60, 400
	rng := rand.New(rand.NewPCG(2, 2))
	points := sheet(n)
	for _, h := range []float64{0.7, 1, 2} {
		estimate, means, variance := 0.0, 0.0, 0.0
		for k := range sheets {
			r := smooth(n, h, rng)
			mean := 0.0
			for _, x := range r {
				mean += x / (n * n)
				variance += x * x / (n * n * sheets)
			}
			means += mean * mean / sheets
			if k < 40 {
				estimate += Inflation(points, r, 1) / 40
			}
		}
		exact := smoothInflation(n, h)
		require.InEpsilon(t, 4*math.Pi*h*h, exact, 0.1)
		require.InEpsilon(t, exact, estimate, 0.2)
		require.InEpsilon(t, exact, means/(variance/(n*n)), 0.2)
	}
}

// smoothInflation is n² times the variance of the mean over that of a point.
func smoothInflation(n int, h float64) float64 {
	kernel := func(d int) float64 { return math.Exp(-float64(d*d) / (2 * h * h)) }
	reach := int(math.Ceil(4 * h))
	columns, point := 0.0, 0.0
	for i := -reach; i < n+reach; i++ {
		c := 0.0
		for j := max(0, i-reach); j <= min(n-1, i+reach); j++ {
			c += kernel(i - j)
		}
		columns += c * c
	}
	for d := -reach; d <= reach; d++ {
		point += kernel(d) * kernel(d)
	}
	one := columns / float64(n) / point // along one side
	return one * one
}

// A wave of a quarter of the part: averaged over directions its correlation is
// J₀(2πd/λ), whose integral to the first zero is 0.199 λ²: n/80 of n points
// when λ is a quarter of the side. Along one axis only it is of that order.
func TestInflationOfLongWaves(t *testing.T) {
	const n = 80
	points := sheet(n)
	rng := rand.New(rand.NewPCG(2, 2))
	last := 1.0
	for _, share := range []float64{0.125, 0.25, 0.5} {
		r := make([]float64, n*n)
		for i, p := range points {
			r[i] = math.Sin(2*math.Pi*p.X/(share*n)) + 0.3*rng.NormFloat64()
		}
		got := Inflation(points, r, 1)
		require.Greater(t, got, 2*last)
		require.InEpsilon(t, 0.199*share*share*n*n, got, 0.5)
		last = got
	}
}

// What it is for: the scatter of a radius fitted to correlated residuals, over
// 150 fits (6 % of sampling), against the covariance for as many independent
// points as there are, inflated; within 25 %.
func TestInflationPredictsARadius(t *testing.T) {
	const n, fits = 40, 150
	c := Cylinder{Point: r3.Vec{X: 5}, Axis: r3.Vec{Z: 1}, RadiusMM: 40 / math.Pi} // half a turn is 40 mm
	rng := rand.New(rand.NewPCG(3, 3))
	grid := sheet(n)
	points := make([]r3.Vec, len(grid))
	scatter, predicted := 0.0, 0.0
	for range fits {
		r := smooth(n, 1.5, rng)
		for i, q := range grid {
			out := turn(r3.Vec{X: 1}, r3.Vec{Y: 1}, q.X/c.RadiusMM)
			points[i] = along(along(c.Point, c.RadiusMM+0.002*r[i], out), q.Y, c.Axis)
		}
		got, a, err := FitCylinder(points, nil, c)
		require.NoError(t, err)
		for i, p := range points {
			r[i] = got.Distance(p)
		}
		scatter += (got.RadiusMM - c.RadiusMM) * (got.RadiusMM - c.RadiusMM) / fits
		u := a.StdDev(4, a.NoiseMM)
		predicted += u * u * Inflation(points, r, 1) / fits
	}
	require.InEpsilon(t, math.Sqrt(scatter), math.Sqrt(predicted), 0.25)
}

func TestInflationOfOddInput(t *testing.T) {
	points, rng := sheet(30), rand.New(rand.NewPCG(4, 4))
	r := smooth(30, 1.5, rng)
	want := Inflation(points, r, 1)
	require.Greater(t, want, 10.0)

	scaled, many := make([]r3.Vec, len(points)), make([]float64, len(r))
	for i := range points {
		scaled[i], many[i] = r3.Scale(1000, points[i]), 7*r[i]
	}
	require.InEpsilon(t, want, Inflation(scaled, many, 1000), 1e-9)
	for _, spacing := range []float64{0, -1, math.NaN(), math.Inf(1), 1e-9, 1e9, 0.1, 3} {
		require.InEpsilon(t, want, Inflation(points, r, spacing), 0.3, "spacing %g", spacing)
	}
	scaled[0].X, many[1] = math.NaN(), math.Inf(1)
	require.InEpsilon(t, want, Inflation(scaled, many, 1000), 0.05)

	require.Equal(t, 1.0, Inflation(nil, nil, 1))
	require.Equal(t, 1.0, Inflation(points, make([]float64, len(points)), 1))
	require.Equal(t, 1.0, Inflation(points, r[:10], 1))
	require.Equal(t, 1.0, Inflation(make([]r3.Vec, len(points)), r, 1))
}

func BenchmarkInflation(b *testing.B) {
	points, r := sheet(316), smooth(316, 2, rand.New(rand.NewPCG(1, 1))) // 1e5 points
	for b.Loop() {
		sink += Inflation(points, r, 1)
	}
}

// Bins of the first level that are found by themselves, as far as the sum asks for them,
// are those of the whole level.
func TestFirstBinsAreThoseOfTheirLevel(t *testing.T) {
	points := sheet(80)
	for seed := range uint64(12) {
		at, r := centredResiduals(points, smooth(80, 0.7, rand.New(rand.NewPCG(seed, 9))))
		c := correlogram{at: at, r: r, size: 112, reach: 1.5 * lagBins, thin: 1, rng: rand.New(rand.NewPCG(3, 4))}
		level, centres := lags(at, r, c.all(), 0, c.reach, c.reach, c.low)
		for _, known := range []int{lagBins / 2, lagBins} {
			require.True(t, c.grow())
			require.Len(t, c.bins, known)
			for k, b := range c.bins {
				require.Equal(t, level[k].count, b.count)
				require.Equal(t, level[k].count/centres, b.share)
				require.InDelta(t, level[k].product, b.product, 1e-9*b.count)
			}
		}
	}
}
