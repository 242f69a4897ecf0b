package stock

import (
	"embed"
	"encoding/csv"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"pointup/pipeline/quantity"
)

//go:embed tables/*.csv
var tables embed.FS

// Standard returns the published sizes of a system.
func Standard(system string) (Catalogue, error) {
	t, err := ReadTables()
	if err != nil {
		return Catalogue{}, err
	}
	return t.System(system)
}

// Tables are the published sizes of all systems, row by row, with the keys of their
// marks, of which catalogues are made. tables/*.csv say in their heads which standards
// they are of and what is from memory.
type Tables struct {
	sizes []Size
	keys  map[string]string
}

// ReadTables reads all tables.
func ReadTables() (Tables, error) {
	out := Tables{keys: map[string]string{}}
	for _, t := range published() {
		rows, err := readTable(t.file)
		if err != nil {
			return Tables{}, err
		}
		out.sizes = slices.Grow(out.sizes, len(rows))
		for _, r := range rows {
			out.sizes = append(out.sizes, t.size(r))
		}
	}
	for i := range out.sizes {
		s := &out.sizes[i]
		s.Also = slices.Clip(s.Also) // catalogues share them, and add to their own
		out.keys[s.Mark] = markKey(s.Mark)
		for _, m := range s.Also {
			out.keys[m] = markKey(m)
		}
	}
	return out, nil
}

func (t Tables) key(mark string) string { return t.keys[mark] }

// System returns the sizes of a system: us, metric or both.
func (t Tables) System(system string) (Catalogue, error) {
	if system != "us" && system != "metric" && system != "both" {
		return Catalogue{}, fmt.Errorf("the system of stock sizes is %q; write us, metric or both", system)
	}
	sizes := make([]Size, 0, len(t.sizes))
	for i := range t.sizes {
		if s := &t.sizes[i]; s.System == system || system == "both" {
			sizes = append(sizes, *s)
		}
	}
	return Catalogue{}.add(t.together(sizes), t.key)
}

// published lists the tables with what makes a size of a row.
func published() []table {
	return []table{
		{"pipe.csv", pipeSize}, {"tube_us.csv", tubeSize}, {"tube_metric.csv", circularSize}, {"box.csv", boxSize}, {"angle.csv", angleSize},
		{"round.csv", roundSize}, {"square.csv", squareSize}, {"flat.csv", flatSize}, {"plate.csv", plateSize},
	}
}

type table struct {
	file string
	size func(row) Size
}

// row is one row of a table by the names of its columns.
type row map[string]string

// mm reads a column in inches (_in) or mm.
func (r row) mm(column string) float64 {
	x := r.number(column)
	if strings.HasSuffix(column, "_in") {
		return x * inchMM
	}
	return x
}

func (r row) number(column string) float64 {
	x, _ := strconv.ParseFloat(r[column], 64) // TestTables holds every column that is read
	return x
}

// either is the column in inches where it is given, for the mm beside it are
// rounded, else the one in mm.
func (r row) either(name string) float64 {
	if r[name+"_in"] != "" && r.system() == "us" {
		return r.mm(name + "_in")
	}
	return r.mm(name + "_mm")
}

// system of a table that mixes both.
func (r row) system() string {
	if strings.HasPrefix(r["system"]+r["series"], "EN") {
		return "metric"
	}
	return "us"
}

// memory is the word that marks a row from memory, in status columns only.
var memory = regexp.MustCompile(`\bM\b`)

func readTable(file string) ([]row, error) {
	f, err := tables.Open("tables/" + file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	head, err := r.Read()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	var out []row
	for {
		record, err := r.Read()
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", file, err)
		}
		x := row{}
		for i, name := range head {
			x[name] = record[i]
		}
		out = append(out, x)
	}
}

// together makes one size of rows that name the same thing twice: a pipe's wall
// of two schedules, a hollow section of two standards.
func (t Tables) together(sizes []Size) []Size {
	out, at := make([]Size, 0, len(sizes)), make(map[string]int, len(sizes))
	for _, s := range sizes {
		key := t.key(s.Mark)
		if s.Form == "pipe" {
			key = fmt.Sprint(s.Form, s.ODMM, s.WallMM)
		}
		i, known := at[key]
		if !known {
			at[key] = len(out)
			out = append(out, s)
			continue
		}
		o := &out[i]
		if s.Common && !o.Common { // the mark that dealers know stands first
			s.Also, o.Mark, s.Mark = append(s.Also, o.Also...), s.Mark, o.Mark
			o.Also, o.Common = nil, true
		}
		for _, m := range append([]string{s.Mark}, s.Also...) {
			if t.key(m) != t.key(o.Mark) {
				o.Also = append(o.Also, m)
			}
		}
		if o.Standard != s.Standard {
			o.Standard += ", " + s.Standard
		}
	}
	return out
}

func plain(x float64) string { return quantity.Decimal(x, 4) }
