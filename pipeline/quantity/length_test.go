package quantity

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The values are exact: 1 in = 25.4 mm, 1 ft = 304.8 mm by definition.
func TestLengthReadsWhatAShopWrites(t *testing.T) {
	for text, mm := range map[string]float64{
		"250 mm": 250, "250mm": 250, "2.5 cm": 25, "5.4 m": 5400, "1 in": 25.4, "1 inch": 25.4,
		"96 in": 2438.4, "20 ft": 6096, "0 mm": 0, "-0 mm": 0, "-12.5 mm": -12.5, "+3 mm": 3,
		`17' 8 1/2"`: 5397.5, `17'-8 1/2"`: 5397.5, `17'8.5"`: 5397.5, "17 ft 8 1/2 in": 5397.5, "17 ft 8-1/2 in": 5397.5,
		`5' 3"`: 1600.2, "2 ft 3 in": 685.8, `2'-0"`: 609.6, `2'-0 1/2"`: 622.3, "3-1/2 in": 88.9, `3 1/2"`: 88.9,
		`3/4"`: 19.05, "1/2 ft": 152.4, `-2'-0 1/2"`: -622.3, "17′ 8½": 0, "1e3 mm": 1000, "  7 mm ": 7, "17′ 8″": 5384.8,
		"2 feet 3 inches": 685.8, "0.1 mm": 0.1, "-.5 mm": -0.5, "5. mm": 5,
	} {
		got, err := Length(text)
		if strings.Contains(text, "½") {
			assert.Error(t, err, text)
			continue
		}
		require.NoError(t, err, text)
		assert.Equal(t, mm, got, text)
	}
}

func TestLengthRefuses(t *testing.T) {
	for text, part := range map[string]string{
		"": "is empty", "   ": "is empty", "12": "has no unit; write 12 mm, 12 cm, 12 m, 12 in or 12 ft",
		"5' 3": `"3" has no unit`, "mm": "is not a length", "nan mm": "is not a length", "inf m": "is not a length",
		"1,200 mm": "comma", "12 MM": "not a unit of a length", "12 yd": "ft or m", "5 mil": "ambiguous",
		`5' 15"`: "12 or more", "1 m 20 cm": "two units", "1/2 mm": "a fraction stands before mm", "1.5 ft 3 in": "not a whole number",
		"1/0 in": "is not a length", "1//2 in": "is not a length", "--3 mm": "is not a length", "3 in 2 ft": "two units",
		`5' 3" 2"`: "not feet and inches", "1e500 mm": "is not a length", "1e305 mm": "too large", "0x10 mm": "is not a unit", "1_0 mm": "is not a unit",
		"1 2 mm": "is not a length", "1-2 in": "is not a length", "5' 3 mm": "not feet and inches", strings.Repeat("9", 500) + " mm": "over 400 characters",
		"12 \x00": "not a unit", "1 -2 -1/2 in": "is not a length", "5' -": "is not a length", "1/2' 3\"": "whole number",
	} {
		got, err := Length(text)
		require.Error(t, err, text)
		assert.Zero(t, got)
		assert.Contains(t, err.Error(), part, text)
		var typed *Error
		require.ErrorAs(t, err, &typed, text)
		assert.NotEmpty(t, typed.Advice, text)
	}
}

func TestLengthReadsBackWhatIsPrinted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.Float64Range(-1e9, 1e9).Draw(t, "mm")
		got, err := Length(LengthText(mm))
		require.NoError(t, err)
		require.Equal(t, mm, got)
	})
}

// Half a sixteenth is 25.4/32 mm; the last digits of a float64 are allowed for.
func TestFeetInchesIsWithinHalfASixteenth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.Float64Range(-1e7, 1e7).Draw(t, "mm")
		text := FeetInches(mm)
		got, err := Length(text)
		require.NoError(t, err, text)
		require.InDelta(t, mm, got, 25.4/32+1e-8, text)
		require.Equal(t, text, FeetInches(got), "printing what was printed changes nothing")
	})
}

func FuzzLength(f *testing.F) {
	for _, s := range []string{`17' 8 1/2"`, "3-1/2 in", "1e400 mm", "-", "'", "1/1/1 in", "1e-400 mm", "−3 mm"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		mm, err := Length(s)
		if err != nil {
			require.Zero(t, mm)
			return
		}
		got, err := Length(LengthText(mm))
		require.NoError(t, err)
		require.Equal(t, mm, got)
	})
}
