package sheet

import (
	"bytes"
	"encoding/csv"
	"strconv"
)

// CSV writes one table: UTF-8, commas, lines that end in CR LF (RFC 4180),
// numbers with a decimal point. Errors name table, row and column.
func CSV(t Table) ([]byte, error) {
	if err := t.check(1); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	line := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		line[i] = clean(c.Head)
	}
	if err := w.Write(line); err != nil {
		return nil, err
	}
	for _, row := range t.Rows {
		for i, x := range row {
			line[i] = clean(x.Text)
			if x.Number != nil {
				line[i] = strconv.FormatFloat(t.Columns[i].rounded(*x.Number), 'f', -1, 64)
			}
		}
		if err := w.Write(line); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}
