package stock

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
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
	out, err := c.add(sizes)
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

// sizes reads what the form needs and refuses what it does not have.
func (o *own) sizes(s *Size, cell map[string]string) error {
	at := map[string]*float64{"od": &s.ODMM, "wall": &s.WallMM, "height": &s.HeightMM, "width": &s.WidthMM, "thickness": &s.ThicknessMM}
	need := ownSizes[s.Form]
	for _, name := range []string{"od", "wall", "height", "width", "thickness"} {
		mm, in := cell[name+"_mm"], cell[name+"_in"]
		switch needed := slices.Contains(need, name); {
		case !needed && mm+in != "":
			return o.wrong(name, "a "+s.Form+" has no such size", "leave the cell empty")
		case !needed:
			continue
		case mm != "" && in != "":
			return o.wrong(name, "the size stands in mm and in inches", "leave one of them")
		case mm == "" && in == "":
			return o.wrong(name+"_mm", "a "+s.Form+" needs this size", "write mm, or inches in "+name+"_in")
		}
		x, err := o.length(name, mm, in)
		if err != nil {
			return err
		}
		*at[name] = x
	}
	if s.Form == "square" {
		s.HeightMM = s.WidthMM
	}
	s.WallDesignMM = s.WallMM
	return o.sound(s)
}

// length reads mm, or inches as a decimal number or a fraction.
func (o *own) length(name, mm, in string) (float64, error) {
	column, text, unit := name+"_mm", mm, 1.0
	if in != "" {
		column, text, unit = name+"_in", in, inchMM
	}
	x, used := markNumber(text)
	if used != len(text) || !(x*unit >= 0.01 && x*unit <= 10_000) {
		return 0, o.wrong(column, fmt.Sprintf("%q is not a size", clip(text)), "write a number over 0.01 mm and under 10 m, as 6.3 in mm or 1/4 in inches")
	}
	return x * unit, nil
}

// sound refuses sections that cannot be, and orders height before width.
func (o *own) sound(s *Size) error {
	if s.Form == "box" || s.Form == "angle" {
		s.HeightMM, s.WidthMM = max(s.HeightMM, s.WidthMM), min(s.HeightMM, s.WidthMM)
	}
	least := s.ODMM
	if s.Form == "box" {
		least = s.WidthMM
	}
	if s.WallMM > 0 && 2*s.WallMM >= least {
		return o.wrong("wall", fmt.Sprintf("two walls of %s mm leave no bore in %s mm", plain(s.WallMM), plain(least)), "check wall and outside size, or write the form round")
	}
	if s.Form == "angle" && s.ThicknessMM >= s.WidthMM {
		return o.wrong("thickness", "the leg is not longer than it is thick", "check legs and thickness")
	}
	return nil
}

// mass reads the mass or computes that of steel; one that differs from steel's by
// more than twice is a wrong unit.
func (o *own) mass(s *Size, cell map[string]string) error {
	steel, column, other, at := s.areaMM2()*steelKGM3*1e-6, "mass_kg_per_m", "mass_kg_per_m2", &s.MassKGM
	if s.Form == "plate" || s.Form == "sheet" {
		steel, column, other, at = s.ThicknessMM*steelKGM3*1e-3, other, column, &s.MassKGM2
	}
	if cell[other] != "" {
		return o.wrong(other, "the mass of a "+s.Form+" stands in "+column, "move it there")
	}
	*at = steel
	if cell[column] == "" {
		return nil
	}
	x, err := strconv.ParseFloat(cell[column], 64)
	if err != nil || math.IsNaN(x) || x < steel/8 || x > steel*2 {
		return o.wrong(column, fmt.Sprintf("%q is not the mass of these sizes, which in steel is %s kg", clip(cell[column]), plain(steel)), "write kg, or leave the cell empty")
	}
	*at = x
	return nil
}

// areaMM2 is the section's area by its sizes: sharp corners, no fillets.
func (s Size) areaMM2() float64 {
	switch {
	case s.ODMM > 0 && s.WallMM > 0:
		return math.Pi * (s.ODMM - s.WallMM) * s.WallMM
	case s.ODMM > 0:
		return math.Pi / 4 * s.ODMM * s.ODMM
	case s.WallMM > 0:
		return 2 * (s.HeightMM + s.WidthMM - 2*s.WallMM) * s.WallMM
	case s.HeightMM > 0 && s.ThicknessMM > 0:
		return (s.HeightMM + s.WidthMM - s.ThicknessMM) * s.ThicknessMM
	case s.HeightMM > 0:
		return s.HeightMM * s.WidthMM
	}
	return s.WidthMM * s.ThicknessMM
}
