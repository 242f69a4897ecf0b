package pipeline

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pointup/pipeline/draw"
	"pointup/pipeline/drawings"
	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
	"pointup/pipeline/shop"
	"pointup/pipeline/stock"
)

// shopDrawings is the name of the set of drawings in the output folder.
const shopDrawings = "drawings/shop-drawings.pdf"

// writeShopDrawings writes the set, on A3 or Tabloid: half of it is A4 or Letter,
// on which it can still be read.
func (w *work) writeShopDrawings(folder *result.Folder) error {
	if w.metal == nil || len(w.metal.assembly.Parts) == 0 {
		return nil
	}
	var b bytes.Buffer
	if err := drawings.Write(&b, w.drawingSet()); err != nil {
		return fmt.Errorf("%s: %w", shopDrawings, err)
	}
	return folder.Write(shopDrawings, b.Bytes())
}

func (w *work) drawingSet() drawings.Set {
	class := shop.ClassOf(w.job.Limits.Work)
	s := drawings.Set{Paper: "A3", Options: w.drawingOptions(textMM),
		Block: drawings.Block{Piece: cmp.Or(w.job.Piece, w.soup.File), Number: slug(cmp.Or(w.job.Piece, w.soup.File)) + "-SD", Tolerance: w.job.Limits.Work, Made: "pointup"},
		Allowed: func(mm float64) string {
			t, err := shop.LinearMM(class, mm)
			if err != nil {
				return ""
			}
			return "± " + quantity.Decimal(t, 1) + " mm"
		},
	}
	if s.Options.Third {
		s.Paper = "Tabloid"
	}
	pieces := map[string]drawings.Piece{}
	for _, p := range w.drawnPieces() {
		pieces[p.Part.ID] = p
		s.Marks = append(s.Marks, drawings.Mark{Mark: w.markOf(p.Part.ID), Piece: p})
	}
	s.Pieces = drawings.Table{Title: "Pieces", Heads: []string{"Mark", "Off", "Name", "Stock", "kg each", "Elements"}, Shares: []float64{0.09, 0.07, 0.22, 0.3, 0.12, 0.2}}
	for _, g := range w.byMark() {
		f := w.familySheet(g, s.Allowed)
		if p, ok := pieces[f.IDs[0]]; ok {
			f.Piece = &p
		}
		s.Families = append(s.Families, f)
		s.Pieces.Rows = append(s.Pieces.Rows, []string{f.Mark, fmt.Sprint(len(f.IDs)), f.Name, cmp.Or(f.Stock, "none in the tables"), strings.TrimSuffix(f.Mass, " kg"), strings.Join(f.IDs, ", ")})
	}
	return s
}

// slug is text as a drawing's number takes it.
func slug(s string) string {
	s = strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, s)
	return strings.ToUpper(strings.Trim(s, "-"))
}

// markOf is what the floor calls an element: its piece mark, or its id where no
// family holds it.
func (w *work) markOf(id string) string {
	if i := w.indexOf(id); i >= 0 {
		return cmp.Or(w.metal.list.Marks[i], id)
	}
	return id
}

// marked are the pieces of one mark, and their lines of the cut list.
type marked struct {
	mark  string
	parts []int
	lines []shop.Line
}

// byMark are all pieces in the order of the cut list; those in no family follow.
func (w *work) byMark() []marked {
	var out []marked
	add := func(mark string, parts []int, lines ...shop.Line) {
		for i := range out {
			if out[i].mark == mark {
				out[i].lines = append(out[i].lines, lines...)
				return
			}
		}
		out = append(out, marked{mark, parts, lines})
	}
	for _, l := range w.metal.list.Lines {
		add(l.Mark, l.Parts, l)
	}
	for i, p := range w.metal.assembly.Parts {
		if w.metal.list.Marks[i] == "" {
			add(p.ID, []int{i})
		}
	}
	return out
}

// rowsMost are the most rows of a table of bends or holes on a sheet.
const rowsMost = 12

// notesMost are the most notes on a sheet.
const notesMost = 6

func (w *work) familySheet(g marked, allowed func(float64) string) drawings.Family {
	first := g.parts[0]
	p := w.metal.assembly.Parts[first]
	f := drawings.Family{Mark: g.mark, Name: p.Name, Material: w.job.Metal.Grade, Stock: w.metal.stockOf(first)}
	for _, i := range g.parts {
		f.IDs = append(f.IDs, w.metal.assembly.Parts[i].ID)
	}
	if kg := w.metal.massKG[first]; kg > 0 {
		f.Mass = quantity.Decimal(kg, 1) + " kg"
	}
	length := w.lengthText()
	f.Tables = append(f.Tables, sizeTable(p, length, allowed))
	for _, l := range g.lines {
		f.Tables = append(f.Tables, cutTable(l, length))
		f.Notes = append(f.Notes, l.Notes...)
	}
	if form, err := shop.FormingOf(p, templateMM); err == nil && (p.Kind == "arc" || p.Kind == "coil" || p.Kind == "ring") && !shop.IsFlat(p) {
		f.Tables = append(f.Tables, bendTable(form, length))
		f.Notes = append(f.Notes, form.Notes...)
	}
	if len(p.Holes) > 0 {
		f.Tables = append(f.Tables, placeTable(p, length))
	}
	if p.Kind == "rolled_plate" || p.Kind == "cone" {
		if flat, err := shop.FlatOf(p, shop.DefaultFlatOptions()); err == nil {
			f.Flat = &drawings.Flat{Title: "developed on the middle of the wall", Shapes: flatShapes(flat)}
			f.Notes = append(f.Notes, flat.Notes...)
		}
	}
	slices.Sort(f.Notes)
	f.Notes = slices.Compact(f.Notes)
	f.Notes = f.Notes[:min(len(f.Notes), notesMost)]
	return f
}

// lengthText prints lengths as the job shows them.
func (w *work) lengthText() func(float64) string {
	opt := w.drawingOptions(textMM)
	return func(mm float64) string { return drawings.LengthText(opt, mm) }
}

// sizeTable are the sizes of a piece with what ISO 13920 allows them.
func sizeTable(p stock.Part, length func(float64) string, allowed func(float64) string) drawings.Table {
	t := drawings.Table{Title: "Sizes, as stock", Heads: []string{"Size", "Nominal", "±"}, Shares: []float64{0.38, 0.4, 0.22}}
	for _, d := range p.Dims {
		name, mm := strings.CutSuffix(d.Key, "_mm")
		name, deg := strings.CutSuffix(name, "_deg")
		name = strings.ReplaceAll(name, "_", " ")
		switch {
		case d.Count:
			t.Rows = append(t.Rows, []string{name, quantity.Decimal(d.Value, 0), ""})
		case mm && strings.HasPrefix(d.Key, "pitch_error"), strings.HasPrefix(d.Key, "seat_"), d.Key == "tooth_width_mm":
		case mm && millSize(p, d.Key):
			t.Rows = append(t.Rows, []string{name, length(d.Value), "of the stock"})
		case mm:
			t.Rows = append(t.Rows, []string{name, length(d.Value), allowed(d.Value)})
		case deg:
			t.Rows = append(t.Rows, []string{name, quantity.Decimal(d.Value, 2) + "°", ""})
		case name == "turns":
			t.Rows = append(t.Rows, []string{name, quantity.Decimal(d.Value, 2), ""})
		}
		if len(t.Rows) == rowsMost {
			break
		}
	}
	return t
}

// millSize tells whether a size of a piece comes with the stock: the workshop
// answers for the others.
func millSize(p stock.Part, key string) bool {
	switch key {
	case "thickness_mm", "wall_mm", "section_diameter_mm", "section_bore_mm":
		return true
	case "outside_diameter_mm", "inside_diameter_mm":
		return p.Kind == "tube" || p.Kind == "bar"
	}
	return false
}

// cutTable is one line of the cut list.
func cutTable(l shop.Line, length func(float64) string) drawings.Table {
	t := drawings.Table{Title: strings.TrimSpace("Cut " + l.Of), Heads: []string{"What", ""}, Shares: []float64{0.38, 0.62}}
	add := func(what, value string) {
		if value != "" {
			t.Rows = append(t.Rows, []string{what, value})
		}
	}
	add("stock", l.Stock.Mark)
	add("quantity", fmt.Sprint(l.Quantity))
	if l.LengthMM > 0 {
		add("cut length", length(l.LengthMM))
	}
	if l.WidthMM > 0 {
		add("width of blank", length(l.WidthMM))
	}
	if l.From == "bar" {
		add("ends", strings.Join(l.Ends[:], "; "))
	}
	add("process", strings.Join(l.Processes, ", "))
	if l.CutMM > 0 {
		add("edge cut, pierces", fmt.Sprintf("%.2f m, %d", l.CutMM/1000, l.Pierces))
	}
	if l.MassKG > 0 {
		add("mass of one", quantity.Decimal(l.MassKG, 2)+" kg")
	}
	return t
}

// bendTable has straights and bends in order, or the helix.
func bendTable(f shop.Forming, length func(float64) string) drawings.Table {
	if h := f.Helix; h != nil {
		return drawings.Table{Title: "Winding", Heads: []string{"What", ""}, Shares: []float64{0.45, 0.55}, Rows: [][]string{
			{"hand, turns", h.Hand + ", " + quantity.Decimal(h.Turns, 2)}, {"pitch", length(h.PitchMM)}, {"lead angle", quantity.Decimal(h.LeadDeg, 2) + "°"},
			{"mandrel less spring-back", "Ø " + length(h.MandrelMM)}, {"developed length", length(f.DevelopedMM)}}}
	}
	t := drawings.Table{Title: "Bending along the centreline, " + length(f.DevelopedMM) + ", in mm", Heads: []string{"", "from", "length", "R", "sweep", "turn"}, Shares: []float64{0.06, 0.22, 0.22, 0.22, 0.14, 0.14}}
	bend := 0
	for _, s := range f.Steps {
		row := []string{"—", quantity.Decimal(s.StartMM, 1), quantity.Decimal(s.LengthMM, 1), "", "", ""}
		if s.Arc {
			bend++
			row[0], row[3], row[4], row[5] = fmt.Sprint(bend), quantity.Decimal(s.RadiusMM, 1), quantity.Decimal(s.SweepDeg, 2)+"°", quantity.Decimal(s.TurnDeg, 1)+"°"
		}
		t.Rows = append(t.Rows, row)
		if len(t.Rows) == rowsMost {
			break
		}
	}
	return t
}

// placeTable has the holes of a flat or rolled piece.
func placeTable(p stock.Part, length func(float64) string) drawings.Table {
	t := drawings.Table{Title: "Holes, u and v from the middle", Heads: []string{"No.", "u", "v", "Size"}, Shares: []float64{0.07, 0.25, 0.25, 0.43}}
	if p.Kind == "rolled_plate" {
		t.Title = "Holes, u along the developed length, v across it from the middle"
	}
	for i, h := range p.Holes {
		size := h.Shape
		if h.Shape == "round" {
			size = "Ø " + length(h.DiameterMM)
		} else if h.AcrossMM[0] > 0 {
			size += fmt.Sprintf(" %s × %s mm, %s°", quantity.Decimal(h.AcrossMM[0], 1), quantity.Decimal(h.AcrossMM[1], 1), quantity.Decimal(h.AngleDeg, 1))
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(i + 1), length(h.CentreMM[0]), length(h.CentreMM[1]), size})
		if len(t.Rows) == rowsMost {
			t.Title += fmt.Sprintf("; %d of %d, all in the pattern", rowsMost, len(p.Holes))
			break
		}
	}
	return t
}

// flatShapes are the outlines of a pattern, its bend lines with them.
func flatShapes(f shop.Flat) []draw.Item {
	out := []draw.Item{{Layer: draw.Visible, Shape: loopShape(f.Outer)}}
	for _, o := range f.Openings {
		out = append(out, draw.Item{Layer: draw.Visible, Shape: loopShape(o.Loop)})
	}
	for _, l := range f.Lines {
		if l.Layer == draw.Bend {
			out = append(out, draw.Item{Layer: draw.Hidden, Shape: l.Shape})
		}
	}
	return out
}

func loopShape(l shop.Loop) draw.Shape {
	if l.RadiusMM > 0 {
		return draw.Circle(l.CentreMM[0], l.CentreMM[1], l.RadiusMM)
	}
	return l.Contour
}
