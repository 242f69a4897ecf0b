package report

import (
	"fmt"
	"strconv"

	"pointup/pipeline/site"
)

// accessPart is what people may be caught, cut or burnt by, and fall from. Its drawing
// numbers the openings as the table does.
func accessPart(a *site.Access) part {
	p := part{ID: "access", Heading: "What people may be caught in, cut by and fall from", Text: []string{sentence(a.Preliminary), sentence(a.Code),
		fmt.Sprintf("Within reach: %s for a head. Footholds lead up to %s mm over the ground; the highest place to stand that is reached lies at %s mm.", count(a.Trapping, "opening", "openings"), fixed(a.ClimbMM, 0), fixed(a.FallMM, 0))}}
	if m := a.Metal; m != nil {
		p.Text = append(p.Text, fmt.Sprintf("In the sun the metal may reach %s °C; a table of burns stands under Rain, air and sun.", fixed(m.MetalC, 0)))
	}
	var marks []mark
	t := table{Caption: "Openings in a published range; numbers as in the drawing. Places in mm of the site, z over the ground.",
		Head: []string{"No.", "Pieces", "What", "Count", "Across, mm", "Angle", "Bounded", "Lowest place, mm", "May catch", "Within reach"}}
	for i, o := range a.Openings {
		across, angle, reach := noNumber, noNumber, "no"
		if o.AcrossMM > 0 {
			across = fixed(o.AcrossMM, 0)
		}
		if o.AngleDeg > 0 {
			angle = fixed(o.AngleDeg, 0) + "°"
		}
		if o.Reached {
			reach = "yes"
		}
		id := o.ID
		if o.With != "" {
			id += ", " + o.With
		}
		number := strconv.Itoa(i + 1)
		marks = append(marks, mark{number, o.AtMM})
		t.Rows = append(t.Rows, []string{number, id, o.What, fmt.Sprint(o.Count), across, angle, o.Bounded, placeMM(o.AtMM), o.Traps, reach})
	}
	if len(t.Rows) > 0 {
		p.Tables = []table{t}
		p.Drawings = placesDrawing(a.Shadows, marks, "Where the openings are, on the outlines of the pieces of stock, each drawn as its convex hull.")
	} else {
		p.Text = append(p.Text, "No opening in a published range was found among those that are looked at.")
	}
	p.Tables = append(p.Tables, climbTables(a)...)
	p.Tables = append(p.Tables, edgeTables(a)...)
	p.List = append(prefixed("Basis: ", a.Basis), prefixed("Not covered: ", a.NotCovered)...)
	return p
}

// climbTables are what is stood on, then what only holds a foot, by piece.
func climbTables(a *site.Access) []table {
	stand := table{Caption: "Places to stand that are reached from the ground.", Head: []string{"Piece", "Height, mm", "Around, mm", "Size in plan, mm", "Passes"}}
	foot := table{Caption: "Footholds that are reached from the ground, by piece.", Head: []string{"Piece", "Footholds", "From, mm over the ground", "To, mm"}}
	var order []string
	low, high, n := map[string]float64{}, map[string]float64{}, map[string]int{}
	for _, l := range a.Ledges {
		if !l.Reached {
			continue
		}
		if l.Stands {
			stand.Rows = append(stand.Rows, []string{l.ID, fixed(l.HeightMM, 0), placeMM(l.AtMM), fixed(l.LongMM, 0) + " × " + fixed(l.WideMM, 0), orDash(l.Falls)})
			continue
		}
		if n[l.ID] == 0 {
			order = append(order, l.ID)
			low[l.ID] = l.HeightMM
		}
		n[l.ID], high[l.ID] = n[l.ID]+1, l.HeightMM
	}
	for _, id := range order {
		foot.Rows = append(foot.Rows, []string{id, strconv.Itoa(n[id]), fixed(low[id], 0), fixed(high[id], 0)})
	}
	return withRows(stand, foot)
}

func edgeTables(a *site.Access) []table {
	ends := table{Caption: "Ends and teeth within reach that stand out through a ring gauge.", Head: []string{"Piece", "What", "Count", "Size, mm", "Stands out, mm", "Gauge, mm", "Place of one, mm"}}
	for _, x := range a.Protrusions {
		ends.Rows = append(ends.Rows, []string{x.ID, x.What, strconv.Itoa(x.Count), fixed(x.SizeMM, 1), fixed(x.OutMM, 0), fixed(x.GaugeMM, 1), placeMM(x.AtMM)})
	}
	edges := table{Caption: "Edges within reach, sharp as cut: to be rounded.", Head: []string{"Piece", "Edges, m", "Corners", "From, mm over the ground", "To, mm"}}
	for i, x := range a.Edges {
		if i < wallsShown {
			edges.Rows = append(edges.Rows, []string{x.ID, fixed(x.EdgeM, 1), strconv.Itoa(x.Corners), fixed(x.LowMM, 0), fixed(x.HighMM, 0)})
		}
	}
	return withRows(ends, edges)
}

func withRows(list ...table) []table {
	var out []table
	for _, t := range list {
		if len(t.Rows) > 0 {
			out = append(out, t)
		}
	}
	return out
}
