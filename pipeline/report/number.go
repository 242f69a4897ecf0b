package report

import (
	"math"
	"strings"

	"pointup/pipeline/quantity"
)

// noNumber stands where a number is not given.
const noNumber = "–"

// unit is what a dimension's key says it is counted in.
type unit int

const (
	none unit = iota
	millimetre
	degree
	squareMillimetre
	cubicMillimetre
)

// nameAndUnit splits a key such as outside_diameter_mm into words and a unit.
func nameAndUnit(key string) (string, unit) {
	switch key {
	case "hole_count":
		return "holes", none
	case "tooth_count":
		return "teeth", none
	}
	if rest, ok := strings.CutSuffix(key, "_mm"); ok {
		return words(rest), millimetre
	}
	if rest, ok := strings.CutSuffix(key, "_mm2"); ok {
		return words(rest), squareMillimetre
	}
	if rest, ok := strings.CutSuffix(key, "_mm3"); ok {
		return words(rest), cubicMillimetre
	}
	if rest, ok := strings.CutSuffix(key, "_deg"); ok {
		return words(rest), degree
	}
	return words(key), none
}

// words turns a key into words fit to print.
func words(key string) string { return clean(strings.ReplaceAll(key, "_", " ")) }

// decimals is how many are worth printing beside an interval of half-width u95:
// those of its two significant digits, and otherwise where there is no interval.
func decimals(u95 float64, otherwise int) int {
	if !(u95 > 0) || math.IsInf(u95, 0) {
		return otherwise
	}
	d := 1 - int(math.Floor(math.Log10(u95)))
	return max(0, min(4, d))
}

// fixed prints v with exactly n decimals.
func fixed(v float64, n int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return noNumber
	}
	s := quantity.Decimal(v, n)
	if n <= 0 {
		return minus(s)
	}
	if i := strings.IndexByte(s, '.'); i < 0 {
		s += "." + strings.Repeat("0", n)
	} else {
		s += strings.Repeat("0", n-(len(s)-i-1))
	}
	return minus(s)
}

// minus sets a true minus sign.
func minus(s string) string { return strings.Replace(s, "-", "−", 1) }

// u95Text prints an interval with two significant digits and at most a number
// of decimals; what would round to less than one of the last is one of the last.
func u95Text(u95 float64, u unit, most int) string {
	if !(u95 > 0) || math.IsInf(u95, 0) {
		return noNumber
	}
	d := min(most, decimals(u95, 0))
	return withUnit(fixed(math.Max(quantity.RoundSignificant(u95, 2), math.Pow(10, -float64(d))), d), u)
}

// value prints v to the decimals that its interval allows, and at most to a
// number of them.
func value(v, u95 float64, u unit, otherwise, most int) string {
	return withUnit(fixed(v, min(most, decimals(u95, otherwise))), u)
}

// The most decimals that a page prints: a hundredth of a mm is finer than metal
// is cut at full size.
const (
	maquetteDecimals = 4
	fullDecimals     = 2
)

func withUnit(s string, u unit) string {
	switch u {
	case millimetre:
		return s + " mm"
	case degree:
		return s + "°"
	case squareMillimetre:
		return s + " mm²"
	case cubicMillimetre:
		return s + " mm³"
	}
	return s
}

// mm prints a length with n decimals.
func mm(v float64, n int) string { return withUnit(fixed(v, n), millimetre) }

// percent prints a share of 1.
func percent(share float64, n int) string {
	if math.IsNaN(share) || math.IsInf(share, 0) {
		return noNumber
	}
	return fixed(100*share, n) + " %"
}

// deviationText prints a deviation at full size: two decimals under 10 mm.
func deviationText(v float64) string {
	if math.Abs(v) >= 10 {
		return fixed(v, 1)
	}
	return fixed(v, 2)
}

// heightText prints a height at full size in mm and m.
func heightText(v float64) string {
	if math.Abs(v) < 1000 {
		return mm(v, 1)
	}
	return mm(v, 0) + " (" + fixed(v/1000, 2) + " m)"
}

// count writes a number and its noun, singular for one.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return quantity.Decimal(float64(n), 0) + " " + many
}

// isNumber tells whether a cell is one number, with or without its unit.
func isNumber(s string) bool {
	s = strings.TrimLeft(s, "+−±-")
	if s == "" || s[0] < '0' || s[0] > '9' {
		return false
	}
	rest := strings.TrimLeft(s, "0123456789.,\u00a0 ")
	return len([]rune(rest)) <= 4 && !strings.ContainsAny(rest, "0123456789,;×")
}
