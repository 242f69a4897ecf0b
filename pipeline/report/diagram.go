package report

import (
	_ "embed"
	"math"
	"strconv"
	"strings"

	"pointup/pipeline/result"
)

//go:embed diagram.html
var diagramHTML string

// connections is the section on how the elements meet.
type connections struct {
	Diagram *diagram
	Text    []string
	Tables  []table
}

// diagram is a drawing of boxes and lines, in units of the sheet.
type diagram struct {
	Width, Height int
	Alt           string
	Boxes         []diagramBox
	Lines         []diagramLine
}

type diagramBox struct {
	X, Y, W, H, TextX, Text1, Text2 int
	Name, Kind                      string
}

type diagramLine struct {
	X1, Y1, X2, Y2, MidX, MidY, TextY, Number int
	Dashed                                    bool
}

// connectionsOf is nil where contacts were not looked for.
func connectionsOf(doc result.Document) *connections {
	if doc.Contacts == nil {
		return nil
	}
	c := &connections{}
	if len(doc.Contacts) == 0 {
		c.Text = append(c.Text, "No two elements come near enough to each other to touch.")
	} else {
		c.Diagram = diagramOf(doc)
		c.Tables = append(c.Tables, contactTable(doc))
		c.Text = append(c.Text, "The seam is where the ideal surfaces of two elements meet; its points stand in result.json. It is no design of a weld: which seams are welded, how thick and by whom is for the workshop and a qualified engineer to say.")
	}
	if t := relationTable(doc); len(t.Rows) > 0 {
		c.Tables = append(c.Tables, t)
	}
	return c
}

func contactTable(doc result.Document) table {
	ratio := float64(doc.Scale.Ratio)
	t := table{
		Caption: "Contacts. Seam length on the maquette and at full size; the angle is between axes, between planes, or between an axis and a plane; the gap, at full size, is the least distance of the ideal shapes, negative where they overlap.",
		Head:    []string{"No.", "Elements", "How they meet", "Seam", "Seam, full size", "Angle", "Gap, full size"},
	}
	for i, c := range doc.Contacts {
		angle, gap := noNumber, noNumber
		if c.AngleDeg != nil {
			angle = fixed(float64(*c.AngleDeg), 1) + "°"
		}
		if c.GapMM != nil {
			gap = mm(float64(*c.GapMM)*ratio, 1)
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), clean(c.A) + ", " + clean(c.B), clean(c.Kind),
			mm(float64(c.LengthMM), 1), mm(float64(c.LengthMM)*ratio, 0), angle, gap})
	}
	return t
}

func relationTable(doc result.Document) table {
	t := table{
		Caption: "What elements have in common within the uncertainty of the scan. That does not say that it was meant.",
		Head:    []string{"Relation", "Of", "Elements", "Departure", "Within"},
	}
	for _, r := range doc.Relations {
		who := cleanAll(r.Elements)
		text := strings.Join(who, ", ")
		if len(r.To) > 0 {
			text += " to " + strings.Join(cleanAll(r.To), ", ")
		}
		of := words(strings.TrimSuffix(r.Of, "_mm"))
		switch {
		case r.Value != nil:
			of += ", " + mm(float64(*r.Value), 2)
		case r.Step != nil:
			of += ", steps of " + fixed(float64(*r.Step), 1) + "°"
		}
		unit := "\u00a0" + clean(r.Unit)
		if r.Unit == "deg" {
			unit = "°"
		}
		t.Rows = append(t.Rows, []string{words(r.Kind), of, text, fixed(float64(r.Residual), 3) + unit, fixed(float64(r.Within), 3) + unit})
	}
	return t
}

// Sizes in the diagram, in its units.
const (
	boxHigh    = 42
	letterWide = 7.6
	boxPad     = 18
	edgePad    = 16
)

// diagramOf places the elements by their contacts.
func diagramOf(doc result.Document) *diagram {
	n := len(doc.Elements)
	index := map[string]int{}
	wide := make([]float64, n)
	for i, e := range doc.Elements {
		index[e.ID] = i
		letters := max(len([]rune(title1(e))), len([]rune(words(e.Kind))))
		wide[i] = letterWide*float64(min(letters, 26)) + boxPad
	}
	var links [][2]int
	var kept []int
	for k, c := range doc.Contacts {
		a, oka := index[c.A]
		b, okb := index[c.B]
		if oka && okb && a != b {
			links, kept = append(links, [2]int{a, b}), append(kept, k)
		}
	}
	at := layOut(n, links, wide)
	d := &diagram{Alt: "Diagram of " + count(n, "element", "elements") + " and " + count(len(links), "contact", "contacts") + ", listed in the table below."}
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for i, p := range at {
		lo[0], hi[0] = min(lo[0], p[0]-wide[i]/2), max(hi[0], p[0]+wide[i]/2)
		lo[1], hi[1] = min(lo[1], p[1]-boxHigh/2), max(hi[1], p[1]+boxHigh/2)
	}
	px := func(p [2]float64) (int, int) {
		return int(math.Round(p[0]-lo[0])) + edgePad, int(math.Round(p[1]-lo[1])) + edgePad
	}
	d.Width, d.Height = px(hi)
	d.Width, d.Height = d.Width+edgePad, d.Height+edgePad
	for i, e := range doc.Elements {
		x, y := px(at[i])
		w := int(wide[i])
		d.Boxes = append(d.Boxes, diagramBox{X: x - w/2, Y: y - boxHigh/2, W: w, H: boxHigh, TextX: x, Text1: y - 3, Text2: y + 13,
			Name: shortened(title1(e), 26), Kind: shortened(words(e.Kind), 26)})
	}
	for k, l := range links {
		c := doc.Contacts[kept[k]]
		x1, y1 := px(at[l[0]])
		x2, y2 := px(at[l[1]])
		d.Lines = append(d.Lines, diagramLine{X1: x1, Y1: y1, X2: x2, Y2: y2, MidX: (x1 + x2) / 2, MidY: (y1 + y2) / 2, TextY: (y1+y2)/2 + 4,
			Number: kept[k] + 1, Dashed: c.Kind == "point" || c.Kind == "line"})
	}
	return d
}

func title1(e result.Element) string { return strings.TrimSpace(e.ID + " " + e.Name) }

func shortened(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}
