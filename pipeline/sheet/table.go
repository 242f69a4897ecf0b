// Package sheet writes plain tables as CSV and as one workbook (XLSX). It knows
// no word of pieces or steel.
package sheet

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"pointup/pipeline/quantity"
)

// Table is a heading row and rows of cells, all of the width of the heading.
type Table struct {
	Name    string // of the sheet: 1 to 31 characters, none of []:*?/\
	Columns []Column
	Rows    [][]Cell
}

// Column is a heading, with its unit where it has one: Cut length [mm].
type Column struct {
	Head     string
	Decimals int // of its numbers, 0 to 9
}

// Cell is a text, a number or nothing.
type Cell struct {
	Text   string
	Number *float64
}

// Text makes a cell of words.
func Text(s string) Cell { return Cell{Text: s} }

// Number makes a cell of a number.
func Number(x float64) Cell { return Cell{Number: &x} }

// Count makes a cell of a whole number.
func Count(n int) Cell { return Number(float64(n)) }

// check refuses what neither form can hold; n is the table's place from 1.
func (t Table) check(n int) error {
	where := fmt.Sprintf("table %d %q", n, t.Name)
	if l := utf8.RuneCountInString(t.Name); l < 1 || l > 31 || strings.ContainsAny(t.Name, `[]:*?/\`) || strings.Trim(t.Name, "'") != t.Name {
		return fmt.Errorf(`%s: the name is not 1 to 31 characters without []:*?/\; choose another`, where)
	}
	if len(t.Columns) == 0 || len(t.Columns) > 1000 || len(t.Rows) > 1_000_000 {
		return fmt.Errorf("%s: %d columns and %d rows; 1 to 1000 columns and at most 1000000 rows can be written", where, len(t.Columns), len(t.Rows))
	}
	for r, row := range t.Rows {
		if len(row) != len(t.Columns) {
			return fmt.Errorf("%s: row %d: %d cells under %d headings", where, r+1, len(row), len(t.Columns))
		}
		for c, x := range row {
			if x.Number != nil && (math.IsNaN(*x.Number) || math.IsInf(*x.Number, 0)) {
				return fmt.Errorf("%s: row %d: column %q: the number is %v", where, r+1, t.Columns[c].Head, *x.Number)
			}
		}
	}
	return nil
}

// rounded is a number as both forms print it.
func (c Column) rounded(x float64) float64 {
	return quantity.Round(x, min(max(c.Decimals, 0), 9))
}

// clean takes out what a cell cannot hold, and keeps a spreadsheet from taking
// text for a formula: a quote goes before = + - @ at its start, unless it is a
// plain dash between words.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == utf8.RuneError || r == 0xfffe || r == 0xffff {
			return ' '
		}
		return r
	}, s)
	s = strings.TrimSpace(s)
	if s != "" && s != "-" && strings.ContainsRune("=+-@", rune(s[0])) {
		s = "'" + s
	}
	if r := []rune(s); len(r) > textMax {
		s = string(r[:textMax-1]) + "…"
	}
	return s
}

// textMax is the longest text of a cell: Office Open XML takes 32,767.
const textMax = 32000
