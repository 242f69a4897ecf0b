package quantity

import (
	"math"
	"math/big"
	"strconv"
	"strings"
)

// Round rounds x to a number of decimals, exact halves of its binary value to
// the even digit, and never returns -0. NaN and infinities come back as they are.
func Round(x float64, decimals int) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'f', decimals, 64), 64)
	return y + 0
}

// RoundSignificant rounds x to a number of significant digits and never returns
// -0. NaN and infinities come back as they are.
func RoundSignificant(x float64, figures int) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', figures-1, 64), 64)
	return y + 0
}

// Decimal prints x to at most a number of decimals, without trailing zeros or
// exponent, never "-0".
func Decimal(x float64, decimals int) string {
	s := strconv.FormatFloat(Round(x, decimals), 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// Exact prints x with the fewest digits that read back as x, never "-0".
func Exact(x float64) string {
	format := byte('f')
	if a := math.Abs(x); a != 0 && (a < 1e-6 || a >= 1e15) {
		format = 'e'
	}
	return strconv.FormatFloat(x+0, format, -1, 64)
}

// LengthText prints a length of mm so that Length reads it back exactly.
func LengthText(mm float64) string { return Exact(mm) + " mm" }

// MassText prints a mass of kg so that Mass reads it back exactly.
func MassText(kg float64) string { return Exact(kg) + " kg" }

// ForceText prints a force of N so that Force reads it back exactly.
func ForceText(n float64) string { return Exact(n) + " N" }

// SpeedText prints a speed of m/s so that Speed reads it back exactly.
func SpeedText(mps float64) string { return Exact(mps) + " m/s" }

// PressureText prints a pressure of kPa so that Pressure reads it back exactly.
func PressureText(kpa float64) string { return Exact(kpa) + " kPa" }

// AngleText prints an angle of degrees so that Angle reads it back exactly.
func AngleText(deg float64) string { return Exact(deg) + " deg" }

// YearsText prints a span so that Years reads it back exactly.
func YearsText(years float64) string { return Exact(years) + " years" }

// TemperatureText prints degrees Celsius so that Temperature reads it back exactly.
func TemperatureText(celsius float64) string { return Exact(celsius) + " C" }

// ShareText prints a fraction of 1 in % so that Share reads it back exactly: the
// decimal point of the shortest number is moved, nothing is multiplied.
func ShareText(fraction float64) string {
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(fraction+0, 'e', -1, 64), "e")
	n, _ := strconv.Atoi(exponent)
	r, ok := new(big.Rat).SetString(mantissa + "e" + strconv.Itoa(n+2))
	if !ok {
		return Exact(fraction*100) + " %"
	}
	if n < -12 || n > 12 {
		return mantissa + "e" + strconv.Itoa(n+2) + " %"
	}
	s := r.FloatString(32)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".") + " %"
}
