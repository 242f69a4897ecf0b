package stock

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// token is a word of a mark, or a number (word empty).
type token struct {
	word   string
	number float64
}

// markWords brings what people write for one and the same thing together; a word
// that says nothing goes.
var markWords = map[string]string{
	`"`: "in", "inch": "in", "inches": "in", "gauge": "ga", "gage": "ga", "schedule": "sch", "plate": "pl", "sheet": "sh",
	"round": "rd", "square": "sq", "flat": "fb", "angle": "l", "mm": "", "pipe": "", "bar": "", "tube": "", "thk": "", "std": "std", "×": "x",
}

// markTokens cuts a mark to words and numbers; mixed fractions (2-1/2, 2 1/2) are
// one number, so that 1/4 and 0.25 read alike.
func markTokens(mark string) []token {
	out := make([]token, 0, 8) // most marks have fewer
	fraction := false
	s := strings.ToLower(strings.TrimSpace(mark))
	for i := 0; i < len(s) && len(out) < 64; {
		switch r, size := utf8.DecodeRuneInString(s[i:]); {
		case unicode.IsDigit(r) || r == '.' && startsWith(s[i+size:], unicode.IsDigit):
			n, used := markNumber(s[i:min(len(s), i+40)])
			fraction = fraction || strings.Contains(s[i:i+used], "/")
			out, i = append(out, token{number: n}), i+used
		case unicode.IsLetter(r):
			j := i
			for startsWith(s[j:], unicode.IsLetter) {
				_, size := utf8.DecodeRuneInString(s[j:])
				j += size
			}
			out, i = appendWord(out, s[i:j]), j
		case r == '"' || r == '×':
			out, i = appendWord(out, string(r)), i+size
		default:
			i += size
		}
	}
	return inOrder(out, fraction)
}

func startsWith(s string, is func(rune) bool) bool {
	r, _ := utf8.DecodeRuneInString(s)
	return s != "" && is(r)
}

// inOrder puts the word of a form first (12 mm plate), and adds what people leave
// out: NPS before a pipe's size with a schedule, SH before a gauge, inches after a
// fraction.
func inOrder(t []token, fraction bool) []token {
	has := func(words ...string) bool {
		return slices.ContainsFunc(t, func(x token) bool { return x.word != "" && slices.Contains(words, x.word) })
	}
	first := func(word string) { t = append([]token{{word: word}}, t...) }
	if i := slices.IndexFunc(t, func(x token) bool {
		return slices.Contains([]string{"pl", "sh", "rd", "sq", "fb", "l", "nps", "chs", "hss"}, x.word)
	}); i > 0 {
		word := t[i].word
		t = slices.Delete(t, i, i+1)
		first(word)
	}
	switch {
	case len(t) == 0:
	case t[0].word == "" && has("sch", "std", "xs", "xxs"):
		t = slices.DeleteFunc(t, func(x token) bool { return x.word == "in" })
		first("nps")
	case t[0].word == "" && has("ga"):
		first("sh")
	case fraction && !has("in") && slices.Contains([]string{"pl", "rd", "sq", "fb"}, t[0].word):
		t = append(t, token{word: "in"})
	}
	return t
}

func appendWord(out []token, word string) []token {
	if w, known := markWords[word]; known {
		word = w
	}
	if word == "" {
		return out
	}
	if word == "std" || word == "xs" || word == "xxs" { // Sch STD is STD
		if n := len(out); n > 0 && out[n-1].word == "sch" {
			out = out[:n-1]
		}
	}
	return append(out, token{word: word})
}

// markNumber reads a decimal number, fraction or mixed number at the start of s.
func markNumber(s string) (x float64, used int) {
	x, used = decimalAt(s)
	rest := s[used:]
	if strings.HasPrefix(rest, "/") {
		if d, n := decimalAt(rest[1:]); n > 0 && d > 0 {
			return x / d, used + 1 + n
		}
	}
	if strings.HasPrefix(rest, "-") || strings.HasPrefix(rest, " ") {
		gap := len(rest) - len(strings.TrimLeft(rest, "- "))
		a, n := decimalAt(rest[gap:])
		after := rest[gap+n:]
		if n > 0 && strings.HasPrefix(after, "/") {
			if d, m := decimalAt(after[1:]); m > 0 && d > 0 {
				return x + a/d, used + gap + n + 1 + m
			}
		}
	}
	return x, used
}

func decimalAt(s string) (x float64, used int) {
	for used < len(s) && used < 18 && (s[used] >= '0' && s[used] <= '9' || s[used] == '.') {
		used++
	}
	x, err := strconv.ParseFloat(s[:used], 64)
	if err != nil {
		return 0, max(used, 0)
	}
	return x, used
}

// markKey is the same for marks that mean the same.
func markKey(mark string) string {
	b := make([]byte, 0, 2*len(mark)+8)
	for _, t := range markTokens(mark) {
		if t.word != "" {
			b = append(b, t.word...)
		} else {
			b = strconv.AppendFloat(b, t.number, 'g', 9, 64)
		}
		b = append(b, ' ')
	}
	return string(b)
}

// tokensAway is the least sum of tokens to put in, drop or change; a number
// changes by the logarithm of the ratio, at most 1.
func tokensAway(a, b []token) float64 {
	row := make([]float64, len(b)+1)
	for j, y := range b {
		row[j+1] = row[j] + gapOf(y)
	}
	for _, x := range a {
		corner := row[0]
		row[0] += gapOf(x)
		for j, y := range b {
			change := corner + tokenAway(x, y)
			corner = row[j+1]
			row[j+1] = min(change, row[j]+gapOf(y), corner+gapOf(x))
		}
	}
	return row[len(b)]
}

// gapOf is what a token costs that only one mark has: a wall left out says less
// than another form.
func gapOf(t token) float64 {
	if t.word == "" || t.word == "x" {
		return 0.6
	}
	return 1.5
}

func tokenAway(x, y token) float64 {
	switch {
	case x.word != y.word:
		return 2
	case x.word != "" || x.number == y.number:
		return 0
	case x.number <= 0 || y.number <= 0:
		return 1
	}
	return min(1, 0.1+math.Abs(math.Log(x.number/y.number)))
}

// compare orders numbers; cmp.Compare would do, but sorts NaN first.
func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
