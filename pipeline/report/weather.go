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
	p.Tables = append(p.Tables, waterTables(w)...)
	if len(w.Pockets) == 0 {
		p.Text = append(p.Text, "No pocket was found that would hold rain.")
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
	if m := w.Metal; m != nil {
		p.Text = append(p.Text, fmt.Sprintf("In full sun and still air of %s °C the metal may reach %s °C.", fixed(m.AirC, 0), fixed(m.MetalC, 0)))
		p.Tables = append(p.Tables, burnTable(m))
		p.List = append(p.List, prefixed("Hot metal: ", m.Says)...)
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

// waterTables are pockets, closed room between pieces, and where run-off lands.
func waterTables(w *site.Weather) []table {
	var out []table
	if len(w.Pockets)+len(w.Cavities) > 0 {
		t := table{Caption: "Where water stands, and room that nothing drains. Places in mm of the site, z over the ground.", Head: []string{"Pieces", "Litres", "Depth, mm", "Brim, mm over the ground", "Lowest place, mm", "What to do"}}
		for _, x := range w.Pockets {
			t.Rows = append(t.Rows, []string{list(x.IDs, 4), fixed(x.VolumeL, 2), fixed(x.DepthMM, 0), fixed(x.LevelMM, 0), placeMM(x.LowestMM), sentence(x.Advice)})
		}
		for _, x := range w.Cavities {
			t.Rows = append(t.Rows, []string{list(x.IDs, 4), fixed(x.VolumeL, 2), noNumber, noNumber, placeMM(x.AtMM), "Closed room between pieces: weld it tight all round, or drain and vent it; vent it before galvanising."})
		}
		out = append(out, t)
	}
	if len(w.Streaks) > 0 {
		t := table{Caption: "Where rain that ran over a piece lands on the plinth or the ground, most first: rust and dirt will mark it. A litre a millimetre of rain on each m².", Head: []string{"From", "On", "Around, mm", "Length, mm", "Rain of, m²"}}
		for i, x := range w.Streaks {
			if i < wallsShown {
				t.Rows = append(t.Rows, []string{x.From, x.On, placeMM(x.AtMM), fixed(x.LengthMM, 0), fixed(x.RainM2, 2)})
			}
		}
		out = append(out, t)
	}
	return out
}

func burnTable(m *site.InTheSun) table {
	t := table{Caption: "Burns of bare skin on bare metal (ISO 13732-1).", Head: []string{"Touch of", "From, °C", "Reached in the sun", "Source at hand"}}
	for _, b := range m.Burns {
		reached, source := "no", "quoted page"
		if b.Reached {
			reached = "yes"
		}
		if b.FromMemory {
			source = "from memory"
		}
		t.Rows = append(t.Rows, []string{fixed(b.Seconds, 1) + " s", fixed(b.FromC, 0), reached, source})
	}
	return t
}

func placeMM(p [3]float64) string {
	return fixed(p[0], 0) + ", " + fixed(p[1], 0) + ", " + fixed(p[2], 0)
}
