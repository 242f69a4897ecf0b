package drawings

import (
	"strconv"
	"strings"

	"pointup/pipeline/draw"
)

func itoa(n int) string { return strconv.Itoa(n) }

// Table is a list on a sheet; widths are shares of its width.
type Table struct {
	Title  string
	Heads  []string
	Shares []float64
	Rows   [][]string
}

// lineMM is the height of a row of a table.
const lineMM = 4.6

// table draws what of a table fits, from the upper left corner down, and returns
// the height it took and how many rows it drew.
func (p *paper) table(t Table, x, top, wide, high float64) (tookMM float64, rows int) {
	y := top - lineMM
	p.fitted(t.Title, x+0.5, y+1.4, wide-1, 2.5)
	line := func(cells []string) {
		y -= lineMM
		at := x
		for i, s := range cells {
			w := wide * t.Shares[i]
			p.fitted(s, at+1, y+1.4, w-2, 2)
			at += w
		}
		p.items = append(p.items, draw.Item{Layer: draw.Thin, Shape: draw.Segment(x, y, x+wide, y)})
	}
	upper := y
	line(t.Heads)
	p.items = append(p.items, draw.Item{Layer: draw.Visible, Shape: draw.Segment(x, y, x+wide, y)})
	for _, r := range t.Rows {
		if top-(y-lineMM) > high {
			break
		}
		line(r)
		rows++
	}
	p.rectangle(draw.Thin, x, y, wide, upper-y)
	at := x
	for _, s := range t.Shares[:len(t.Shares)-1] {
		at += wide * s
		p.items = append(p.items, draw.Item{Layer: draw.Thin, Shape: draw.Segment(at, y, at, upper)})
	}
	return top - y, rows
}

// tableMM is the height that a table takes.
func tableMM(t Table) float64 { return lineMM * float64(len(t.Rows)+2) }

// from is what is left of a table after its first n rows.
func (t Table) from(n int) Table {
	t.Rows = t.Rows[min(n, len(t.Rows)):]
	if n > 0 && !strings.HasSuffix(t.Title, ", continued") {
		t.Title += ", continued"
	}
	return t
}
