package scanfile

import (
	"math"
	"strconv"
)

// powersOf10 are exact in a float64; products and quotients of one of them and
// an exact integer are rounded once and so are right (Clinger 1990).
var powersOf10 = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// parse64 reads a decimal number that fills b, rounded to the nearest float64.
// NaN and infinities, in the spellings of common C libraries, are numbers too:
// the caller refuses them by name.
func parse64(b []byte) (float64, bool) {
	v, exact, ok := parseFast(b)
	if ok && exact {
		return v, true
	}
	if !ok {
		return notFinite(b)
	}
	v, err := strconv.ParseFloat(string(b), 64)
	return v, err == nil || math.IsInf(v, 0)
}

// parse32 is parse64 rounded once to the nearest float32.
func parse32(b []byte) (float32, bool) {
	v, exact, ok := parseFast(b)
	if ok && exact && safeTo32(v) {
		return float32(v), true
	}
	if !ok {
		v, ok := notFinite(b)
		return float32(v), ok
	}
	v, err := strconv.ParseFloat(string(b), 32)
	return float32(v), err == nil || math.IsInf(v, 0)
}

// safeTo32 tells whether rounding v, itself rounded from a decimal, to float32
// gives the float32 nearest the decimal: not where v lies just between two of
// them, nor where float32 loses its even steps or ends.
func safeTo32(v float64) bool {
	a := math.Abs(v)
	return math.Float64bits(v)&(1<<29-1) != 1<<28 && (a == 0 || a > 1.2e-38 && a < 3e38)
}

// parseFast reads sign, digits, point, exponent. It tells whether all of b is
// such a number, and whether v is exact to the last bit.
func parseFast(b []byte) (v float64, exact, ok bool) {
	i, negative := 0, false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		negative = b[0] == '-'
		i = 1
	}
	var mantissa uint64
	digits, significant, exponent := 0, 0, 0
	for point := false; i < len(b); i++ {
		c := b[i]
		if c == '.' && !point {
			point = true
			continue
		}
		if c < '0' || c > '9' {
			break
		}
		digits++
		if significant > 0 || c != '0' {
			significant++
		}
		if significant <= 19 { // 10^19 fits a uint64
			mantissa = mantissa*10 + uint64(c-'0')
		}
		if point {
			exponent--
		}
	}
	if digits == 0 {
		return 0, false, false
	}
	if i < len(b) {
		e, ok := parseExponent(b[i:])
		if !ok {
			return 0, false, false
		}
		exponent += e
	}
	if mantissa > 1<<53 || significant > 19 || exponent < -22 || exponent > 22 {
		return 0, mantissa == 0 && significant == 0, true
	}
	v = float64(mantissa)
	if exponent < 0 {
		v /= powersOf10[-exponent]
	} else {
		v *= powersOf10[exponent]
	}
	if negative {
		v = -v
	}
	return v, true, true
}

// parseExponent reads e, sign and digits, which must fill b. It stops counting
// where no float64 is left.
func parseExponent(b []byte) (int, bool) {
	if b[0]|0x20 != 'e' {
		return 0, false
	}
	b = b[1:]
	negative := false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		negative = b[0] == '-'
		b = b[1:]
	}
	if len(b) == 0 {
		return 0, false
	}
	e := 0
	for _, c := range b {
		if c < '0' || c > '9' {
			return 0, false
		}
		e = min(e*10+int(c-'0'), 100_000)
	}
	if negative {
		e = -e
	}
	return e, true
}

// notFinite reads nan, inf, infinity, nan(ind), 1.#QNAN, 1.#INF, 1.#IND in any
// case and with a sign.
func notFinite(b []byte) (float64, bool) {
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		b = b[1:]
	}
	for _, w := range [...]string{"nan", "nan(ind)", "nan(snan)", "qnan", "snan"} {
		if isWord(b, w) {
			return math.NaN(), true
		}
	}
	if isWord(b, "inf") || isWord(b, "infinity") {
		return math.Inf(1), true
	}
	if len(b) > 4 && string(b[:3]) == "1.#" {
		if b[3]|0x20 == 'i' && b[4]|0x20 == 'n' && len(b) > 5 && b[5]|0x20 == 'f' {
			return math.Inf(1), true
		}
		return math.NaN(), true
	}
	return 0, false
}
