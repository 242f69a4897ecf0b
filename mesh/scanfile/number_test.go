package scanfile

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestNumbers holds both roundings against the language's own parser, bit for
// bit: all spellings, and decimals just beside the middle of two float32.
func TestNumbers(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	words := []string{
		"0", "-0", "+0", "0.", ".0", "-.5", "+5.", "1e0", "1E+5", "1e-5", "00012", "1e22", "1e23", "1e-22", "1e-23",
		"123456789012345678", "12345678901234567890123", "0.00000000000000000000000000001", "0e999", "0.0e-999", "1e-999",
		"9007199254740993", "9007199254740992", "16777217", "16777219", "1.00000005960464477539", "1e-45", "1.4e-45", "1e-40",
		"1.17549435e-38", "3.4028235e38", "3.4028236e38", "1.7976931348623157e308", "4.9e-324",
	}
	for range 20_000 {
		f := math.Float32frombits(random.Uint32() &^ (1 << 30))
		words = append(words, strconv.FormatFloat(float64(f), 'g', -1, 32), fmt.Sprintf("%.6e", f), fmt.Sprintf("%f", f), fmt.Sprintf("%.17g", f))
		next := math.Nextafter32(f, 1e30)
		middle := (float64(f) + float64(next)) / 2
		words = append(words, fmt.Sprintf("%.12g", middle), fmt.Sprintf("%.17g", middle), fmt.Sprintf("%.40g", middle))
		d := math.Float64frombits(random.Uint64() &^ (1 << 62))
		words = append(words, strconv.FormatFloat(d, 'g', -1, 64), strconv.FormatFloat(random.NormFloat64(), 'f', 12, 64))
	}
	for _, w := range words {
		want64, err := strconv.ParseFloat(w, 64)
		if err == nil {
			got, ok := parse64([]byte(w))
			require.True(t, ok, w)
			if math.Float64bits(want64) != math.Float64bits(got) && (want64 != 0 || got != 0) {
				require.Equal(t, want64, got, w)
			}
		}
		want32, err := strconv.ParseFloat(w, 32)
		if err == nil {
			got, ok := parse32([]byte(w))
			require.True(t, ok, w)
			if float32(want32) != got {
				require.Equal(t, float32(want32), got, w)
			}
		}
	}
}

// TestNotNumbers holds what is no number, and what is one that is not finite.
func TestNotNumbers(t *testing.T) {
	for _, w := range []string{"", "-", "+", ".", "-.", "e5", "1e", "1e+", "1e5x", "1.2.3", "--1", "1-", "0x10", "1_000", "one", "nano", "in", "1,5", "1.#", "1e5.", "NaNs", "\x80"} {
		_, ok := parse64([]byte(w))
		require.False(t, ok, "%q", w)
		_, ok = parse32([]byte(w))
		require.False(t, ok, "%q", w)
	}
	for _, w := range []string{"nan", "NaN", "-nan", "+NAN", "nan(ind)", "-nan(ind)", "1.#QNAN", "-1.#IND", "-1.#IND00"} {
		v, ok := parse64([]byte(w))
		require.True(t, ok && math.IsNaN(v), w)
		v32, ok := parse32([]byte(w))
		require.True(t, ok && math.IsNaN(float64(v32)), w)
	}
	for _, w := range []string{"inf", "-Inf", "+INF", "infinity", "1.#INF", "-1.#INF00", "1e400", "1e99999999999999999999"} {
		v, ok := parse64([]byte(w))
		require.True(t, ok && math.IsInf(v, 0), w)
		v32, ok := parse32([]byte(w))
		require.True(t, ok && math.IsInf(float64(v32), 0), w)
	}
}
