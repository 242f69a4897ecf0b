package report

import (
	"fmt"

	"pointup/pipeline/site"
)

// weatherPart is what rain, air and sun do to the work.
func weatherPart(w *site.Weather) part {
	p := part{ID: "weather", Heading: "Rain, air and sun", Text: []string{sentence(w.Preliminary)}}
	if c := w.Corrosion; c != nil {
		p.Text = append(p.Text, fmt.Sprintf("%s over %s years, %s: %s mm off each exposed face.", c.Category, fixed(c.LifeYears, 0), c.Finish, fixed(c.LossMM, 2)))
		p.Tables = append(p.Tables, wallTable(c))
		p.List = append(p.List, prefixed("Corrosion: ", c.Says)...)
	}
	if len(w.Hollows) > 0 {
		p.Tables = append(p.Tables, hollowTable(w.Hollows))
	}
	c := w.Coating
	p.Text = append(p.Text, fmt.Sprintf("To blast and coat: %s m² outside, %s m² inside open pieces, %s m² inside closed ones; %s litres of paint for the outside.",
		fixed(c.OutsideM2, 1), fixed(c.InsideM2, 1), fixed(c.ClosedM2, 1), fixed(c.PaintL, 1)))
	p.List = append(p.List, prefixed("Coating: ", c.Says)...)
	if g := w.Growth; g != nil {
		text := fmt.Sprintf("From %s to %s °C the work grows %s mm along x, %s mm along y and %s mm in height; %s, the longest piece, %s mm.", fixed(g.ColdC, 0), fixed(g.HotC, 0), fixed(g.WholeMM[0], 1), fixed(g.WholeMM[1], 1), fixed(g.WholeMM[2], 1), g.Longest, fixed(g.PieceMM, 1))
		if g.FeetMM > 0 {
			text += fmt.Sprintf(" Between its outermost feet: %s mm.", fixed(g.FeetMM, 1))
		}
		p.Text = append(p.Text, text)
		p.List = append(p.List, prefixed("Growth: ", g.Says)...)
	}
	p.List = append(p.List, prefixed("Basis: ", w.Basis)...)
	p.List = append(p.List, prefixed("Not covered: ", w.NotCovered)...)
	return p
}

// wallsShown is how many pieces stand in the report; all are in the workbook.
const wallsShown = 12

func wallTable(c *site.Corrosion) table {
	t := table{Caption: "What is left of the thinnest walls at the end of that life; all pieces are in the workbook.", Head: []string{"Piece", "Thickness, mm", "Exposed faces", "Loss a face, mm", "Left, mm"}}
	for i, w := range c.Walls {
		if i < wallsShown {
			t.Rows = append(t.Rows, []string{w.ID, fixed(w.ThicknessMM, 1), fmt.Sprint(w.Faces), fixed(w.LossMM, 2), fixed(w.LeftMM, 2)})
		}
	}
	return t
}

func hollowTable(list []site.Hollow) table {
	t := table{Caption: "Hollow pieces. Vent holes for galvanising: a quarter of the section's diagonal, 10 mm at least (Galvanizers Association of Australia, design manual); the galvaniser decides.",
		Head: []string{"Piece", "Bore, mm", "Litres", "Open ends", "From, to mm over the ground", "Hole at each end, mm", "What to do"}}
	for _, h := range list {
		ends := fmt.Sprint(h.OpenEnds)
		if h.Closed {
			ends = "closed"
		}
		hole := fixed(h.VentMM, 0)
		if h.VentCount > 1 {
			hole = fmt.Sprintf("%d × %s", h.VentCount, hole)
		}
		t.Rows = append(t.Rows, []string{h.ID, fixed(h.BoreMM, 1), fixed(h.VolumeL, 1), ends, fixed(h.LowestMM, 0) + ", " + fixed(h.HighestMM, 0), hole, sentence(h.Advice)})
	}
	return t
}
