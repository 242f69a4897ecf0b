package quantity

import (
	"math"
	"math/big"
	"strconv"
)

// FeetInches prints a length of mm as a shop drawing does: feet, inches and
// sixteenths, 13'-6 3/4". Inches alone under one foot (8 1/2"); a zero stands for
// missing inches (3'-0", 2'-0 1/2"); fractions are reduced; 16/16 carries to the
// inch and 12" to the foot before anything is printed. NaN and infinities print
// as "?".
//
// The nearest sixteenth is that of mm rounded to 1e-7 mm, so that the last bit of
// a product does not decide; an exact half goes to the even sixteenth (ASTM E29).
func FeetInches(mm float64) string { return FeetInchesBy(mm, 16) }

// FeetInchesBy is FeetInches to the nearest 1/denominator inch; the denominator
// is a power of two from 1 to 64, else 16 is taken.
func FeetInchesBy(mm float64, denominator int64) string {
	if math.IsNaN(mm) || math.IsInf(mm, 0) {
		return "?"
	}
	if denominator < 1 || denominator > 64 || denominator&(denominator-1) != 0 {
		denominator = 16
	}
	n := nearest(math.Abs(mm), denominator)
	sign := ""
	if mm < 0 && n.Sign() > 0 {
		sign = "-"
	}
	feet, parts := new(big.Int).DivMod(n, big.NewInt(12*denominator), new(big.Int))
	inches, frac := parts.Int64()/denominator, parts.Int64()%denominator
	text := inchText(inches, frac, denominator, feet.Sign() > 0)
	if feet.Sign() > 0 {
		return sign + feet.String() + "'-" + text
	}
	return sign + text
}

// nearest returns the whole number of 1/denominator inches nearest to mm ≥ 0.
func nearest(mm float64, denominator int64) *big.Int {
	r, ok := new(big.Rat).SetString(strconv.FormatFloat(mm, 'f', 7, 64))
	if !ok {
		return new(big.Int)
	}
	r.Mul(r, exactly(denominator*10, 254))
	whole, rest := new(big.Int).QuoRem(r.Num(), r.Denom(), new(big.Int))
	twice := rest.Lsh(rest, 1).Cmp(r.Denom())
	if twice > 0 || twice == 0 && whole.Bit(0) == 1 {
		whole.Add(whole, big.NewInt(1))
	}
	return whole
}

// inchText prints inches and a reduced fraction; a zero stands for whole inches
// that are missing after feet or where there is nothing else.
func inchText(inches, frac, denominator int64, afterFeet bool) string {
	for frac > 0 && frac%2 == 0 {
		frac, denominator = frac/2, denominator/2
	}
	fraction := ""
	if frac > 0 {
		fraction = strconv.FormatInt(frac, 10) + "/" + strconv.FormatInt(denominator, 10)
	}
	switch {
	case fraction == "":
		return strconv.FormatInt(inches, 10) + `"`
	case inches == 0 && !afterFeet:
		return fraction + `"`
	}
	return strconv.FormatInt(inches, 10) + " " + fraction + `"`
}
