package render

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestZeroIsNeutralAndTheEndsAreTheAnchors(t *testing.T) {
	// ColorBrewer's 11-class RdBu: 67001f at one end, f7f7f7 in the middle, 053061 at the other.
	require.Equal(t, rgb{0xf7, 0xf7, 0xf7}, diverging(0))
	require.Equal(t, rgb{0x67, 0x00, 0x1f}, diverging(1))
	require.Equal(t, rgb{0x05, 0x30, 0x61}, diverging(-1))
	require.Equal(t, diverging(0), valueColour(uint8(valueCode(0)), 0, 0, 9))
	require.Equal(t, diverging(1), valueColour(uint8(valueCode(1)), 0, 0, 9))
	require.Equal(t, diverging(-1), valueColour(uint8(valueCode(-1)), 0, 0, 9))
}

func TestValueCodes(t *testing.T) {
	for _, c := range []struct {
		name string
		t    float64
		code int
	}{
		{"zero", 0, codeZero}, {"end", 1, 254}, {"other end", -1, 2}, {"over", 1.0001, codeOver},
		{"under", -1.0001, codeUnder}, {"none", noValue, 0}, {"far over", 1e5, codeOver},
	} {
		require.Equal(t, c.code, valueCode(c.t), c.name)
	}
}

func TestColoursBeyondTheScaleAreNotOnIt(t *testing.T) {
	for _, c := range []rgb{overColour(), underColour(), noValueColour()} {
		for k := -100; k <= 100; k++ {
			d := diverging(float64(k) / 100)
			far := math.Hypot(math.Hypot(float64(c[0])-float64(d[0]), float64(c[1])-float64(d[1])), float64(c[2])-float64(d[2]))
			require.Greater(t, far, 30.0, "%v against %d %%", c, k)
		}
	}
}

// A plate of deviation d must show the colour of d, shaded by no more than a
// fifth, and the legend's ends those of the scale.
func TestPlateAndLegendColours(t *testing.T) {
	m := &model{}
	m.block([3]float64{0, 0, 0}, [3]float64{100, 100, 4})
	s := testSheet(800, 600)
	for _, d := range []float32{0, 2, -2, 5, -5, 7, -7, float32(math.NaN())} {
		dev := make([]float32, len(m.points))
		for i := range dev {
			dev[i] = d
		}
		img, err := Deviation(context.Background(), m.piece(10), dev, 5, View{-90, 60}, s)
		require.NoError(t, err)
		c := img.RGBAAt(250, 250)
		want := valueColour(uint8(valueCode(cmpValue(d))), 0, 1, 7)
		if math.Abs(float64(d)) > 5 { // hatched: one of two colours
			continue
		}
		for k, got := range []uint8{c.R, c.G, c.B} {
			require.LessOrEqual(t, got, want[k], "deviation %v", d)
			require.GreaterOrEqual(t, float64(got), 0.78*float64(want[k]), "deviation %v", d)
		}
		l := legend{room: rect{800 - 26*0.5 - 165, 13, 800 - 13, 600 - 59}}
		bar := l.bar(0.5)
		x := int(bar.x0+bar.x1) / 2
		near := func(want rgb, y float64) {
			got := img.RGBAAt(x, int(y))
			require.InDelta(t, want[0], got.R, 6)
			require.InDelta(t, want[1], got.G, 6)
			require.InDelta(t, want[2], got.B, 6)
		}
		near(diverging(1), bar.y0+2)
		near(diverging(0), (bar.y0+bar.y1)/2)
		near(diverging(-1), bar.y1-3)
	}
}

func TestNiceRangeMM(t *testing.T) {
	nan := float32(math.NaN())
	for _, c := range []struct {
		name string
		d    []float32
		want float64
	}{
		{"none", nil, 1}, {"only NaN", []float32{nan, nan}, 1}, {"zero", []float32{0, 0}, 1e-3},
		{"three", []float32{3, -3, nan}, 5}, {"exact", []float32{2, 2}, 2}, {"small", []float32{0.012}, 0.02},
		{"large", []float32{-730}, 1000}, {"just over one", []float32{1.01}, 2},
	} {
		require.InDelta(t, c.want, NiceRangeMM(c.d), 1e-9*c.want, c.name)
	}
}

func TestSharesBeyond(t *testing.T) {
	// Two triangles of equal area on four points; corners count a third each.
	b := body{points: [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {1, 1, 0}}, faces: [][3]uint32{{0, 1, 2}, {1, 3, 2}},
		value: []float32{2, 0, -2, float32(math.NaN())}}
	over, under, none := sharesBeyond(b)
	require.InDelta(t, 1.0/6, over, 1e-12)
	require.InDelta(t, 2.0/6, under, 1e-12)
	require.InDelta(t, 1.0/6, none, 1e-12)
}

func TestSigned(t *testing.T) {
	require.Equal(t, "0", signed(0))
	require.Equal(t, "+2.5", signed(2.5))
	require.Equal(t, "−0.004", signed(-0.004))
	require.Equal(t, "+3", signed(3.0000000000000004))
}

func cmpValue(d float32) float64 {
	if d != d {
		return noValue
	}
	return float64(d) / 5
}

func TestSizeAtIsThatOfTheSortedList(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{1, 2, 3, 50, 5000} {
		values, want := make([]float32, n), make([]float64, n)
		for i := range values {
			values[i] = float32(rng.NormFloat64() * math.Exp(3*rng.NormFloat64()))
			want[i] = math.Abs(float64(values[i]))
		}
		slices.Sort(want)
		values = append(values, float32(math.NaN()), float32(math.Inf(-1)))
		for _, share := range []float64{0, 0.5, 0.98, 1} {
			got, ok := sizeAt(values, share)
			require.True(t, ok)
			require.Equal(t, want[int(share*float64(n-1))], got, "%d values, share %v", n, share)
		}
	}
}
