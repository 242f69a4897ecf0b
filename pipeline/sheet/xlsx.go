package sheet

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
)

// XLSX writes tables as one workbook, a sheet each in the order given, headings
// in bold and held in place while one scrolls. The same tables give the same
// bytes: the dates in the file are fixed. Errors name table, row and column.
func XLSX(title string, tables []Table) ([]byte, error) {
	if len(tables) == 0 {
		return nil, fmt.Errorf("workbook %q: there is no table to write", title)
	}
	names := map[string]bool{}
	for i, t := range tables {
		if err := t.check(i + 1); err != nil {
			return nil, err
		}
		if low := strings.ToLower(t.Name); names[low] {
			return nil, fmt.Errorf("table %d %q: two tables have this name; sheets are told apart by it", i+1, t.Name)
		} else {
			names[low] = true
		}
	}
	f := excelize.NewFile()
	defer f.Close()
	if err := f.SetDocProps(&excelize.DocProperties{Title: clean(title), Creator: "pointup", LastModifiedBy: "pointup", Created: fixedDate, Modified: fixedDate}); err != nil {
		return nil, err
	}
	styles, err := newStyles(f)
	if err != nil {
		return nil, err
	}
	for i, t := range tables {
		if i == 0 {
			err = f.SetSheetName("Sheet1", t.Name)
		} else {
			_, err = f.NewSheet(t.Name)
		}
		if err != nil {
			return nil, fmt.Errorf("table %d %q: %w", i+1, t.Name, err)
		}
		if err := write(f, t, styles); err != nil {
			return nil, fmt.Errorf("table %d %q: %w", i+1, t.Name, err)
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		return nil, err
	}
	return packed(b.Bytes())
}

// packed writes the parts of a workbook anew in the order of their names, the
// list of content types first as readers expect it, and without dates: the
// library's order changes from run to run.
func packed(book []byte) ([]byte, error) {
	z, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		return nil, err
	}
	const first = "[Content_Types].xml"
	slices.SortFunc(z.File, func(a, b *zip.File) int {
		if (a.Name == first) != (b.Name == first) {
			if a.Name == first {
				return -1
			}
			return 1
		}
		return strings.Compare(a.Name, b.Name)
	})
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range z.File {
		if err := copyPart(w, f); err != nil {
			return nil, fmt.Errorf("%s: %w", f.Name, err)
		}
	}
	err = w.Close()
	return out.Bytes(), err
}

func copyPart(w *zip.Writer, f *zip.File) error {
	r, err := f.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	to, err := w.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Deflate})
	if err != nil {
		return err
	}
	_, err = io.Copy(to, r)
	return err
}

// fixedDate stands for the date of writing, which would make the bytes differ.
const fixedDate = "2000-01-01T00:00:00Z"

// styles are numbers of the workbook's own cell styles.
type styles struct {
	head    int
	numbers [10]int // by decimals
}

func newStyles(f *excelize.File) (styles, error) {
	var s styles
	var err error
	s.head, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	for d := 0; d < len(s.numbers) && err == nil; d++ {
		format := "0"
		if d > 0 {
			format += "." + strings.Repeat("0", d)
		}
		s.numbers[d], err = f.NewStyle(&excelize.Style{CustomNumFmt: &format})
	}
	return s, err
}

// write streams one table to its sheet.
func write(f *excelize.File, t Table, s styles) error {
	w, err := f.NewStreamWriter(t.Name)
	if err != nil {
		return err
	}
	for i := range t.Columns {
		if err := w.SetColWidth(i+1, i+1, width(t, i)); err != nil {
			return err
		}
	}
	if err := w.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	line := make([]any, len(t.Columns))
	for i, c := range t.Columns {
		line[i] = excelize.Cell{StyleID: s.head, Value: clean(c.Head)}
	}
	if err := w.SetRow("A1", line); err != nil {
		return err
	}
	for r, row := range t.Rows {
		for i, x := range row {
			line[i] = nil
			if x.Number != nil {
				c := t.Columns[i]
				line[i] = excelize.Cell{StyleID: s.numbers[min(max(c.Decimals, 0), 9)], Value: c.rounded(*x.Number)}
			} else if text := clean(x.Text); text != "" {
				line[i] = text
			}
		}
		if err := w.SetRow(fmt.Sprintf("A%d", r+2), line); err != nil {
			return err
		}
	}
	return w.Flush()
}

// width of a column in characters: its longest text, 9 to 60, the heading in two lines.
func width(t Table, col int) float64 {
	n := max(9, utf8.RuneCountInString(t.Columns[col].Head)/2+3)
	for _, row := range t.Rows {
		n = max(n, utf8.RuneCountInString(row[col].Text)+2)
	}
	return float64(min(n, 60))
}
