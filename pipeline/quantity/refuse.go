package quantity

import (
	"fmt"
	"math/big"
	"strings"
)

// Error tells what is wrong with the text of a quantity.
type Error struct {
	Text   string // as written, shortened
	What   string // what is so
	Advice string // what to do
}

func (e *Error) Error() string { return e.What + "; " + e.Advice }

// refuse makes an Error of a text, which is shortened to 40 characters.
func refuse(text, what, advice string) *Error {
	return &Error{Text: short(text), What: what, Advice: advice}
}

// quote puts a text into a message: shortened, control characters escaped.
func quote(text string) string { return fmt.Sprintf("%q", short(text)) }

// short cuts a text to 40 characters.
func short(text string) string {
	r := []rune(text)
	if len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return text
}

// choices makes advice of a pattern that may hold %s, the number as written.
func choices(pattern string) func(string) string {
	return func(number string) string {
		if !strings.Contains(pattern, "%s") {
			return "write " + strings.ReplaceAll(pattern, "%%", "%")
		}
		return "write " + fmt.Sprintf(pattern, number)
	}
}

// tonChoices names the three masses that are called a ton.
func tonChoices(number string) string {
	if r, ok := decimal(number); ok {
		return fmt.Sprintf("a ton may be 1000 kg, 2000 lb or 2240 lb: write %s t, %s lb or %s lb",
			number, times(r, 2000), times(r, 2240))
	}
	return "a ton may be 1000 kg, 2000 lb or 2240 lb: write t or lb"
}

func kipMassChoices(number string) string {
	if r, ok := decimal(number); ok {
		return fmt.Sprintf("a kip may be a mass or a force: write %s lb", times(r, 1000))
	}
	return "a kip may be a mass or a force: write lb"
}

func kipForceChoices(number string) string {
	if r, ok := decimal(number); ok {
		return fmt.Sprintf("a kip may be a mass or a force: write %s lbf or the force in kN", times(r, 1000))
	}
	return "a kip may be a mass or a force: write lbf or kN"
}

// times prints r × k without trailing zeros, to 4 decimals.
func times(r *big.Rat, k int64) string {
	x, _ := new(big.Rat).Mul(r, exactly(k, 1)).Float64()
	return Decimal(x, 4)
}
