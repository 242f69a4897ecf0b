package drawings

import (
	"strings"

	"pointup/pipeline/draw"
)

// Sheet margins of ISO 5457: 20 mm to file it by, 10 mm else. The title block is
// 180 mm wide by ISO 7200, or what the sheet leaves.
const (
	fileMM   = 20
	marginMM = 10
	blockMM  = 180
	rowMM    = 9
	bandMM   = 9.5 // of the caution over the block
)

// caution stands on every sheet.
const caution = "PRELIMINARY, for qualified people. Sizes come from a scan and from tables of stock; nothing here has been checked for strength, lifting, " +
	"wind or public access. Verify before cutting; local codes and a licensed engineer decide."

// Block are the fields of the title block that are the same on all sheets.
type Block struct {
	Piece     string // of the whole work
	Number    string // of the document, without the sheet's
	Tolerance string // ISO 13920-BF
	Made      string // by what
}

// entry is what one sheet adds to the block.
type entry struct {
	title, kind, scale string
	material, mass     string
	sheet, of          int
}

// paper is a sheet that is being drawn.
type paper struct {
	*canvas
	wide, high float64
	third      bool
	textMM     float64
	room       box // inside the frame, over the title block
	block      box
}

// newPaper has the frame of a lying sheet.
func newPaper(wide, high float64, third bool, textMM float64) *paper {
	p := &paper{canvas: newCanvas(), wide: wide, high: high, third: third, textMM: textMM}
	p.rectangle(draw.Frame, fileMM, marginMM, wide-fileMM-marginMM, high-2*marginMM)
	w := min(blockMM, wide-fileMM-marginMM)
	p.block = box{[2]float64{wide - marginMM - w, marginMM}, [2]float64{wide - marginMM, marginMM + 4*rowMM + bandMM}}
	p.room = box{[2]float64{fileMM + 4, p.block.hi[1] + 3}, [2]float64{wide - marginMM - 4, high - marginMM - 4}}
	return p
}

// rectangle with its lower left corner at x, y.
func (c *canvas) rectangle(l draw.Layer, x, y, w, h float64) {
	c.items = append(c.items, draw.Item{Layer: l, Shape: draw.Polyline(true, [2]float64{x, y}, [2]float64{x + w, y}, [2]float64{x + w, y + h}, [2]float64{x, y + h})})
	c.box.join(box{[2]float64{x, y}, [2]float64{x + w, y + h}})
}

// lettersMM is the least height of letters on a sheet (ISO 3098 begins at 1.8).
const lettersMM = 1.8

// fitted writes text no wider than room: smaller down to lettersMM, then cut off
// with an ellipsis.
func (c *canvas) fitted(s string, x, y, room, heightMM float64) {
	if s == "" {
		return
	}
	if w := draw.TextWidthMM(s, heightMM); w > room {
		heightMM = max(lettersMM, heightMM*room/w)
	}
	r := []rune(s)
	for len(r) > 1 && draw.TextWidthMM(s, heightMM) > room {
		r = r[:len(r)-1]
		s = strings.TrimRight(string(r), " ,;") + "…"
	}
	c.text(s, x, y, heightMM, false, false)
}

// wrapped breaks text into lines no wider than room.
func wrapped(s string, room, heightMM float64) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(s) {
		next := strings.TrimSpace(line + " " + word)
		if line != "" && draw.TextWidthMM(next, heightMM) > room {
			out, next = append(out, line), word
		}
		line = next
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// cell is a field of the title block.
type cell struct {
	label, value string
	share        float64 // of the row's width
	tall         float64 // of the value's letters
}

// titleBlock has the fields of ISO 7200; those that only people can fill in (legal
// owner, who approved it, date of issue) are left open.
func (p *paper) titleBlock(b Block, e entry) {
	x, w := p.block.lo[0], p.block.wide()
	y := p.block.lo[1]
	rows := [][]cell{
		{{"legal owner", "", 0.3, 2.5}, {"created by", b.Made, 0.22, 2.5}, {"approved by", "", 0.24, 2.5}, {"date of issue", "", 0.24, 2.5}},
		{{"document type", e.kind, 0.3, 2.5}, {"number", b.Number, 0.42, 2.5}, {"revision", "", 0.13, 2.5}, {"sheet", sheetText(e), 0.15, 2.5}},
		{{"title", strings.TrimSuffix(b.Piece+" — "+e.title, " — "), 0.72, 3.5}, {"mass of one", e.mass, 0.28, 2.5}},
		{{"scale", e.scale, 0.16, 3.5}, {"projection", "", 0.17, 2.5}, {"general tolerances", b.Tolerance, 0.27, 2.5}, {"material", e.material, 0.4, 2.5}},
	}
	for _, row := range rows {
		at := x
		for _, c := range row {
			cw := c.share * w
			p.rectangle(draw.Thin, at, y, cw, rowMM)
			p.fitted(c.label, at+1, y+rowMM-2.6, cw-2, lettersMM)
			p.fitted(c.value, at+1.5, y+1.7, cw-3, c.tall)
			if c.label == "projection" {
				p.symbol(at+cw/2+3, y+rowMM/2-1.4)
			}
			at += cw
		}
		y += rowMM
	}
	lines := wrapped(caution, w-3, lettersMM)
	for i, l := range lines {
		p.text(l, x+1.5, y+bandMM-2.9-2.7*float64(i), lettersMM, false, false)
	}
	p.rectangle(draw.Visible, x, p.block.lo[1], w, p.block.high())
}

func sheetText(e entry) string {
	return itoa(e.sheet) + " of " + itoa(e.of)
}

// symbol is the truncated cone of ISO 5456-2: in first angle its end view stands to
// the right of the side view, in third angle to the left.
func (p *paper) symbol(x, y float64) {
	const r, small, long = 2.3, 1.15, 4.6
	side, end := x-6.5, x+3
	if p.third {
		side, end = x, x-5
	}
	p.items = append(p.items,
		draw.Item{Layer: draw.Thin, Shape: draw.Polyline(true, [2]float64{side, y - small}, [2]float64{side + long, y - r}, [2]float64{side + long, y + r}, [2]float64{side, y + small})},
		draw.Item{Layer: draw.Thin, Shape: draw.Circle(end, y, r)}, draw.Item{Layer: draw.Thin, Shape: draw.Circle(end, y, small)},
		draw.Item{Layer: draw.Axis, Shape: draw.Segment(min(side, end-r)-0.8, y, max(side+long, end+r)+0.8, y)},
		draw.Item{Layer: draw.Axis, Shape: draw.Segment(end, y-r-0.8, end, y+r+0.8)})
}
