package report

import (
	"fmt"
	"strings"

	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
	"pointup/pipeline/sheet"
)

// Sheets are the tables of the workshop, one a purpose: for the workbook and, one
// by one, as CSV. Lengths in mm, and beside them in feet, inches and sixteenths
// where the job shows both.
func Sheets(d result.Document) []sheet.Table {
	var out []sheet.Table
	if d.Stock != nil {
		out = append(out, familySheet(d), partSheet(d), jointSheet(d), decisionSheet(d))
	}
	if d.Shop != nil {
		out = append(out, cutSheet(d), barSheet(d), plateSheet(d), purchaseSheet(d), waysSheet(d))
	}
	if d.Cost != nil {
		out = append(out, costSheet(d))
	}
	return append(append(out, rigSheets(d)...), siteSheets(d)...)
}

// SheetFile is the name of a table's CSV: "Cut list" is cut-list.csv.
func SheetFile(name string) string {
	return strings.ReplaceAll(strings.ToLower(name), " ", "-") + ".csv"
}

func textCell(s string) sheet.Cell               { return sheet.Text(s) }
func joinCell(l result.List[string]) sheet.Cell  { return sheet.Text(strings.Join(l, ", ")) }
func mmCell(x result.MM) sheet.Cell              { return sheet.Number(float64(x)) }
func kgCell(x result.KG) sheet.Cell              { return sheet.Number(float64(x)) }
func column(h string, decimals int) sheet.Column { return sheet.Column{Head: h, Decimals: decimals} }

func maybeCell[T ~float64](x *T) sheet.Cell {
	if x == nil {
		return sheet.Cell{}
	}
	return sheet.Number(float64(*x))
}

func yesCell(b bool) sheet.Cell {
	if b {
		return textCell("yes")
	}
	return textCell("no")
}

// familySheet: what each family is made of and what that does to its size.
func familySheet(d result.Document) sheet.Table {
	t := sheet.Table{Name: "Stock", Columns: []sheet.Column{column("Family", 0), column("Pieces", 0), column("Elements", 0), column("Stock", 0), column("Standard", 0), column("Size list from memory", 0),
		column("Size", 0), column("Scan [mm]", 2), column("± u95 [mm]", 2), column("Scan off the fit, rms [mm]", 2), column("Stock [mm]", 2), column("Change [mm]", 2), column("Change [%]", 2), column("Within the limit", 0),
		column("Nearest", 0), column("Next below", 0), column("Next above", 0), column("Wall", 0), column("Route", 0), column("Mass [kg]", 1)}}
	for _, f := range d.Stock.Families {
		row := []sheet.Cell{textCell(f.Letter), sheet.Count(len(f.Elements)), joinCell(f.Elements), textCell("none"), textCell(""), textCell(""), textCell(f.ChangeOf)}
		if f.Stock != nil {
			row[3], row[4], row[5] = textCell(f.Stock.Mark), textCell(f.Stock.Standard), yesCell(f.Stock.FromMemory)
		}
		scan, u95, stock := sheet.Cell{}, sheet.Cell{}, sheet.Cell{}
		for _, l := range f.Sizes {
			if l.Key == f.ChangeOf {
				scan, u95, stock = mmCell(l.ScanMM), mmCell(l.U95MM), maybeCell(l.StockMM)
			}
		}
		route := ""
		if f.Route != nil {
			route = f.Route.Text
		}
		t.Rows = append(t.Rows, append(row, scan, u95, maybeCell(f.FitRMSMM), stock, mmCell(f.ChangeMM), sheet.Number(100*float64(f.ChangeShare)), yesCell(f.Within),
			textCell(f.Nearest), textCell(f.Below), textCell(f.Above), textCell(f.WhyWall), textCell(route), kgCell(f.MassKG)))
	}
	return t
}

// partSheet: every piece as it will be built.
func partSheet(d result.Document) sheet.Table {
	t := sheet.Table{Name: "Pieces", Columns: []sheet.Column{column("Element", 0), column("Name", 0), column("Mark", 0), column("Kind", 0), column("Stock", 0),
		column("Shift against the scan [mm]", 2), column("Turn [°]", 3), column("Mass [kg]", 1)}}
	for i, p := range d.Stock.Parts {
		e := d.Elements[i]
		t.Rows = append(t.Rows, []sheet.Cell{textCell(p.ID), textCell(e.Name), textCell(p.Mark), textCell(e.Kind), textCell(p.Stock), mmCell(p.ShiftMM), sheet.Number(float64(p.TurnDeg)), maybeCell(p.MassKG)})
	}
	return t
}

// jointSheet: how contacts closed.
func jointSheet(d result.Document) sheet.Table {
	t := sheet.Table{Name: "Fit-up", Columns: []sheet.Column{column("A", 0), column("B", 0), column("Way", 0), column("Gap + or overlap − with stock sizes [mm]", 2), column("left after fit-up [mm]", 2)}}
	for _, j := range d.Stock.Assembly.Joints {
		t.Rows = append(t.Rows, []sheet.Cell{textCell(j.A), textCell(j.B), textCell(j.Way), mmCell(j.BeforeMM), mmCell(j.GapMM)})
	}
	return t
}

// decisionSheet: what somebody has to decide.
func decisionSheet(d result.Document) sheet.Table {
	t := sheet.Table{Name: "Decisions", Columns: []sheet.Column{column("Elements", 0), column("What", 0), column("Taken", 0), column("Way", 0), column("Stock", 0), column("Change [mm]", 2), column("Mass against the way taken [kg]", 1), column("In words", 0)}}
	for _, x := range d.Stock.Decisions {
		for _, w := range x.Ways {
			t.Rows = append(t.Rows, []sheet.Cell{joinCell(x.Elements), textCell(x.What), textCell(x.Taken), textCell(w.Name), textCell(w.Stock), mmCell(w.ChangeMM), kgCell(w.MassKG), textCell(w.Text)})
		}
		if len(x.Ways) == 0 {
			t.Rows = append(t.Rows, []sheet.Cell{joinCell(x.Elements), textCell(x.What), textCell(x.Taken), {}, {}, {}, {}, {}})
		}
	}
	return t
}

// lengthColumns are a length in the units that the job shows, the shop's choice
// first.
func lengthColumns(d result.Document, name string) []sheet.Column {
	switch d.Job.Show.Units {
	case "mm":
		return []sheet.Column{column(name+" [mm]", 1)}
	case "ft-in":
		return []sheet.Column{column(name+" [ft-in]", 0)}
	}
	both := []sheet.Column{column(name+" [mm]", 1), column(name+" [ft-in]", 0)}
	if d.Job.Metal.System == "us" {
		both[0], both[1] = both[1], both[0]
	}
	return both
}

func lengthCells(d result.Document, x *result.MM) []sheet.Cell {
	var out []sheet.Cell
	for _, c := range lengthColumns(d, "") {
		switch {
		case x == nil:
			out = append(out, sheet.Cell{})
		case strings.Contains(c.Head, "ft"):
			out = append(out, textCell(quantity.FeetInches(float64(*x))))
		default:
			out = append(out, mmCell(*x))
		}
	}
	return out
}

// cutSheet is the cut list.
func cutSheet(d result.Document) sheet.Table {
	t := sheet.Table{Name: "Cut list", Columns: []sheet.Column{column("Mark", 0), column("Part of it", 0), column("Quantity", 0), column("Name", 0), column("Elements", 0), column("Stock", 0), column("From", 0)}}
	t.Columns = append(t.Columns, lengthColumns(d, "Cut length")...)
	t.Columns = append(t.Columns, lengthColumns(d, "Width of blank")...)
	t.Columns = append(t.Columns, column("End 1", 0), column("End 2", 0), column("Mass of one [kg]", 2), column("Mass of all [kg]", 1), column("Process", 0), column("Edge cut of one [m]", 2),
		column("Pierces of one", 0), column("Bends of one", 0), column("Order first", 0), column("Notes", 0))
	for _, c := range d.Shop.CutList {
		row := []sheet.Cell{textCell(c.Mark), textCell(c.Of), sheet.Count(c.Quantity), textCell(c.Name), joinCell(c.Elements), textCell(c.Stock), textCell(c.From)}
		row = append(append(row, lengthCells(d, c.LengthMM)...), lengthCells(d, c.WidthMM)...)
		ends := [2]string{}
		copy(ends[:], c.Ends)
		all := sheet.Cell{}
		if c.MassKG != nil {
			all = sheet.Number(float64(*c.MassKG) * float64(c.Quantity))
		}
		row = append(row, textCell(ends[0]), textCell(ends[1]), maybeCell(c.MassKG), all, textCell(strings.Join(c.Processes, ", ")), sheet.Number(float64(c.CutMM)/1000),
			sheet.Count(c.Pierces), sheet.Count(c.Bends), yesCell(c.Lead), textCell(strings.Join(c.Notes, "; ")))
		t.Rows = append(t.Rows, row)
	}
	return t
}

// barSheet: how bars are cut.
func barSheet(d result.Document) sheet.Table {
	t := sheet.Table{Name: "Bars", Columns: []sheet.Column{column("Stock", 0), column("Bars alike", 0), column("Bar [mm]", 0), column("Cuts", 0), column("Left of each [mm]", 0), column("Bought [mm]", 0), column("No plan under [mm]", 0), column("Gap [%]", 2)}}
	for _, n := range d.Shop.Nesting {
		for _, b := range n.Bars {
			var cuts []string
			for _, c := range b.Cuts {
				cuts = append(cuts, fmt.Sprintf("%d × %s at %.1f mm", c.Quantity, c.Mark, float64(c.LengthMM)))
			}
			t.Rows = append(t.Rows, []sheet.Cell{textCell(n.Stock), sheet.Count(b.Count), mmCell(b.StockMM), textCell(strings.Join(cuts, "; ")), mmCell(b.RemnantMM),
				sheet.Number(float64(n.Bought)), sheet.Number(float64(n.Bound)), sheet.Number(100 * float64(n.GapShare))})
		}
	}
	return t
}

// plateSheet: where pieces lie on sheets.
func plateSheet(d result.Document) sheet.Table {
	t := sheet.Table{Name: "Sheets", Columns: []sheet.Column{column("Stock", 0), column("Sheet", 0), column("Sheet length [mm]", 0), column("Sheet width [mm]", 0), column("Mark", 0), column("x [mm]", 1), column("y [mm]", 1),
		column("along x [mm]", 1), column("along y [mm]", 1), column("Turned", 0), column("Yield of the stock [%]", 1)}}
	for _, n := range d.Shop.Nesting {
		for i, s := range n.Sheets {
			for _, p := range s.Pieces {
				t.Rows = append(t.Rows, []sheet.Cell{textCell(n.Stock), sheet.Count(i + 1), mmCell(s.LengthMM), mmCell(s.WidthMM), textCell(p.Mark), mmCell(p.AtMM[0]), mmCell(p.AtMM[1]), mmCell(p.LengthMM), mmCell(p.WidthMM), yesCell(p.Turned), sheet.Number(100 * float64(n.Yield))})
			}
		}
	}
	return t
}

// purchaseSheet: what is bought, long-lead things first.
func purchaseSheet(d result.Document) sheet.Table {
	t := sheet.Table{Name: "Purchase", Columns: []sheet.Column{column("Order first", 0), column("Stock", 0), column("Standard", 0), column("Count", 0), column("Length [mm]", 0), column("Width [mm]", 0), column("Mass of all [kg]", 1), column("For", 0)}}
	for _, p := range d.Shop.Purchase {
		width := sheet.Cell{}
		if p.WidthMM > 0 {
			width = mmCell(p.WidthMM)
		}
		t.Rows = append(t.Rows, []sheet.Cell{yesCell(p.Lead), textCell(p.Stock), textCell(p.Standard), sheet.Count(p.Count), mmCell(p.LengthMM), width, kgCell(p.MassKG), joinCell(p.For)})
	}
	return t
}

// waysSheet: simpler ways to make pieces, with what they do to the look.
func waysSheet(d result.Document) sheet.Table {
	t := sheet.Table{Name: "Simplify", Columns: []sheet.Column{column("Mark", 0), column("Way", 0), column("Visible change [mm]", 1), column("Mass of one [kg]", 1), column("Hours of one [h]", 2), column("In words", 0)}}
	for _, s := range d.Shop.Simplify {
		t.Rows = append(t.Rows, []sheet.Cell{textCell(s.Mark), textCell(s.Way), mmCell(s.ChangeMM), kgCell(s.MassKG), sheet.Number(float64(s.Hours)), textCell(s.Text)})
	}
	return t
}

// costSheet is the estimate.
func costSheet(d result.Document) sheet.Table {
	money := "Money"
	if d.Cost.Currency != "" {
		money += " [" + d.Cost.Currency + "]"
	}
	t := sheet.Table{Name: "Cost", Columns: []sheet.Column{column("What", 0), column("Quantity", 2), column("Unit", 0), column("Hours [h]", 2), column(money, 2)}}
	for _, l := range d.Cost.Lines {
		t.Rows = append(t.Rows, []sheet.Cell{textCell(l.What), sheet.Number(float64(l.Quantity)), textCell(l.Unit), sheet.Number(float64(l.Hours)), maybeCell(l.Money)})
	}
	t.Rows = append(t.Rows, []sheet.Cell{textCell("all"), {}, {}, sheet.Number(float64(d.Cost.Hours)), maybeCell(d.Cost.Money)},
		[]sheet.Cell{textCell("low"), {}, {}, sheet.Number(float64(d.Cost.HoursLow)), maybeCell(d.Cost.MoneyLow)},
		[]sheet.Cell{textCell("high"), {}, {}, sheet.Number(float64(d.Cost.HoursHigh)), maybeCell(d.Cost.MoneyHigh)})
	return t
}
