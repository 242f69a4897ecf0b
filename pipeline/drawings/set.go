package drawings

import (
	"fmt"
	"io"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/draw"
)

// Set is all that a set of shop drawings is made of.
type Set struct {
	Block    Block
	Paper    string // one of draw.Papers; it lies
	Options  Options
	Marks    []Mark // every piece, in SITE
	Families []Family
	Pieces   Table                   // list of pieces
	Allowed  func(mm float64) string // tolerance of a length
}

// Family is a sheet: pieces that are made alike under one mark.
type Family struct {
	Mark, Name, Stock, Material, Mass string
	IDs                               []string
	Piece                             *Piece // nil where it has no solid
	Flat                              *Flat
	Tables                            []Table
	Notes                             []string
}

// Flat is a developed pattern, at full size.
type Flat struct {
	Title  string
	Shapes []draw.Item
}

// textSheetMM is the height of dimensions on sheets: they stay legible when the
// sheet is printed at half its size.
const textSheetMM = 3

// Write writes the set as PDF: the whole with the list of pieces, a sheet a family,
// the setting-out sheet. The same set gives the same bytes. Errors: unknown paper,
// or paper that is too small for a title block.
func Write(w io.Writer, s Set) error {
	pages, err := s.pages()
	if err != nil {
		return err
	}
	var sheets []draw.Drawing
	for _, p := range pages {
		sheets = append(sheets, draw.Drawing{Title: s.Block.Piece, Items: p.items})
	}
	return draw.WriteSheets(w, s.Block.Piece+", shop drawings", s.Paper, sheets)
}

// page is a sheet with what its title block says.
type page struct {
	*paper
	entry
}

// pages are the sheets in their order.
func (s Set) pages() ([]page, error) {
	short, long, err := draw.PaperMM(s.Paper)
	if err != nil {
		return nil, err
	}
	if short < 200 {
		return nil, fmt.Errorf("drawings: paper %s is too small for a title block; choose A4 or Letter, or larger", s.Paper)
	}
	s.Options.TextMM = textSheetMM
	if long < 400 {
		s.Options.TextMM = 2.5
	}
	wr := writer{s.Options.Units, s.Options.FeetFirst}
	blank := func() *paper { return newPaper(long, short, s.Options.Third, s.Options.TextMM) }
	var pages []page
	add := func(p *paper, e entry) { pages = append(pages, page{p, e}) }
	s.cover(blank, wr, add)
	for _, f := range s.Families {
		p := blank()
		add(p, s.family(p, f))
	}
	if len(s.Marks) > 0 {
		s.settingOut(blank, wr, add)
	}
	for i, p := range pages {
		p.sheet, p.of = i+1, len(pages)
		p.titleBlock(s.Block, p.entry)
	}
	return pages, nil
}

// listMM is the width of the list of pieces beside the views.
const listMM = 128

// cover draws the whole and lists its pieces, on further sheets what finds no room.
func (s Set) cover(blank func() *paper, wr writer, add func(*paper, entry)) {
	p := blank()
	e := entry{kind: "shop drawing, preliminary", title: "general arrangement"}
	room := p.room
	list := min(listMM, room.wide()*0.42)
	rows := 0
	views := room
	if p.room.wide()-list > 90 {
		views.hi[0] -= list + 4
		views.lo[1] = marginMM + 4
		if views.hi[0] > p.block.lo[0] {
			views.lo[1] = p.block.hi[1] + 3
		}
		_, rows = p.table(s.Pieces, room.hi[0]-list, room.hi[1], list, room.high())
	}
	lo, hi := extent(s.Marks)
	if k := scaleOf(lo, hi, views.wide(), views.high()); len(s.Marks) > 0 && k > 0 {
		e.scale = scaleText(k)
		w := newWhole(s.Marks, k, s.Options.Third, front, beside, plan)
		if left := p.drawWhole(w, wr, views); len(left) > 0 {
			for i, l := range wrapped("marks that stand in the list only: "+strings.Join(left, ", "), 90, 2) {
				p.text(l, fileMM+3, marginMM+12-3*float64(i), 2, false, false)
			}
		}
	}
	add(p, e)
	s.goesOn(blank, add, entry{kind: "list of pieces", title: "list of pieces"}, s.Pieces.from(rows))
}

// goesOn puts tables, as far as they have rows left, on further sheets, in columns.
func (s Set) goesOn(blank func() *paper, add func(*paper, entry), e entry, tables ...Table) {
	for _, t := range tables {
		for len(t.Rows) > 0 {
			p := blank()
			columns := max(1, int(p.room.wide()/columnMM/1.3))
			each := p.room.wide()/float64(columns) - 3
			for c := 0; c < columns && len(t.Rows) > 0; c++ {
				_, n := p.table(t, p.room.lo[0]+float64(c)*(each+3), p.room.hi[1], each, p.room.high())
				if n == 0 {
					return
				}
				t = t.from(n)
			}
			add(p, e)
		}
	}
}

// columnMM is the width of a column of tables.
const columnMM = 97

// family is the sheet of one mark: views, developed pattern, tables at its foot.
func (s Set) family(p *paper, f Family) entry {
	e := entry{kind: "shop drawing, preliminary", title: strings.TrimSpace(f.Mark + " " + f.Name), material: strings.TrimPrefix(f.Stock+", "+f.Material, ", "), mass: f.Mass}
	top := p.foot(f)
	room := box{[2]float64{p.room.lo[0], max(p.room.lo[1], top+4)}, p.room.hi}
	head := strings.TrimSpace(fmt.Sprintf("%s   %s", f.Mark, f.Name)) + fmt.Sprintf("   %d off: %s", len(f.IDs), strings.Join(f.IDs, ", "))
	p.fitted(head, room.lo[0], room.hi[1]-4, room.wide(), 5)
	room.hi[1] -= 9
	views := room
	if f.Flat != nil {
		views.hi[0] = room.lo[0] + 0.56*room.wide()
		p.flat(*f.Flat, writer{s.Options.Units, s.Options.FeetFirst}, box{[2]float64{views.hi[0] + 6, room.lo[1]}, room.hi})
	}
	if f.Piece == nil {
		p.text("no solid model: see its picture and the notes of the report", views.lo[0]+5, (views.lo[1]+views.hi[1])/2, 3.5, false, false)
		return e
	}
	k, err := SketchOf(*f.Piece, s.Options, views.wide(), views.high())
	if err != nil {
		p.fitted(err.Error(), views.lo[0]+5, (views.lo[1]+views.hi[1])/2, views.wide()-10, 3)
		return e
	}
	e.scale = k.Scale
	p.add(k.canvas, [2]float64{(views.lo[0] + views.hi[0] - k.WideMM) / 2, (views.lo[1] + views.hi[1] - k.HighMM) / 2})
	return e
}

// foot draws the tables and notes of a family left of the title block, in columns,
// and returns how high they reach.
func (p *paper) foot(f Family) float64 {
	wide := p.block.lo[0] - fileMM - 4
	columns := max(1, int(wide/columnMM))
	each := wide/float64(columns) - 3
	limit := p.wide * 0.24 // no more than about a third of the sheet's height
	var heights []float64
	var notes []string
	for _, n := range f.Notes {
		notes = append(notes, wrapped("• "+n, each, 2)...)
	}
	noteMM := 3.2*float64(len(notes)) + 2
	for _, t := range f.Tables {
		heights = append(heights, min(tableMM(t), limit))
	}
	at := make([]float64, columns) // how high each column is filled
	place := make([][2]float64, len(heights))
	for i, h := range heights {
		c := 0
		for k := range at {
			if at[k] < at[c] {
				c = k
			}
		}
		place[i] = [2]float64{float64(c), at[c]}
		at[c] += h + 3
	}
	c := 0
	for k := range at {
		if at[k] < at[c] {
			c = k
		}
	}
	base := marginMM + 3.0
	x := func(c float64) float64 { return fileMM + 3 + c*(each+3) }
	for i, t := range f.Tables {
		p.table(t, x(place[i][0]), base+place[i][1]+heights[i], each, heights[i]+0.1)
	}
	for i, n := range notes {
		p.text(n, x(float64(c)), base+at[c]+noteMM-3.2*float64(i+1), 2, false, false)
	}
	if len(notes) > 0 {
		at[c] += noteMM
	}
	top := base
	for _, h := range at {
		top = max(top, base+h)
	}
	return top
}

// flat draws a developed pattern at the largest scale that fits, with its length
// and width.
func (p *paper) flat(f Flat, wr writer, room box) {
	b := noBox()
	for _, s := range f.Shapes {
		lo, hi := draw.Box(s.Shape)
		b.join(box{lo, hi})
	}
	const around = 16
	for _, k := range scales() {
		if b.wide()/k > room.wide()-around || b.high()/k > room.high()-around-8 {
			continue
		}
		o := box{[2]float64{b.lo[0] / k, b.lo[1] / k}, [2]float64{b.hi[0] / k, b.hi[1] / k}}
		c := newCanvas()
		c.box.join(o)
		for _, s := range f.Shapes {
			if scaled := scaledShape(s.Shape, 1/k); scaled != nil {
				c.items = append(c.items, draw.Item{Layer: s.Layer, Shape: scaled})
			}
		}
		for _, d := range [...]struct {
			s  side
			to [2]float64
			mm float64
		}{{below, [2]float64{o.hi[0], o.lo[1]}, b.wide()}, {left, [2]float64{o.lo[0], o.hi[1]}, b.high()}} {
			t := wr.length(d.mm)
			c.beside([]span{{from: o.lo, to: d.to, text: t, width: draw.TextWidthMM(t, p.textMM)}}, d.s, o, p.textMM)
		}
		c.text(fmt.Sprintf("%s (%s)", f.Title, scaleText(k)), (o.lo[0]+o.hi[0])/2, c.box.hi[1]+3, p.textMM, true, false)
		p.add(c, [2]float64{(room.lo[0] + room.hi[0] - c.box.lo[0] - c.box.hi[0]) / 2, (room.lo[1] + room.hi[1] - c.box.lo[1] - c.box.hi[1]) / 2})
		return
	}
}

// scaledShape is a shape times k, nil for one that a pattern's outline does not
// have.
func scaledShape(s draw.Shape, k float64) draw.Shape {
	switch s := s.(type) {
	case draw.Line:
		return draw.Line{A: r3.Scale(k, s.A), B: r3.Scale(k, s.B)}
	case draw.Arc:
		s.Centre, s.RadiusMM = r3.Scale(k, s.Centre), k*s.RadiusMM
		return s
	case draw.Contour:
		out := draw.Contour{Closed: s.Closed}
		for _, v := range s.Vertices {
			out.Vertices = append(out.Vertices, draw.Vertex{At: [2]float64{k * v.At[0], k * v.At[1]}, SweepRad: v.SweepRad})
		}
		return out
	}
	return nil
}

// groundMM is how far over the ground a piece still stands on it.
const groundMM = 10

// settingOut is the plan with the datum and numbered points of what stands on the
// ground, a table of them, and the heights of all pieces.
func (s Set) settingOut(blank func() *paper, wr writer, add func(*paper, entry)) {
	p := blank()
	e := entry{kind: "setting-out drawing, preliminary", title: "setting-out"}
	points, checks := s.groundPoints(wr)
	heights := s.heightTable(wr)
	list := min(150.0, p.room.wide()*0.5)
	x, top := p.room.hi[0]-list, p.room.hi[1]
	for _, t := range []*Table{&points, &checks, &heights} {
		if room := top - p.room.lo[1]; room >= min(tableMM(*t), 6*lineMM) {
			took, n := p.table(*t, x, top, list, room)
			*t = t.from(n)
			top -= took + 3
		}
	}
	views := p.room
	views.hi[0] = x - 4
	if views.hi[0] < p.block.lo[0] {
		views.lo[1] = marginMM + 4
	}
	lo, hi := extent(s.Marks)
	for _, k := range scales() {
		wide, high := (max(hi.X, 0)-min(lo.X, 0))/k+40, (max(hi.Y, 0)-min(lo.Y, 0))/k+40
		if wide > views.wide() || high > views.high() {
			continue
		}
		e.scale = scaleText(k)
		w := newWhole(s.Marks, k, s.Options.Third, plan)
		at := [2]float64{(views.lo[0]+views.hi[0])/2 - (lo.X+hi.X)/2/k, (views.lo[1]+views.hi[1])/2 - (lo.Y+hi.Y)/2/k}
		for _, line := range project(w.bodies, w.views[0].view, finenessMM*k, false).paths {
			p.path(line, draw.Outline, k, at)
		}
		p.datum(at, max(hi.X, -lo.X)/k+8, max(hi.Y, -lo.Y)/k+8)
		for i, q := range s.ground() {
			c := [2]float64{at[0] + q.at.X/k, at[1] + q.at.Y/k}
			for _, sh := range draw.Cross(c[0], c[1], 3) {
				p.items = append(p.items, draw.Item{Layer: draw.Thin, Shape: sh})
			}
			p.keepOff([2]float64{c[0] - 1.5, c[1]}, [2]float64{c[0] + 1.5, c[1]})
			p.leader(c, 0.5, [2]float64{q.at.X + 1, q.at.Y + 1}, fmt.Sprintf("P%d", i+1), p.textMM, views, nil)
		}
		break
	}
	add(p, e)
	e.scale = ""
	s.goesOn(blank, add, e, points, checks, heights)
}

// datum is the origin of SITE with its axes.
func (p *paper) datum(at [2]float64, x, y float64) {
	p.line(draw.Axis, [2]float64{at[0] - x, at[1]}, [2]float64{at[0] + x, at[1]})
	p.line(draw.Axis, [2]float64{at[0], at[1] - y}, [2]float64{at[0], at[1] + y})
	p.arrow([2]float64{at[0] + x, at[1]}, 0)
	p.arrow([2]float64{at[0], at[1] + y}, math.Pi/2)
	p.text("X", at[0]+x+1.5, at[1]-p.textMM/2, p.textMM, false, false)
	p.text("Y", at[0]-1, at[1]+y+1.5, p.textMM, false, false)
	p.items = append(p.items, draw.Item{Layer: draw.Thin, Shape: draw.Circle(at[0], at[1], 1.5)})
	p.texts = append(p.texts, box{[2]float64{at[0] - 2, at[1] - 2}, [2]float64{at[0] + 2, at[1] + 2}})
}
