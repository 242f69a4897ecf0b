package stock

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"
)

// TableError says what is wrong with a table of the user, and where; Row counts
// lines from 1, Column is empty where the whole row is meant.
type TableError struct {
	File     string
	Row      int
	Column   string
	What, Do string
}

func (e *TableError) Error() string {
	at := e.File + ":"
	if e.Row > 0 {
		at += fmt.Sprintf(" row %d", e.Row)
	}
	if e.Column != "" {
		at += ", column " + e.Column
	}
	return strings.TrimSuffix(at, ":") + ": " + e.What + "; " + e.Do
}

// ownRowsMax keeps a wrong file from filling memory; ten times all tables here.
const ownRowsMax = 20_000

// ownSizes are the columns of sizes, each in mm (_mm) or inches (_in), by form.
var ownSizes = map[string][]string{
	"pipe": {"od", "wall"}, "tube": {"od", "wall"}, "box": {"height", "width", "wall"}, "angle": {"height", "width", "thickness"},
	"round": {"od"}, "square": {"width"}, "flat": {"width", "thickness"}, "plate": {"thickness"}, "sheet": {"thickness"},
}

// With adds a table of the user's: CSV in UTF-8 with a head row of
//
//	mark, form                                   needed; form is one of Forms
//	od, wall, height, width, thickness           those of the form, each as NAME_mm or NAME_in
//	mass_kg_per_m, mass_kg_per_m2                optional: steel of the sizes where absent
//	standard, source                             optional
//
// Lines that start with # are notes. A row whose mark exists takes its place.
// Errors are *TableError.
func (c Catalogue) With(name string, table io.Reader) (Catalogue, error) {
	o := own{file: name, seen: map[string]int{}}
	sizes, err := o.read(table)
	if err != nil {
		return Catalogue{}, err
	}
	out, err := c.add(sizes, markKey)
	if err != nil {
		return Catalogue{}, &TableError{File: name, What: err.Error(), Do: "give the row another mark"}
	}
	return out, nil
}

// own reads one table of the user's.
type own struct {
	file string
	head []string
	row  int
	seen map[string]int // row by key of its mark
}

func (o *own) wrong(column, what, do string) error {
	return &TableError{File: o.file, Row: o.row, Column: column, What: what, Do: do}
}

func (o *own) read(table io.Reader) ([]Size, error) {
	b := bufio.NewReader(table)
	if mark, _ := b.Peek(3); string(mark) == "\ufeff" {
		_, _ = b.Discard(3)
	}
	r := csv.NewReader(b)
	r.Comment, r.FieldsPerRecord, r.TrimLeadingSpace = '#', -1, true
	var sizes []Size
	for {
		record, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, o.syntax(err)
		}
		o.row, _ = r.FieldPos(0)
		if o.head == nil {
			if err := o.header(record); err != nil {
				return nil, err
			}
			continue
		}
		s, err := o.size(record)
		if err != nil {
			return nil, err
		}
		if sizes = append(sizes, s); len(sizes) > ownRowsMax {
			return nil, o.wrong("", fmt.Sprintf("the table has more than %d rows", ownRowsMax), "keep the sizes that you can buy")
		}
	}
	if len(sizes) == 0 {
		o.row = 0
		return nil, o.wrong("", "the table has no rows", "write a head row (mark, form, …) and one row a size")
	}
	return sizes, nil
}

func (o *own) syntax(err error) error {
	var e *csv.ParseError
	if errors.As(err, &e) {
		o.row = e.Line
		return o.wrong("", e.Err.Error(), "write plain CSV, a quote inside quotes twice")
	}
	return o.wrong("", err.Error(), "see that the file can be read")
}

// columns that a table may have.
func ownColumns() []string {
	out := []string{"mark", "form"}
	for _, name := range []string{"od", "wall", "height", "width", "thickness"} {
		out = append(out, name+"_mm", name+"_in")
	}
	return append(out, "mass_kg_per_m", "mass_kg_per_m2", "standard", "source")
}

func (o *own) header(record []string) error {
	for i, name := range record {
		name = strings.ToLower(strings.TrimSpace(name))
		record[i] = name
		if !slices.Contains(ownColumns(), name) {
			return o.wrong("", fmt.Sprintf("the column %q is not known", clip(name)), "the columns are "+strings.Join(ownColumns(), ", "))
		}
		if slices.Contains(record[:i], name) {
			return o.wrong(name, "the column stands twice", "leave one")
		}
	}
	for _, name := range []string{"mark", "form"} {
		if !slices.Contains(record, name) {
			return o.wrong("", "there is no column "+name, "add it: each row needs a mark and a form")
		}
	}
	o.head = record
	return nil
}

// clip keeps a wrong cell from filling a message.
func clip(s string) string {
	if len(s) > 40 {
		return strings.ToValidUTF8(s[:40], "") + "…"
	}
	return s
}

func (o *own) size(record []string) (Size, error) {
	if len(record) != len(o.head) {
		return Size{}, o.wrong("", fmt.Sprintf("the row has %d cells, the head has %d", len(record), len(o.head)), "give each column a cell, empty where there is nothing")
	}
	cell := map[string]string{}
	for i, name := range o.head {
		if cell[name] = strings.TrimSpace(record[i]); !utf8.ValidString(record[i]) {
			return Size{}, o.wrong(name, "the cell is not UTF-8", "save the table as UTF-8")
		}
	}
	s := Size{Mark: cell["mark"], Form: strings.ToLower(cell["form"]), System: "own", Standard: cell["standard"], Source: cell["source"], Common: true}
	if err := o.mark(s); err != nil {
		return Size{}, err
	}
	if s.Standard == "" {
		s.Standard = "own table " + o.file
	}
	if s.Source == "" {
		s.Source = "own table " + o.file
	}
	if err := o.sizes(&s, cell); err != nil {
		return Size{}, err
	}
	return s, o.mass(&s, cell)
}

func (o *own) mark(s Size) error {
	key := markKey(s.Mark)
	switch was := o.seen[key]; {
	case key == "" || len(s.Mark) > 60:
		return o.wrong("mark", fmt.Sprintf("the mark is %q", clip(s.Mark)), "write up to 60 letters and digits, as PL 22")
	case was > 0:
		return o.wrong("mark", fmt.Sprintf("the mark %s stands in row %d already", s.Mark, was), "leave one of them")
	case ownSizes[s.Form] == nil:
		return o.wrong("form", fmt.Sprintf("the form is %q", clip(s.Form)), "write one of "+strings.Join(Forms(), ", "))
	}
	o.seen[key] = o.row
	return nil
}
