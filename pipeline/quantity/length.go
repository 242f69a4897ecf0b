package quantity

import (
	"math/big"
	"strings"
)

// Length reads a length and returns mm.
//
// It reads a number and one of mm, cm, m, in, ft or the marks ' and "; numbers
// may be mixed fractions before in, ft and the marks (8 1/2, 3-1/2, 3/4); feet
// and inches may stand together (17' 8 1/2", 2'-0", 2 ft 3 in), the inches under
// 12. A sign stands first and is that of the whole. A number without a unit is
// refused.
func Length(text string) (mm float64, err error) {
	q := lengths()
	negative, s, err := q.sign(text)
	if err != nil {
		return 0, err
	}
	total := new(big.Rat)
	first, rest, err := q.part(text, s)
	if err != nil {
		return 0, err
	}
	total.Add(total, first.mm)
	if rest != "" {
		if total, err = q.inches(text, first, total, rest); err != nil {
			return 0, err
		}
	}
	if negative {
		total.Neg(total)
	}
	return finite(text, total)
}

// term is one number with its unit, in mm.
type term struct {
	mm   *big.Rat
	unit string // the printed name of its unit
	frac bool   // it was written with a fraction
}

// sign checks the text as a whole and takes its sign off.
func (q measure) sign(text string) (negative bool, rest string, err error) {
	if _, _, err = q.split(text); err != nil {
		return false, "", err
	}
	s := strings.TrimSpace(text)
	for _, minus := range []string{"-", "−"} {
		if strings.HasPrefix(s, minus) {
			return true, strings.TrimPrefix(s, minus), nil
		}
	}
	return false, strings.TrimPrefix(s, "+"), nil
}

// inches reads the inches that follow feet and adds them to the total.
func (q measure) inches(text string, feet term, total *big.Rat, rest string) (*big.Rat, error) {
	if feet.unit != "ft" {
		return nil, refuse(text, quote(strings.TrimSpace(text))+" has two units", "write one number and one unit; only feet and inches may stand together")
	}
	if feet.frac || !new(big.Rat).Quo(feet.mm, exactly(3048, 10)).IsInt() {
		return nil, refuse(text, "the feet before the inches are not a whole number", "write whole feet and the rest in inches")
	}
	in, more, err := q.part(text, strings.TrimPrefix(rest, "-"))
	if err != nil {
		return nil, err
	}
	if in.unit != "in" || more != "" {
		return nil, refuse(text, quote(strings.TrimSpace(text))+" is not feet and inches", `write it like 17' 8 1/2"`)
	}
	if in.mm.Cmp(exactly(3048, 10)) >= 0 {
		return nil, refuse(text, "the inches after the feet are 12 or more", "write all of it in inches, or carry to the feet")
	}
	return total.Add(total, in.mm), nil
}

// part reads one unsigned number and its unit from the start of s.
func (q measure) part(text, s string) (term, string, error) {
	s = strings.TrimSpace(s)
	i := numberEnd(s)
	number, tail := strings.TrimSpace(s[:i]), strings.TrimSpace(s[i:])
	word, rest := cutUnit(tail)
	u, err := q.unit(text, number, word)
	if err != nil {
		return term{}, "", err
	}
	r, frac, ok := mixed(number)
	if !ok {
		return term{}, "", q.notNumber(text, number)
	}
	if name := u.names[0]; frac && name != "in" && name != "ft" {
		return term{}, "", refuse(text, "a fraction stands before "+name, "write a decimal number")
	}
	return term{mm: r.Mul(r, u.factor), unit: u.names[0], frac: frac}, strings.TrimSpace(rest), nil
}

// cutUnit takes the word or mark at the start of s off.
func cutUnit(s string) (word, rest string) {
	for _, mark := range []string{"'", `"`, "′", "″", "’", "”"} {
		if strings.HasPrefix(s, mark) {
			return mark, s[len(mark):]
		}
	}
	i := strings.IndexFunc(s, func(r rune) bool { return r == ' ' || r == '-' || r >= '0' && r <= '9' })
	if i < 0 {
		return s, ""
	}
	return s[:i], s[i:]
}

// mixed reads an unsigned decimal, fraction (3/4) or mixed number (8 1/2, 3-1/2).
func mixed(s string) (r *big.Rat, frac, ok bool) {
	if strings.HasPrefix(s, "+") || strings.HasPrefix(s, "-") {
		return nil, false, false
	}
	if !strings.Contains(s, "/") {
		r, ok = decimal(s)
		return r, false, ok
	}
	whole, f := "0", s
	if i := strings.LastIndexAny(s, " -"); i >= 0 {
		whole, f = strings.TrimRight(s[:i], " -"), s[i+1:]
		if strings.Count(s, "-") > 1 {
			return nil, true, false
		}
	}
	num, den, _ := strings.Cut(f, "/")
	if !digits(whole, 15) || !digits(num, 6) || !digits(den, 6) || strings.Trim(den, "0") == "" {
		return nil, true, false
	}
	w, _ := new(big.Rat).SetString(whole)
	n, _ := new(big.Rat).SetString(num)
	d, _ := new(big.Rat).SetString(den)
	return w.Add(w, n.Quo(n, d)), true, true
}

// digits says whether s is 1 to max decimal digits.
func digits(s string, max int) bool {
	if s == "" || len(s) > max {
		return false
	}
	return strings.IndexFunc(s, func(r rune) bool { return r < '0' || r > '9' }) < 0
}
