package report

import (
	"strings"

	"pointup/pipeline/result"
	"pointup/pipeline/sheet"
	"pointup/pipeline/site"
)

// siteSheets are the tables of weather and public access.
func siteSheets(d result.Document) []sheet.Table {
	var out []sheet.Table
	if d.Weather != nil {
		out = append(out, weatherSheet(d.Weather), waterSheet(d.Weather))
	}
	if d.Access != nil {
		out = append(out, accessSheet(d.Access))
	}
	return out
}

// weatherSheet has a row a piece that has a surface.
func weatherSheet(w *site.Weather) sheet.Table {
	t := sheet.Table{Name: "Weather", Columns: []sheet.Column{column("Piece", 0), column("Outside [m²]", 3), column("Inside [m²]", 3), column("Thickness [mm]", 2), column("Exposed faces", 0), column("Loss a face [mm]", 2),
		column("Left at the end of life [mm]", 2), column("Bore [mm]", 1), column("Volume inside [l]", 2), column("Closed", 0), column("Vent hole at each end [mm]", 0), column("Vent holes at each end", 0), column("What to do", 0)}}
	walls, hollows := map[string]site.WallLeft{}, map[string]site.Hollow{}
	if w.Corrosion != nil {
		for _, x := range w.Corrosion.Walls {
			walls[x.ID] = x
		}
	}
	for _, h := range w.Hollows {
		hollows[h.ID] = h
	}
	for _, s := range w.Coating.Pieces {
		row := []sheet.Cell{textCell(s.ID), sheet.Number(s.OutsideM2), sheet.Number(s.InsideM2), {}, {}, {}, {}, {}, {}, {}, {}, {}, {}}
		if x, ok := walls[s.ID]; ok {
			row[3], row[4], row[5], row[6] = sheet.Number(x.ThicknessMM), sheet.Count(x.Faces), sheet.Number(x.LossMM), sheet.Number(x.LeftMM)
		}
		if h, ok := hollows[s.ID]; ok {
			row[7], row[8], row[9], row[10], row[11], row[12] = sheet.Number(h.BoreMM), sheet.Number(h.VolumeL), yesCell(h.Closed), sheet.Number(h.VentMM), sheet.Count(h.VentCount), textCell(h.Advice)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// waterSheet has a row a pocket, a closed room between pieces, and a streak.
func waterSheet(w *site.Weather) sheet.Table {
	t := sheet.Table{Name: "Water", Columns: []sheet.Column{column("What", 0), column("Pieces", 0), column("x [mm]", 0), column("y [mm]", 0), column("z [mm]", 0), column("Volume [l]", 2), column("Depth [mm]", 0), column("Brim [mm]", 0),
		column("Length [mm]", 0), column("Rain of [m²]", 3), column("What to do", 0)}}
	row := func(what, pieces string, at [3]float64) []sheet.Cell {
		return append([]sheet.Cell{textCell(what), textCell(pieces), sheet.Number(at[0]), sheet.Number(at[1]), sheet.Number(at[2])}, make([]sheet.Cell, 6)...)
	}
	for _, x := range w.Pockets {
		r := row("pocket", strings.Join(x.IDs, ", "), x.LowestMM)
		r[5], r[6], r[7], r[10] = sheet.Number(x.VolumeL), sheet.Number(x.DepthMM), sheet.Number(x.LevelMM), textCell(x.Advice)
		t.Rows = append(t.Rows, r)
	}
	for _, x := range w.Cavities {
		r := row("closed room", strings.Join(x.IDs, ", "), x.AtMM)
		r[5] = sheet.Number(x.VolumeL)
		t.Rows = append(t.Rows, r)
	}
	for _, x := range w.Streaks {
		r := row("run-off on "+x.On, x.From, x.AtMM)
		r[8], r[9] = sheet.Number(x.LengthMM), sheet.Number(x.RainM2)
		t.Rows = append(t.Rows, r)
	}
	return t
}

// accessSheet has a row an opening, a reached ledge, an end, a piece with sharp edges.
func accessSheet(a *site.Access) sheet.Table {
	t := sheet.Table{Name: "Public access", Columns: []sheet.Column{column("What", 0), column("Pieces", 0), column("Count", 0), column("x [mm]", 0), column("y [mm]", 0), column("z [mm]", 0), column("Size [mm]", 1), column("Angle [°]", 1),
		column("Edges [m]", 2), column("Bounded", 0), column("May catch", 0), column("Within reach", 0), column("Passes", 0)}}
	row := func(what, pieces string, n int, at [3]float64) []sheet.Cell {
		return append([]sheet.Cell{textCell(what), textCell(pieces), sheet.Count(n), sheet.Number(at[0]), sheet.Number(at[1]), sheet.Number(at[2])}, make([]sheet.Cell, 7)...)
	}
	for _, o := range a.Openings {
		ids := o.ID
		if o.With != "" {
			ids += ", " + o.With
		}
		r := row(o.What, ids, o.Count, o.AtMM)
		if o.AcrossMM > 0 {
			r[6] = sheet.Number(o.AcrossMM)
		}
		if o.AngleDeg > 0 {
			r[7] = sheet.Number(o.AngleDeg)
		}
		r[9], r[10], r[11] = textCell(o.Bounded), textCell(o.Traps), yesCell(o.Reached)
		t.Rows = append(t.Rows, r)
	}
	for _, l := range a.Ledges {
		what := "foothold"
		if l.Stands {
			what = "place to stand"
		}
		r := row(what, l.ID, 1, l.AtMM)
		r[6], r[11], r[12] = sheet.Number(l.WideMM), yesCell(l.Reached), textCell(l.Falls)
		t.Rows = append(t.Rows, r)
	}
	for _, x := range a.Protrusions {
		r := row(x.What, x.ID, x.Count, x.AtMM)
		r[6], r[11], r[12] = sheet.Number(x.SizeMM), yesCell(true), textCell("ring gauge")
		t.Rows = append(t.Rows, r)
	}
	for _, x := range a.Edges {
		r := []sheet.Cell{textCell("sharp edges"), textCell(x.ID), sheet.Count(x.Corners), {}, {}, sheet.Number(x.LowMM), {}, {}, sheet.Number(x.EdgeM), {}, {}, yesCell(true), {}}
		t.Rows = append(t.Rows, r)
	}
	return t
}
