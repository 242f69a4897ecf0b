package draw

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/goregular"
)

// PDFOptions say on what paper a drawing is printed.
type PDFOptions struct {
	Paper string // one of Papers
}

// papers are sizes in mm, short side first: ISO 216, ANSI/ASME Y14.1, and the
// architectural sizes of US trade.
var papers = []struct {
	name          string
	width, height float64
}{
	{"A4", 210, 297}, {"A3", 297, 420}, {"A2", 420, 594}, {"A1", 594, 841}, {"A0", 841, 1189},
	{"Letter", 215.9, 279.4}, {"Legal", 215.9, 355.6}, {"Tabloid", 279.4, 431.8}, {"Arch C", 457.2, 609.6}, {"Arch D", 609.6, 914.4}, {"Arch E", 914.4, 1219.2},
}

// Papers are the names of paper that are known.
func Papers() []string {
	var out []string
	for _, p := range papers {
		out = append(out, p.name)
	}
	return out
}

// PaperMM is the size of paper by its name, short side first. Error: unknown paper.
func PaperMM(name string) (short, long float64, err error) {
	for _, p := range papers {
		if strings.EqualFold(p.name, name) {
			return p.width, p.height, nil
		}
	}
	return 0, 0, fmt.Errorf("pdf: there is no paper %q; choose from %s", name, strings.Join(Papers(), ", "))
}

// WritePDF writes the drawing 1:1 on as many pages as it takes, each with marks
// by which neighbours are laid on each other, a title strip and a bar of 100 mm
// and 4 in that shows whether it was printed at its size. Pages on which nothing
// falls are left out. The same drawing gives the same bytes. Errors: see Check, a
// drawing that leaves the plane, unknown paper, over 400 pages.
func WritePDF(w io.Writer, d Drawing, opt PDFOptions) error {
	strokes, all, err := d.strokes()
	if err != nil {
		return fmt.Errorf("pdf: %w", err)
	}
	t, err := tile(all, opt.Paper)
	if err != nil {
		return err
	}
	p := &pdfPages{f: newPDF(t.paper, d.Title), tiles: t, drawing: d}
	pages := t.touched(strokes)
	for i, at := range pages {
		p.page(at, i, len(pages), strokes)
	}
	if err := p.f.Output(w); err != nil {
		return fmt.Errorf("pdf: %w", err)
	}
	return nil
}

// newPDF is an empty document with our font and no clock in it.
func newPDF(paper [2]float64, title string) *fpdf.Fpdf {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: paper[0], Ht: paper[1]}})
	f.SetCreationDate(time.Unix(0, 0).UTC())
	f.SetModificationDate(time.Unix(0, 0).UTC())
	f.SetCatalogSort(true)
	f.SetProducer("pointup", false)
	f.SetTitle(printable(title), true)
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.AddUTF8FontFromBytes("go", "", goregular.TTF)
	f.SetLineCapStyle("round")
	f.SetLineJoinStyle("round")
	return f
}

// pdfPages is a document while it is written.
type pdfPages struct {
	f       *fpdf.Fpdf
	tiles   tiles
	drawing Drawing
}

// page draws what falls on one tile.
func (p *pdfPages) page(at [2]int, i, n int, strokes map[Layer][]stroke) {
	p.f.AddPage()
	window := p.tiles.window(at)
	left, top := marginMM, marginMM
	p.f.ClipRect(left, top, p.tiles.field[0], p.tiles.field[1], false)
	place := func(q [2]float64) (x, y float64) { return left + q[0] - window.lo[0], top + window.hi[1] - q[1] }
	for _, l := range p.drawing.used() {
		p.pen(styles[l])
		for _, s := range strokes[l] {
			if s.box().meets(window) {
				p.stroke(s, place)
			}
		}
	}
	p.f.ClipEnd()
	p.pen(style{widthMM: 0.18, colour: [3]uint8{120, 120, 120}})
	p.register(at)
	p.strip(at, i, n)
}

func (p *pdfPages) pen(s style) {
	c := s.colour
	p.f.SetDrawColor(int(c[0]), int(c[1]), int(c[2]))
	p.f.SetTextColor(int(c[0]), int(c[1]), int(c[2]))
	p.f.SetFillColor(int(c[0]), int(c[1]), int(c[2]))
	p.f.SetLineWidth(s.widthMM)
	p.f.SetDashPattern(s.dashMM, 0)
}

// stroke draws arcs as cubic curves of at most 22.5°, which leave the circle by
// under 1e-7 of its radius.
func (p *pdfPages) stroke(s stroke, place func([2]float64) (x, y float64)) {
	if s.label != nil {
		p.label(*s.label, place)
		return
	}
	x, y := place(s.curves[0].a)
	p.f.MoveTo(x, y)
	for _, c := range s.curves {
		if c.sweep == 0 {
			x, y := place(c.b)
			p.f.LineTo(x, y)
			continue
		}
		n := math.Ceil(math.Abs(c.sweep)/(math.Pi/8) - 1e-9)
		step := c.sweep / n
		k := 4.0 / 3 * math.Tan(step/4) * c.radius
		for i := range int(n) {
			from := c.from + float64(i)*step
			s0, c0 := math.Sincos(from)
			s1, c1 := math.Sincos(from + step)
			a, b := c.at(float64(i)/n), c.at(float64(i+1)/n)
			x0, y0 := place([2]float64{a[0] - k*s0, a[1] + k*c0})
			x1, y1 := place([2]float64{b[0] + k*s1, b[1] - k*c1})
			x2, y2 := place(b)
			p.f.CurveBezierCubicTo(x0, y0, x1, y1, x2, y2)
		}
	}
	if s.closed {
		p.f.ClosePath()
	}
	if s.filled {
		p.f.DrawPath("DF")
		return
	}
	p.f.DrawPath("D")
}

func (p *pdfPages) label(t Label, place func([2]float64) (x, y float64)) {
	x, y := place(t.At)
	p.text(x, y, t.HeightMM, t.TurnRad, t.Middle, t.Text)
}

// text writes one line with its foot at x, y of the page.
func (p *pdfPages) text(x, y, heightMM, turnRad float64, middle bool, s string) {
	s = printable(s)
	if s == "" {
		return
	}
	p.f.SetFont("go", "", 1)
	p.f.SetFontUnitSize(heightMM / capsShare)
	dx := 0.0
	if middle {
		dx = -p.f.GetStringWidth(s) / 2
	}
	if turnRad == 0 {
		p.f.Text(x+dx, y, s)
		return
	}
	p.f.TransformBegin()
	p.f.TransformRotate(turnRad*180/math.Pi, x, y)
	p.f.Text(x+dx, y, s)
	p.f.TransformEnd()
}
