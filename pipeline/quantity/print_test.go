package quantity

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestRoundNeverGivesMinusZero(t *testing.T) {
	assert.Equal(t, 12.3457, Round(12.34567, 4))
	assert.Equal(t, 0.0, Round(-0.00001, 4))
	assert.False(t, math.Signbit(Round(-0.00001, 4)))
	assert.False(t, math.Signbit(RoundSignificant(math.Copysign(0, -1), 2)))
	assert.Equal(t, 0.012, RoundSignificant(0.01234, 2))
	assert.Equal(t, 1200.0, RoundSignificant(1234, 2))
	assert.Equal(t, "0", Decimal(-0.00001, 4))
	assert.Equal(t, "12.5", Decimal(12.5, 4))
	assert.Equal(t, "1200", Decimal(1200, 4))
	assert.Equal(t, "0", Exact(math.Copysign(0, -1)))
	assert.Equal(t, "0.0000125", Exact(1.25e-5))
	assert.Equal(t, "2 %", ShareText(0.02))
	assert.Equal(t, "0.02 %", ShareText(0.0002))
	assert.Equal(t, "0 %", ShareText(0))
	assert.True(t, math.IsNaN(Round(math.NaN(), 4)))
}

func TestRoundingTwiceIsRoundingOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e6, 1e6).Draw(t, "x")
		require.Equal(t, Round(x, 4), Round(Round(x, 4), 4))
		require.Equal(t, RoundSignificant(x, 2), RoundSignificant(RoundSignificant(x, 2), 2))
		require.InDelta(t, x, Round(x, 4), 0.50001e-4)
		back, err := strconv.ParseFloat(Decimal(x, 4), 64)
		require.NoError(t, err)
		require.Equal(t, Round(x, 4), back)
	})
}

// The first rows are worked out by hand from the conventions: reduce, carry before
// printing, a zero for missing inches, inches alone under a foot. 162 3/4 in =
// 13'-6 3/4" and 89.375 in = 7'-5 3/8" are the checks of a rafter table.
func TestFeetInches(t *testing.T) {
	for _, row := range []struct {
		in   float64
		want string
	}{
		{0, `0"`}, {0.5, `1/2"`}, {8.5, `8 1/2"`}, {11.99, `1'-0"`}, {12, `1'-0"`}, {24.5, `2'-0 1/2"`}, {36, `3'-0"`},
		{162.75, `13'-6 3/4"`}, {89.375, `7'-5 3/8"`}, {11.96, `11 15/16"`}, {11.97, `1'-0"`}, {-63, `-5'-3"`}, {-0.01, `0"`},
		{1.0 / 32, `0"`}, {3.0 / 32, `1/8"`}, {5.0 / 32, `1/8"`}, {7.0 / 32, `1/4"`},
	} {
		assert.Equal(t, row.want, FeetInches(row.in*25.4), row.in)
	}
	assert.Equal(t, `1/32"`, FeetInchesBy(25.4/32, 32))
	assert.Equal(t, `1/16"`, FeetInchesBy(25.4/16, 10), "a denominator that is no power of two: sixteenths")
	assert.Equal(t, "?", FeetInches(math.NaN()))
	assert.NotPanics(t, func() { FeetInches(math.MaxFloat64) })
}
