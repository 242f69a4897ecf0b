package job

import (
	"errors"
	"slices"
	"strconv"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"

	"pointup/pipeline/quantity"
)

// scalar returns the text of a number or string as it was written.
func (r *reader) scalar(n ast.Node, path, want, advice string) (string, bool) {
	if r.err != nil {
		return "", false
	}
	switch n.(type) {
	case *ast.StringNode, *ast.IntegerNode, *ast.FloatNode:
		return n.GetToken().Value, true
	}
	r.wrongType(n, path, want, advice)
	return "", false
}

// bound is a range that a value must lie in.
type bound struct {
	low, high float64
	open      bool // low itself is out
	words     string
}

// The lengths that are taken reach a thousand kilometres: beyond that a unit is
// wrong. The other bounds are as wide.
func over0() bound    { return bound{0, 1e9, true, "over 0 and at most 1e9"} }
func atLeast0() bound { return bound{0, 1e9, false, "from 0 to 1e9"} }
func upTo1() bound    { return bound{0, 1, true, "over 0 % and at most 100 %"} }
func from0To1() bound { return bound{0, 1, false, "from 0 % to 100 %"} }

func (b bound) holds(x float64) bool {
	return x >= b.low && x <= b.high && !(b.open && x == b.low)
}

// in reads a quantity with parse into to and holds it to b.
func (r *reader) in(to *float64, parse func(string) (float64, error), want, example string, b bound) read {
	return func(n ast.Node, path string) {
		text, ok := r.scalar(n, path, want, "write it like "+example)
		if !ok {
			return
		}
		x, err := parse(text)
		var q *quantity.Error
		switch {
		case errors.As(err, &q):
			r.fail(n, path+": "+q.What, q.Advice)
		case err != nil:
			r.fail(n, path+": "+err.Error(), "write it like "+example)
		case !b.holds(x):
			r.fail(n, path+" is "+quoted(text)+", out of range", "give a value "+b.words)
		default:
			*to = x
		}
	}
}

func (r *reader) length(to *float64, b bound) read {
	return r.in(to, quantity.Length, "a length", "250 mm", inMM(b))
}

func (r *reader) mass(to *float64, b bound) read {
	return r.in(to, quantity.Mass, "a mass", "250 kg", b)
}

func (r *reader) share(to *float64, b bound) read {
	return r.in(to, quantity.Share, "a share", "2 %", b)
}

func (r *reader) number(to *float64, b bound) read {
	return r.in(to, quantity.Number, "a number", "12.5", b)
}

// inMM says the unit of a bound on lengths.
func inMM(b bound) bound {
	b.words += " mm"
	return b
}

// whole reads a whole number from low to high.
func (r *reader) whole(to *int, low, high int) read {
	return func(n ast.Node, path string) {
		text, ok := r.scalar(n, path, "a whole number", "write it like 9")
		if !ok {
			return
		}
		x, err := strconv.Atoi(text)
		if err != nil || x < low || x > high {
			r.fail(n, path+" is "+quoted(text), "give a whole number from "+strconv.Itoa(low)+" to "+strconv.Itoa(high))
			return
		}
		*to = x
	}
}

// truth reads true or false.
func (r *reader) truth(to *bool) read {
	return func(n ast.Node, path string) {
		b, ok := n.(*ast.BoolNode)
		if !ok {
			r.wrongType(n, path, "true or false", "write true or false")
			return
		}
		*to = b.Value
	}
}

// textMax is the longest name, in characters.
const textMax = 200

// text reads a name: one line of printable characters.
func (r *reader) text(to *string, example string) read {
	return func(n ast.Node, path string) {
		s, ok := n.(*ast.StringNode)
		if !ok {
			r.wrongType(n, path, "a text", "write it like "+example+", in quotes where it looks like a number")
			return
		}
		text := s.GetToken().Value
		if utf8.RuneCountInString(text) > textMax {
			r.fail(n, path+" has over 200 characters", "shorten it")
			return
		}
		for _, c := range text {
			if !unicode.IsPrint(c) || c == unicode.ReplacementChar {
				r.fail(n, path+" holds a character that cannot be printed", "write one line of plain text")
				return
			}
		}
		if *to = printable(text); *to == "" {
			r.fail(n, path+" is empty", "write it like "+example+" or take the line out")
		}
	}
}

// choice reads one of the names; a name may look like a number ("0").
func (r *reader) choice(to *string, names ...string) read {
	return func(n ast.Node, path string) {
		text, ok := r.scalar(n, path, "one of "+listed(names), "write "+listed(names))
		if !ok {
			return
		}
		if !slices.Contains(names, text) {
			r.fail(n, path+" is "+quoted(text), suggestion(text, names))
			return
		}
		*to = text
	}
}

// optional reads with f into a fresh value, or nil where the word for "not given"
// stands.
func optional[T any](r *reader, to **T, word string, f func(*T) read) read {
	return func(n ast.Node, path string) {
		if s, ok := n.(*ast.StringNode); ok && s.GetToken().Value == word {
			*to = nil
			return
		}
		x := new(T)
		f(x)(n, path)
		*to = x
	}
}
