package render

import "strings"

// layout is where things go on a sheet, in pixels.
type layout struct {
	frame   rect // the ruled border
	drawing rect // inside it, above the title strip
}

// ruleSheet draws the border and the title strip and returns what is left.
func ruleSheet(p *pen, s Sheet) layout {
	w, h, u := float64(s.WidthPx), float64(s.HeightPx), p.u
	l := layout{frame: rect{26 * u, 26 * u, w - 26*u, h - 26*u}}
	strip := rect{l.frame.x0, l.frame.y1 - 92*u, l.frame.x1, l.frame.y1}
	l.drawing = rect{l.frame.x0, l.frame.y0, l.frame.x1, strip.y0}
	p.frame(inkColour(), 2.4, l.frame)
	p.line(inkColour(), 1.6, pt{strip.x0, strip.y0}, pt{strip.x1, strip.y0})
	left := strip.x0 + 24*u
	note := plain(s.Note)
	noteRoom := 0.44 * strip.width()
	note = p.shorten(20, noteRoom, note)
	room := strip.width() - 72*u
	if note != "" {
		room -= p.width(20, note) + 24*u
	}
	p.text(inkColour(), 32, 0, pt{left, strip.y0 + 42*u}, p.shorten(32, room, plain(s.Title)))
	p.text(paleInk(), 22, 0, pt{left, strip.y0 + 74*u}, p.shorten(22, room, plain(s.Subtitle)))
	if note != "" {
		x := strip.x1 - 48*u - p.width(20, note)
		p.line(inkColour(), 1.2, pt{x, strip.y0}, pt{x, strip.y1})
		p.text(inkColour(), 20, 1, pt{strip.x1 - 24*u, strip.y0 + 74*u}, note)
	}
	return l
}

// plain turns line breaks and control characters into spaces.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)
}
