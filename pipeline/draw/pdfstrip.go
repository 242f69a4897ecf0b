package draw

import "fmt"

// register draws crosses where the corners of this tile and its neighbours meet,
// and lines along which a page may be cut to be laid over the next.
func (p *pdfPages) register(at [2]int) {
	t := p.tiles
	x := [2]float64{marginMM + overlapMM/2, marginMM + t.field[0] - overlapMM/2}
	y := [2]float64{marginMM + overlapMM/2, marginMM + t.field[1] - overlapMM/2}
	ends := [2][2]bool{{at[0] > 0, at[0] < t.columns-1}, {at[1] > 0, at[1] < t.rows-1}}
	const arm = 4
	for i := range 2 {
		for k := range 2 {
			if !ends[0][i] && !ends[1][k] {
				continue
			}
			p.f.Line(x[i]-arm, y[k], x[i]+arm, y[k])
			p.f.Line(x[i], y[k]-arm, x[i], y[k]+arm)
			p.f.Circle(x[i], y[k], arm/2, "D")
		}
	}
}

// Check bar, mm: its length in both systems of units.
const (
	barMM   = 100.0
	barInMM = 4 * 25.4
)

// strip writes the foot of the page: check bar, title, scale, which page it is.
func (p *pdfPages) strip(at [2]int, i, n int) {
	top := p.tiles.paper[1] - marginMM - stripMM
	right := p.tiles.paper[0] - marginMM
	p.pen(style{widthMM: 0.35})
	p.f.Line(marginMM, top+1, right, top+1)
	p.bar(top + 6)
	left := marginMM + barInMM + 8
	lines := append([]string{p.drawing.Title}, p.drawing.Notes...)
	y := top + 5
	for k, l := range lines {
		h := 2.0
		if k == 0 {
			h = 2.6
		}
		if k == 6 {
			break
		}
		p.fitted(left, y, right-left, h, l)
		y += 3.3
	}
	tile := ""
	if p.tiles.columns*p.tiles.rows > 1 {
		tile = fmt.Sprintf(", column %d of %d, row %d of %d from the top; lay crosses on crosses", at[0]+1, p.tiles.columns, at[1]+1, p.tiles.rows)
	}
	p.fitted(left, top+stripMM-1, right-left, 2, fmt.Sprintf("scale 1:1, full size; page %d of %d%s", i+1, n, tile))
}

// bar is a scale with both lengths from one zero. Whoever prints measures it.
func (p *pdfPages) bar(y float64) {
	p.f.Line(marginMM, y, marginMM+barMM, y)
	for k := range 11 {
		h := 1.5
		if k%5 == 0 {
			h = 3
		}
		p.f.Line(marginMM+10*float64(k), y, marginMM+10*float64(k), y-h)
	}
	y += 7
	p.f.Line(marginMM, y, marginMM+barInMM, y)
	for k := range 9 {
		h := 1.5
		if k%2 == 0 {
			h = 3
		}
		p.f.Line(marginMM+12.7*float64(k), y, marginMM+12.7*float64(k), y+h)
	}
	p.text(marginMM, y-3, 2, 0, false, "100 mm")
	p.text(marginMM, y+6, 2, 0, false, "4 in")
	p.text(marginMM, y+10, 2, 0, false, "Measure both bars: print at 100 %, no fitting to the page.")
}

// fitted writes a line no wider than room, smaller where it must be.
func (p *pdfPages) fitted(x, y, room, heightMM float64, s string) {
	s = printable(s)
	p.f.SetFont("go", "", 1)
	p.f.SetFontUnitSize(heightMM / capsShare)
	if w := p.f.GetStringWidth(s); w > room {
		heightMM *= room / w
	}
	p.text(x, y, heightMM, 0, false, s)
}
