package shop

import (
	"math"
	"strings"

	"pointup/pipeline/sheet"
	"pointup/pipeline/stock"
)

// BuildUp puts the plates of wheels with stepped faces in the place of their one
// line.
func (l *List) BuildUp(parts []stock.Part, plates []stock.Size) {
	var out []Line
	for _, x := range l.Lines {
		plies, err := builtLine(x, parts, plates)
		if err != nil {
			x.Notes = append(x.Notes, err.Error())
		}
		if len(plies) == 0 {
			out = append(out, x)
			continue
		}
		for _, p := range plies {
			y := x
			y.Of, y.Stock, y.MassKG, y.Notes = p.Of, p.Stock, p.NetKG, []string{"one plate of a built-up wheel: see patterns/plies.csv"}
			y.LengthMM, y.WidthMM, y.AreaMM2 = max(p.BoxMM[0], p.BoxMM[1]), min(p.BoxMM[0], p.BoxMM[1]), p.NetMM2
			y.CutMM, y.Pierces, y.Processes = p.CutMM, p.Pierces, []string{cutter(p.Stock.ThicknessMM)}
			if p.ThicknessMM < p.Stock.ThicknessMM-1e-9 {
				y.Processes = append(y.Processes, "machined")
			}
			out = append(out, y)
		}
	}
	l.Lines = out
}

// builtLine are the plies of a line; none where it is no built-up wheel.
func builtLine(x Line, parts []stock.Part, plates []stock.Size) ([]Ply, error) {
	if x.From != "plate" || x.Of != "" || len(x.Parts) == 0 {
		return nil, nil
	}
	p := parts[x.Parts[0]]
	if len(p.Lands) < 2 || !isPlate(x.Stock) {
		return nil, nil
	}
	whole, err := FlatOf(p, DefaultFlatOptions())
	if err != nil {
		return nil, err
	}
	return WheelPlies(whole, p, plates, DefaultFlatOptions())
}

// PlyTable lists the plates of built-up pieces in the order in which they are laid.
func PlyTable(list []Ply) sheet.Table {
	t := sheet.Table{Name: "Plies", Columns: []sheet.Column{{Head: "Mark"}, {Head: "Name"}, {Head: "What"}, {Head: "By the scan [mm]", Decimals: 1}, {Head: "Stock"}, {Head: "Thickness [mm]", Decimals: 1},
		{Head: "Length [mm]", Decimals: 1}, {Head: "Width [mm]", Decimals: 1}, {Head: "Mass [kg]", Decimals: 2}, {Head: "Plug welds"}, {Head: "Plug hole [mm]", Decimals: 0}, {Head: "Notes"}}}
	for _, p := range list {
		n, wide := 0, sheet.Cell{}
		for _, o := range p.Openings {
			if o.For == plugWeld {
				n++
				wide = known(o.WidthMM)
			}
		}
		t.Rows = append(t.Rows, []sheet.Cell{sheet.Text(p.Mark), sheet.Text(p.Name), sheet.Text(p.Of), known(p.WantMM), sheet.Text(p.Stock.Mark), known(p.ThicknessMM),
			known(math.Max(p.BoxMM[0], p.BoxMM[1])), known(math.Min(p.BoxMM[0], p.BoxMM[1])), known(p.NetKG), sheet.Count(n), wide, sheet.Text(strings.Join(p.Notes, "; "))})
	}
	return t
}
