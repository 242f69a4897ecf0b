package quantity

import (
	"math/big"
	"strconv"
	"strings"
	"unicode"
)

// textMax is the longest text that is read, in bytes: no quantity that a person
// writes comes near, and arithmetic on it stays small.
const textMax = 400

// parse reads a number and a unit of the measure.
func (q measure) parse(text string) (float64, error) {
	number, word, err := q.split(text)
	if err != nil {
		return 0, err
	}
	u, err := q.unit(text, number, word)
	if err != nil {
		return 0, err
	}
	r, ok := decimal(number)
	if !ok {
		return 0, q.notNumber(text, number)
	}
	return finite(text, r.Mul(r, u.factor))
}

// split cuts a text into its number and its unit, both trimmed.
func (q measure) split(text string) (number, word string, err error) {
	if len(text) > textMax {
		return "", "", refuse(text, "a text of over 400 characters is not "+q.name, "write it like "+q.example)
	}
	s := strings.TrimSpace(text)
	if s == "" {
		return "", "", refuse(text, "the text is empty", "write "+q.name+" like "+q.example)
	}
	if strings.Contains(s, ",") {
		return "", "", refuse(text, quote(s)+" holds a comma, which may be a decimal mark or part thousands",
			"write a point as the decimal mark and no mark between thousands")
	}
	i := numberEnd(s)
	return strings.TrimSpace(s[:i]), strings.TrimSpace(s[i:]), nil
}

// numberEnd returns where the number at the start of s ends: sign, digits,
// point, exponent, and the blank, dash and slash of a mixed fraction.
func numberEnd(s string) int {
	end := 0
	for i := 0; i < len(s); i++ {
		c := s[i]
		exponent := (c == 'e' || c == 'E') && i > 0 && digitOrPoint(s[i-1]) && exponentFollows(s[i+1:])
		switch {
		case digitOrPoint(c):
			end = i + 1
		case exponent, c == ' ', c == '+', c == '-', c == '/':
		default:
			return end
		}
	}
	return end
}

func digitOrPoint(c byte) bool { return c >= '0' && c <= '9' || c == '.' }

func exponentFollows(s string) bool {
	s = strings.TrimLeft(s, "+-")
	return s != "" && s[0] >= '0' && s[0] <= '9'
}

// unit finds the unit that a word names.
func (q measure) unit(text, number, word string) (unit, error) {
	if number == "" {
		return unit{}, q.notNumber(text, text)
	}
	if word == "" {
		return unit{}, refuse(text, quote(number)+" has no unit", "write "+q.withUnits(number))
	}
	for _, u := range q.units {
		for _, n := range u.names {
			if n == word {
				return u, nil
			}
		}
	}
	if why, ok := q.refused[word]; ok {
		return unit{}, refuse(text, quote(word)+" is ambiguous or not read as "+q.name, why(number))
	}
	return unit{}, refuse(text, quote(word)+" is not a unit of "+q.name, "write "+q.withUnits(number))
}

// withUnits lists a number with each unit: "12 mm, 12 cm or 12 m".
func (q measure) withUnits(number string) string {
	var b strings.Builder
	for i, u := range q.units {
		switch {
		case i > 0 && i == len(q.units)-1:
			b.WriteString(" or ")
		case i > 0:
			b.WriteString(", ")
		}
		b.WriteString(short(number) + " " + u.names[0])
	}
	return b.String()
}

func (q measure) notNumber(text, number string) error {
	return refuse(text, quote(strings.TrimSpace(number))+" is not "+q.name, "write it like "+q.example)
}

// decimal reads a plain decimal number, with or without an exponent of at most
// 3 digits. It returns false for anything else.
func decimal(s string) (*big.Rat, bool) {
	mantissa, exponent, has := strings.Cut(strings.ToLower(s), "e")
	if has {
		if n, err := strconv.Atoi(exponent); err != nil || n < -400 || n > 400 {
			return nil, false
		}
	}
	digits := strings.TrimLeft(mantissa, "+-")
	if len(mantissa)-len(digits) > 1 || strings.Count(digits, ".") > 1 || strings.Trim(digits, ".") == "" {
		return nil, false
	}
	if strings.IndexFunc(digits, func(r rune) bool { return r != '.' && !(r >= '0' && r <= '9') }) >= 0 {
		return nil, false
	}
	return new(big.Rat).SetString(s)
}

// finite rounds r to the nearest float64 and refuses what is too large.
func finite(text string, r *big.Rat) (float64, error) {
	x, _ := r.Float64()
	if x > 1e300 || x < -1e300 {
		return 0, refuse(text, quote(text)+" is too large", "check the number")
	}
	return x + 0, nil // + 0 turns -0 into 0
}

// Number reads a bare decimal number: no unit, no thousands mark, finite.
func Number(text string) (float64, error) {
	s := strings.TrimSpace(text)
	if len(s) > textMax {
		return 0, refuse(text, "a text of over 400 characters is not a number", "write a decimal number like 12.5")
	}
	r, ok := decimal(s)
	if !ok {
		return 0, refuse(text, quote(s)+" is not a number", "write a decimal number like 12.5")
	}
	return finite(text, r)
}

// Mass reads a mass and returns kg. Words that name several masses (ton, kip)
// are refused with the choices.
func Mass(text string) (kg float64, err error) { return masses().parse(text) }

// Force reads a force and returns N.
func Force(text string) (n float64, err error) { return forces().parse(text) }

// Speed reads a speed and returns m/s.
func Speed(text string) (mps float64, err error) { return speeds().parse(text) }

// Pressure reads a pressure and returns kPa.
func Pressure(text string) (kpa float64, err error) { return pressures().parse(text) }

// Years reads a span of years.
func Years(text string) (years float64, err error) { return spans().parse(text) }

// Temperature reads a temperature and returns degrees Celsius.
func Temperature(text string) (celsius float64, err error) {
	q := temperatures()
	x, err := q.parse(text)
	if err != nil || !strings.HasSuffix(strings.TrimSpace(text), "F") {
		return x, err
	}
	number, _, err := q.split(text)
	if err != nil {
		return 0, err
	}
	r, _ := decimal(number) // parse has read it
	return finite(text, r.Mul(r.Sub(r, exactly(32, 1)), exactly(5, 9)))
}

// Share reads a percentage and returns a fraction of 1: "2 %" is 0.02.
func Share(text string) (fraction float64, err error) { return shares().parse(text) }

// Angle reads an angle and returns degrees.
func Angle(text string) (deg float64, err error) { return angles().parse(text) }

// UnitMM returns the millimetres in one scan unit: mm, cm, m, in or ft.
func UnitMM(name string) (float64, error) {
	switch name {
	case "mm":
		return 1, nil
	case "cm":
		return 10, nil
	case "m":
		return 1000, nil
	case "in":
		return InchMM, nil
	case "ft":
		return FootMM, nil
	}
	printable := strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return -1
	}, name)
	return 0, refuse(name, quote(printable)+" is not a unit of length", "write mm, cm, m, in or ft")
}

// Conversions that are exact by definition.
const (
	InchMM      = 25.4
	FootMM      = 304.8
	PoundKG     = 0.45359237
	PoundForceN = 4.4482216152605
	MPHInMPS    = 0.44704
)
