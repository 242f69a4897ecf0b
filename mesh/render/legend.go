package render

import (
	"math"
	"strconv"
)

// legend explains the colours of a deviation picture.
type legend struct {
	room              rect
	rangeMM           float64
	pitch             int
	over, under, none float64 // shares of the surface
}

// legendTicks is the number of parts on each side of zero.
const legendTicks = 5

func (l legend) paint(p *pen) {
	u := p.u
	x := l.room.x0 + 36*u
	p.text(inkColour(), 24, 0, pt{x, l.room.y0 + 52*u}, "Deviation, mm")
	p.text(paleInk(), 18, 0, pt{x, l.room.y0 + 80*u}, "scan minus ideal, full size")
	p.text(paleInk(), 18, 0, pt{x, l.room.y0 + 104*u}, "+ outside, − inside")
	bar := l.bar(u)
	key, gap := 34*u, 26*u
	l.block(p, rect{bar.x0, bar.y0 - key - gap, bar.x1, bar.y0 - gap}, codeOver)
	l.paintBar(p, bar)
	l.block(p, rect{bar.x0, bar.y1 + gap, bar.x1, bar.y1 + key + gap}, codeUnder)
	tx := bar.x1 + 22*u
	for k := -legendTicks; k <= legendTicks; k++ {
		t := float64(k) / legendTicks
		y := (bar.y0+bar.y1)/2 - t*bar.height()/2
		p.line(inkColour(), 1.4, pt{bar.x1, y}, pt{bar.x1 + 10*u, y})
		p.text(inkColour(), 21, 0, pt{tx, y + 7*u}, signed(t*l.rangeMM))
	}
	end := signed(l.rangeMM)
	p.text(inkColour(), 19, 0, pt{tx, bar.y0 - gap - key/2 - 2*u}, "over "+end)
	p.text(paleInk(), 18, 0, pt{tx, bar.y0 - gap - key/2 + 20*u}, share(l.over)+" of surface")
	p.text(inkColour(), 19, 0, pt{tx, bar.y1 + gap + key/2 - 2*u}, "under "+signed(-l.rangeMM))
	p.text(paleInk(), 18, 0, pt{tx, bar.y1 + gap + key/2 + 20*u}, share(l.under)+" of surface")
	none := rect{bar.x0, bar.y1 + gap + 66*u, bar.x1, bar.y1 + gap + 66*u + key}
	l.block(p, none, 0)
	p.text(inkColour(), 19, 0, pt{tx, none.y0 + key/2 - 2*u}, "no value")
	p.text(paleInk(), 18, 0, pt{tx, none.y0 + key/2 + 20*u}, share(l.none)+" of surface")
}

// bar is where the scale itself stands.
func (l legend) bar(u float64) rect {
	x := l.room.x0 + 36*u
	return rect{math.Round(x), math.Round(l.room.y0 + 200*u), math.Round(x + 46*u), math.Round(l.room.y1 - 170*u)}
}

// paintBar draws the scale row by row, its ends the colours of plus and minus
// the range.
func (l legend) paintBar(p *pen, bar rect) {
	n := int(bar.height())
	for y := range n {
		t := 1 - 2*float64(y)/float64(max(1, n-1))
		c := diverging(t).over()
		for x := int(bar.x0); x < int(bar.x1); x++ {
			p.img.SetRGBA(x, int(bar.y0)+y, c)
		}
	}
	p.frame(inkColour(), 1.6, bar)
}

// block fills r as a surface of that code is filled, hatch included.
func (l legend) block(p *pen, r rect, code uint8) {
	for y := int(r.y0); y < int(r.y1); y++ {
		for x := int(r.x0); x < int(r.x1); x++ {
			p.img.SetRGBA(x, y, valueColour(code, x*subPx, y*subPx, l.pitch).over())
		}
	}
	p.frame(inkColour(), 1.6, r)
}

// signed writes mm with its sign and four digits at most, zero without.
func signed(mm float64) string {
	s := strconv.FormatFloat(math.Abs(mm), 'g', 4, 64)
	if math.Abs(mm) >= 1e-4 && math.Abs(mm) < 1e6 {
		v, err := strconv.ParseFloat(s, 64)
		if err == nil {
			s = strconv.FormatFloat(v, 'f', -1, 64)
		}
	}
	switch {
	case mm > 0:
		return "+" + s
	case mm < 0:
		return "−" + s
	}
	return "0"
}

func share(v float64) string {
	switch {
	case v == 0:
		return "none"
	case v < 0.001:
		return "under 0.1 %"
	}
	return strconv.FormatFloat(100*v, 'f', 1, 64) + " %"
}
