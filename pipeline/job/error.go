package job

import (
	"fmt"
	"strings"
	"unicode"
)

// Error tells what is wrong in a job file, where, and what to do. Line and Column
// count from 1; both are 0 where no place in the file can be named.
type Error struct {
	File   string // base name
	Line   int
	Column int
	What   string // what is so
	Advice string // what to do
}

func (e *Error) Error() string {
	place := ""
	if e.Line > 0 {
		place = fmt.Sprintf("line %d, column %d: ", e.Line, e.Column)
	}
	return fmt.Sprintf("%s: %s%s; %s", e.File, place, e.What, e.Advice)
}

// quoted puts a text of the user into a message: 60 characters at most, control
// characters escaped.
func quoted(s string) string {
	if r := []rune(s); len(r) > 60 {
		s = string(r[:60]) + "…"
	}
	return fmt.Sprintf("%q", s)
}

// printable drops what cannot be printed, and blanks at both ends.
func printable(s string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r == unicode.ReplacementChar || !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, s))
}
