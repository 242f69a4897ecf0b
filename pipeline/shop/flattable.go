package shop

import (
	"math"
	"strings"

	"pointup/pipeline/sheet"
)

func known(x float64) sheet.Cell {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return sheet.Cell{}
	}
	return sheet.Number(x)
}

// FlatTable lists patterns with what a cutter quotes by.
func FlatTable(flats []Flat) sheet.Table {
	t := sheet.Table{Name: "Flat patterns", Columns: []sheet.Column{{Head: "Mark"}, {Head: "Name"}, {Head: "Kind"}, {Head: "Thickness [mm]", Decimals: 2},
		{Head: "Length [mm]", Decimals: 1}, {Head: "Width [mm]", Decimals: 1}, {Head: "Cut [mm]", Decimals: 1}, {Head: "Pierces"}, {Head: "Net area [mm2]", Decimals: 0}, {Head: "Net mass [kg]", Decimals: 2},
		{Head: "Gross mass [kg]", Decimals: 2}, {Head: "Narrowest hole [mm]", Decimals: 1}, {Head: "Least web [mm]", Decimals: 1}, {Head: "Can be cut by"}, {Head: "Warnings"}, {Head: "Notes"}}}
	for _, f := range flats {
		var by, warnings []string
		for _, v := range f.Cutting {
			if v.Fit {
				by = append(by, v.Process)
			}
			for _, x := range v.Warnings {
				warnings = append(warnings, v.Process+": "+x)
			}
		}
		t.Rows = append(t.Rows, []sheet.Cell{sheet.Text(f.Mark), sheet.Text(f.Name), sheet.Text(f.Kind), known(f.ThicknessMM),
			known(math.Max(f.BoxMM[0], f.BoxMM[1])), known(math.Min(f.BoxMM[0], f.BoxMM[1])), known(f.CutMM), sheet.Count(f.Pierces), known(f.NetMM2), known(f.NetKG),
			known(f.GrossKG), known(f.HoleMM), known(f.WebMM), sheet.Text(strings.Join(by, ", ")), sheet.Text(strings.Join(warnings, "; ")), sheet.Text(strings.Join(f.Notes, "; "))})
	}
	return t
}

// BendTable lists straights and bends of each piece in order, a coil in one row.
// Notes stand in a piece's first row.
func BendTable(list []Forming) sheet.Table {
	t := sheet.Table{Name: "Bends", Columns: []sheet.Column{{Head: "Mark"}, {Head: "Name"}, {Head: "Section [mm]", Decimals: 1}, {Head: "Wall [mm]", Decimals: 1}, {Head: "Step"}, {Head: "What"},
		{Head: "Starts at [mm]", Decimals: 1}, {Head: "Length on centreline [mm]", Decimals: 1}, {Head: "Centreline radius [mm]", Decimals: 1}, {Head: "Sweep [deg]", Decimals: 2},
		{Head: "Turn of plane [deg]", Decimals: 2}, {Head: "Template chord [mm]", Decimals: 1}, {Head: "Rise [mm]", Decimals: 2}, {Head: "Pitch [mm]", Decimals: 1}, {Head: "Lead angle [deg]", Decimals: 2}, {Head: "Inside diameter [mm]", Decimals: 1}, {Head: "Notes"}}}
	for _, f := range list {
		var say []string
		for _, c := range f.Checks {
			if !c.Passed {
				say = append(say, c.What+" too small for "+c.KindOfTool+" ("+c.Source+"): "+c.Advice)
			}
		}
		notes := sheet.Text(strings.Join(append(say, f.Notes...), "; "))
		head := []sheet.Cell{sheet.Text(f.Mark), sheet.Text(f.Name), known(f.SectionMM), wall(f.WallMM)}
		for i, b := range f.Steps {
			row := append(append([]sheet.Cell(nil), head...), sheet.Count(i+1), sheet.Text("straight"), known(b.StartMM), known(b.LengthMM))
			if b.Arc {
				row[5] = sheet.Text("bend")
				row = append(row, known(b.RadiusMM), known(b.SweepDeg), known(b.TurnDeg), known(b.ChordMM), known(b.RiseMM))
			} else {
				row = append(row, make([]sheet.Cell, 5)...)
			}
			if i > 0 {
				notes = sheet.Cell{}
			}
			t.Rows = append(t.Rows, append(row, sheet.Cell{}, sheet.Cell{}, sheet.Cell{}, notes))
		}
		if h := f.Helix; h != nil {
			row := append(append([]sheet.Cell(nil), head...), sheet.Count(1), sheet.Text(h.Hand+"-hand coil"), known(0), known(f.DevelopedMM), known(h.CurveMM), known(360*h.Turns))
			t.Rows = append(t.Rows, append(row, sheet.Cell{}, sheet.Cell{}, sheet.Cell{}, known(h.PitchMM), known(h.LeadDeg), known(h.MandrelMM), notes))
		}
	}
	return t
}

func wall(mm float64) sheet.Cell {
	if mm <= 0 {
		return sheet.Cell{}
	}
	return known(mm)
}

// TeethTable sets out the teeth of wheels from their first one.
func TeethTable(list []WheelWork) sheet.Table {
	t := sheet.Table{Name: "Teeth", Columns: []sheet.Column{{Head: "Mark"}, {Head: "Name"}, {Head: "Tooth"}, {Head: "Angle [deg]", Decimals: 4}, {Head: "Chord from tooth 1 at root [mm]", Decimals: 2},
		{Head: "Chord from tooth 1 at tip [mm]", Decimals: 2}, {Head: "Round the root from tooth 1 [mm]", Decimals: 2}, {Head: "x at root [mm]", Decimals: 2}, {Head: "y at root [mm]", Decimals: 2}, {Head: "Notes"}}}
	for _, w := range list {
		for i, p := range w.Places {
			notes := sheet.Cell{}
			if i == 0 {
				notes = sheet.Text(strings.Join(w.Notes, "; "))
			}
			t.Rows = append(t.Rows, []sheet.Cell{sheet.Text(w.Mark), sheet.Text(w.Name), sheet.Count(p.Tooth), known(p.AngleDeg), known(p.RootChordMM), known(p.TipChordMM), known(p.RootArcMM), known(p.XMM), known(p.YMM), notes})
		}
	}
	return t
}

// SaddleTable lists the ordinates of saddles and mitres by station.
func SaddleTable(saddles []Saddle, mitres []Mitre) sheet.Table {
	t := sheet.Table{Name: "Saddles and mitres", Columns: []sheet.Column{{Head: "Piece"}, {Head: "On"}, {Head: "Outside [mm]", Decimals: 1}, {Head: "Header [mm]", Decimals: 1}, {Head: "Angle [deg]", Decimals: 2},
		{Head: "Off centre [mm]", Decimals: 1}, {Head: "Station"}, {Head: "Round the piece [mm]", Decimals: 1}, {Head: "Ordinate [mm]", Decimals: 1}, {Head: "From header axis [mm]", Decimals: 1}, {Head: "Angle of faces [deg]", Decimals: 1}, {Head: "Notes"}}}
	for _, x := range saddles {
		for i, a := range x.Stations {
			notes := sheet.Cell{}
			if i == 0 {
				notes = sheet.Text(strings.Join(x.Notes, "; "))
			}
			t.Rows = append(t.Rows, []sheet.Cell{sheet.Text(x.Branch), sheet.Text(x.Header), known(x.BranchMM), known(x.HeaderMM), known(x.AngleDeg), known(x.OffsetMM),
				sheet.Count(a.Number), known(a.GirthMM), known(a.DropMM), known(a.FromAxisMM), known(a.FaceDeg), notes})
		}
	}
	for _, m := range mitres {
		for i, h := range m.StationsMM {
			row := []sheet.Cell{sheet.Text(m.Part), sheet.Text("plane, end " + string(rune('0'+m.End))), known(m.OutsideMM), {}, known(m.AngleDeg), {}, sheet.Count(i + 1),
				known(math.Pi * m.OutsideMM * float64(i) / float64(len(m.StationsMM))), known(h), {}, {}, {}}
			t.Rows = append(t.Rows, row)
		}
	}
	return t
}
