package synthetic

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// movedBy returns a shape's clean shell, how far each vertex was moved from
// there, and the clean normals.
func movedBy(t *testing.T, shape Shape, opt Options) (clean Shell, move, normal []r3.Vec) {
	clean, err := Mesh(shape, opt.EdgeMM)
	require.NoError(t, err)
	normal = clean.Normals()
	p := Piece{Shape: shape, Pose: Upright(0, 0, 0)}
	f, err := p.Pose.frame()
	require.NoError(t, err)
	noisy, err := Mesh(shape, opt.EdgeMM)
	require.NoError(t, err)
	noisy = disturbed(noisy, p, f, 0, opt)
	move = make([]r3.Vec, len(noisy.Points))
	for v := range move {
		move[v] = r3.Sub(noisy.Points[v], clean.Points[v])
	}
	return clean, move, normal
}

func deviation(x []float64) float64 {
	var sum, square float64
	for _, v := range x {
		sum, square = sum+v, square+v*v
	}
	n := float64(len(x))
	return math.Sqrt(square/n - sum/n*sum/n)
}

// 40,000 vertices estimate a standard deviation to 0.4 %; 2 % is five times that.
func TestWhiteNoise(t *testing.T) {
	opt := DefaultOptions()
	opt.NoiseMM = 0.05
	_, move, normal := movedBy(t, RoundRing{80, 30, 0}, opt)
	require.Greater(t, len(move), 20000)
	along := make([]float64, len(move))
	for v := range move {
		along[v] = r3.Dot(move[v], normal[v])
		if !(r3.Norm(r3.Sub(move[v], r3.Scale(along[v], normal[v]))) < 1e-12) {
			require.Fail(t, "moved off its normal", "vertex %d", v)
		}
	}
	assert.InEpsilon(t, 0.05, deviation(along), 0.02)
}

func TestIsotropicNoise(t *testing.T) {
	opt := DefaultOptions()
	opt.NoiseMM, opt.Isotropic = 0.05, true
	_, move, _ := movedBy(t, RoundRing{80, 30, 0}, opt)
	for _, of := range []func(r3.Vec) float64{
		func(p r3.Vec) float64 { return p.X }, func(p r3.Vec) float64 { return p.Y }, func(p r3.Vec) float64 { return p.Z },
	} {
		x := make([]float64, len(move))
		for v := range move {
			x[v] = of(move[v])
		}
		assert.InEpsilon(t, 0.05, deviation(x), 0.02)
	}
}

// TestCorrelatedNoise looks at a plate 67 times as wide as the smoothing,
// and compares with exp(-d²/(4 s²)), the autocorrelation of white noise under a
// Gaussian of standard deviation s. Top and bottom must know nothing of each
// other.
func TestCorrelatedNoise(t *testing.T) {
	opt := DefaultOptions()
	opt.EdgeMM, opt.CorrelatedMM, opt.SmoothMM = 1, 0.04, 3
	clean, move, _ := movedBy(t, Plate{Rectangle(200, 200), nil, 1}, opt)
	top := make(map[[2]int]float64) // tenths of mm
	bottom := make(map[[2]int]float64)
	var all []float64
	for v, p := range clean.Points {
		if math.Abs(p.X) > 99 || math.Abs(p.Y) > 99 {
			continue
		}
		key := [2]int{int(math.Round(10 * p.X)), int(math.Round(10 * p.Y))}
		if p.Z > 0 {
			top[key] = move[v].Z
			all = append(all, move[v].Z)
		} else {
			bottom[key] = -move[v].Z
		}
	}
	require.Greater(t, len(all), 40000)
	// Some (200/(2√π·3))² = 350 independent places: the deviation is known to 4 %.
	assert.InEpsilon(t, 0.04, deviation(all), 0.1)
	variance := deviation(all) * deviation(all)
	lag := func(a, b map[[2]int]float64, d int) float64 {
		var sum float64
		n := 0
		for k, x := range a {
			if y, ok := b[[2]int{k[0] + 10*d, k[1]}]; ok {
				sum += x * y
				n++
			}
		}
		require.Greater(t, n, 10000)
		return sum / float64(n) / variance
	}
	// Products of two values are alike over 2π·3² mm², so 700 places are
	// independent: 0.12 is three standard deviations where there is no correlation.
	for _, d := range []int{1, 2, 3, 5, 8, 15} {
		assert.InDelta(t, math.Exp(-float64(d*d)/36), lag(top, top, d), 0.12, "%d mm", d)
	}
	assert.InDelta(t, 0, lag(top, bottom, 0), 0.12)
}

// TestCorrelatedEnsemble looks at two places over many seeds: there the variance
// is exact.
func TestCorrelatedEnsemble(t *testing.T) {
	const seeds = 4000
	var xx, xy float64
	for i := range uint64(seeds) {
		w := smooth(stream(i, 0, useCorrelated), 0.05, 2)
		x, y := w.at(r3.Vec{X: 100}), w.at(r3.Vec{X: 100, Z: 2})
		xx, xy = xx+x*x, xy+x*y
	}
	assert.InEpsilon(t, 0.0025, xx/seeds, 0.08) // 2/√(2·4000) = 2 % is one deviation
	assert.InDelta(t, math.Exp(-0.25), xy/xx, 0.03)
}

func TestWaviness(t *testing.T) {
	opt := DefaultOptions()
	opt.WavinessMM, opt.WavelengthMM = 0.1, 20
	_, move, _ := movedBy(t, Plate{Rectangle(200, 200), nil, 2}, opt)
	var z []float64
	for _, m := range move {
		z = append(z, m.Z)
	}
	assert.InEpsilon(t, 0.1, deviation(z), 0.1)
}

// TestRounding holds a block's vertices to its rounded surface: those near an
// edge, away from corners, lie on a cylinder of the radius asked, the others stay.
func TestRounding(t *testing.T) {
	const r = 2.0
	opt := DefaultOptions()
	opt.EdgeMM, opt.RoundingMM = 0.5, r
	clean, move, _ := movedBy(t, Plate{Rectangle(30, 20), nil, 10}, opt)
	for v, p := range clean.Points {
		q := r3.Add(p, move[v])
		in := []float64{15 - math.Abs(p.X), 10 - math.Abs(p.Y), 5 - math.Abs(p.Z)}
		out := []float64{15 - math.Abs(q.X), 10 - math.Abs(q.Y), 5 - math.Abs(q.Z)}
		near := 0
		for _, d := range in {
			if d < r {
				near++
			}
		}
		switch near {
		case 1:
			require.InDelta(t, 0, r3.Norm(move[v]), 1e-12)
		case 2:
			var square float64
			for k, d := range in {
				if d < r {
					square += (r - out[k]) * (r - out[k])
				}
			}
			require.InDelta(t, r, math.Sqrt(square), 1e-9, "%v", p)
		}
	}
}

// TestRoundingInnerCorner holds an angle's re-entrant corner to a fillet: metal
// is added there and taken off outside.
func TestRoundingInnerCorner(t *testing.T) {
	opt := DefaultOptions()
	opt.EdgeMM, opt.RoundingMM = 1, 1
	p := Profile{Section: Angle(30, 30, 6), LengthMM: 40}
	clean, move, normal := movedBy(t, p, opt)
	_, c, err := p.loops()
	require.NoError(t, err)
	seen := 0
	for v, q := range clean.Points {
		x, y := q.X+c[0], q.Y+c[1]
		if math.Abs(q.Z) > 18 || !(math.Abs(x-6) < 1e-9 && math.Abs(y-6) < 1e-9 || math.Abs(x-30) < 1e-9) {
			continue
		}
		seen++
		if x < 7 {
			require.InDelta(t, math.Sqrt2-1, r3.Dot(move[v], normal[v]), 1e-6)
		} else if math.Abs(y) < 1e-9 || math.Abs(y-6) < 1e-9 {
			require.InDelta(t, 1-math.Sqrt2, r3.Dot(move[v], normal[v]), 1e-6)
		}
	}
	assert.Greater(t, seen, 100)
}
