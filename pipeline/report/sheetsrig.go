package report

import (
	"strconv"

	"pointup/pipeline/result"
	"pointup/pipeline/sheet"
)

// rigSheets are the tables of joints, build order, tapes, masses and lifts.
func rigSheets(d result.Document) []sheet.Table {
	var out []sheet.Table
	if len(d.Joints) > 0 {
		out = append(out, jointListSheet(d))
	}
	if d.Order != nil {
		out = append(out, stepSheet(d.Order), tapeSheet(d.Order))
	}
	if d.Order != nil || d.Sections != nil {
		out = append(out, benchSheet(d))
	}
	if d.Rig != nil {
		out = append(out, massSheet(d.Rig), liftSheet(d.Rig), turnSheet(d.Rig))
	}
	if d.Revision != nil {
		out = append(out, revisionSheet(d.Revision))
	}
	if d.Sections != nil && len(d.Sections.Sections) > 0 {
		out = append(out, sectionSheet(d.Sections), routeSheet(d.Sections))
	}
	return out
}

func jointListSheet(d result.Document) sheet.Table {
	t := sheet.Table{Name: "Joints", Columns: []sheet.Column{column("A", 0), column("B", 0), column("Kind", 0), column("Seam [mm]", 1), column("Thinner part [mm]", 2), column("Least fillet [mm]", 1),
		column("Weld metal [kg]", 3), column("Faces open, least [°]", 1), column("Faces open, most [°]", 1), column("Under 30° [mm]", 1), column("Hangs [kg]", 1), column("Arm [mm]", 0), column("Use of the seam by dead weight [%]", 1), column("Proposed", 0), column("Why", 0)}}
	for _, j := range d.Joints {
		hangs, arm, use, remedy, why := sheet.Cell{}, sheet.Cell{}, sheet.Cell{}, "", ""
		if h := j.Hangs; h != nil {
			hangs, arm = kgCell(h.MassKG), mmCell(h.ArmMM)
			if h.Use != nil && j.LengthMM > 0 {
				use = sheet.Number(100 * float64(*h.Use))
			}
		}
		if r := j.Remedy; r != nil {
			remedy, why = r.Kind+remedySize(*r), r.Why
		}
		t.Rows = append(t.Rows, []sheet.Cell{textCell(j.A), textCell(j.B), textCell(j.Kind), mmCell(j.LengthMM), mmCell(j.ThickMM), mmCell(j.LegMM), kgCell(j.WeldKG),
			sheet.Number(float64(j.OpenLeastDeg)), sheet.Number(float64(j.OpenMostDeg)), mmCell(j.TightMM), hangs, arm, use, textCell(remedy), textCell(why)})
	}
	return t
}

func stepSheet(o *result.Order) sheet.Table {
	t := sheet.Table{Name: "Build order", Columns: []sheet.Column{column("Build", 0), column("Step", 0), column("Element", 0), column("Mark", 0), column("Added [kg]", 1), column("Stands [kg]", 1), column("Centre x [mm]", 0),
		column("Centre y [mm]", 0), column("Centre z [mm]", 0), column("Height [mm]", 0), column("Margin inside the base [mm]", 0), column("Turned first", 0), column("Crane", 0), column("Props", 0), column("Flat [mm]", 0),
		column("Horizontal [mm]", 0), column("Vertical [mm]", 0), column("Overhead [mm]", 0)}}
	for i, b := range o.Builds {
		for k, s := range b.Steps {
			t.Rows = append(t.Rows, []sheet.Cell{sheet.Count(i + 1), sheet.Count(k + 1), textCell(s.Element), textCell(s.Mark), kgCell(s.AddedKG), kgCell(s.MassKG), mmCell(s.CentreMM[0]), mmCell(s.CentreMM[1]), mmCell(s.CentreMM[2]),
				mmCell(s.HeightMM), mmCell(s.MarginMM), yesCell(s.Turned), yesCell(s.Lift), sheet.Count(len(s.Props)), mmCell(s.FlatMM), mmCell(s.HorizontalMM), mmCell(s.VerticalMM), mmCell(s.OverheadMM)})
		}
	}
	return t
}

func tapeSheet(o *result.Order) sheet.Table {
	t := sheet.Table{Name: "Tapes", Columns: []sheet.Column{column("Build", 0), column("Step", 0), column("From", 0), column("Mark", 0), column("Where", 0), column("To", 0), column("Mark of the new piece", 0), column("Where on it", 0),
		column("Distance [mm]", 1), column("± ISO 13920 [mm]", 1), column("Distance [ft-in]", 0)}}
	for i, b := range o.Builds {
		for k, s := range b.Steps {
			for _, x := range s.Tapes {
				t.Rows = append(t.Rows, []sheet.Cell{sheet.Count(i + 1), sheet.Count(k + 1), textCell(x.From.Element), sheet.Count(x.From.Number), textCell(x.From.Where), textCell(x.To.Element), sheet.Count(x.To.Number), textCell(x.To.Where),
					mmCell(x.LengthMM), mmCell(x.PlusMinusMM), textCell(x.FeetIn)})
			}
		}
	}
	return t
}

func massSheet(r *result.Rig) sheet.Table {
	t := sheet.Table{Name: "Masses", Columns: []sheet.Column{column("Piece", 0), column("Mass [kg]", 1), column("Least [kg]", 1), column("Greatest [kg]", 1), column("Centre x [mm]", 0), column("Centre y [mm]", 0), column("Centre z [mm]", 0)}}
	row := func(name string, w result.Weighed) {
		t.Rows = append(t.Rows, []sheet.Cell{textCell(name), kgCell(w.MassKG), kgCell(w.LowKG), kgCell(w.HighKG), mmCell(w.CentreMM[0]), mmCell(w.CentreMM[1]), mmCell(w.CentreMM[2])})
	}
	if r.Whole != nil {
		row("all", *r.Whole)
	}
	for _, w := range r.Pieces {
		row(w.ID, w)
	}
	return t
}

func liftSheet(r *result.Rig) sheet.Table {
	t := sheet.Table{Name: "Lifts", Columns: []sheet.Column{column("What", 0), column("Load with dynamic factor [kg]", 0), column("Leg", 0), column("On", 0), column("Lug x [mm]", 0), column("Lug y [mm]", 0), column("Lug z [mm]", 0),
		column("Sling [mm]", 0), column("Angle from level [°]", 1), column("Tension [kN]", 2), column("Hoist", 0), column("Why not", 0)}}
	for _, l := range r.Lifts {
		if l.Tandem != nil {
			for k, h := range l.Tandem.Hoists {
				t.Rows = append(t.Rows, []sheet.Cell{textCell(l.Of), kgCell(h.ShareKG), sheet.Count(k + 1), textCell(h.Element), mmCell(h.AtMM[0]), mmCell(h.AtMM[1]), mmCell(h.AtMM[2]), {}, sheet.Number(90),
					sheet.Number(float64(h.ShareKG) * gravityMS2 / 1000), textCell(h.Hoist), textCell("two hoists; each needs " + fixed(float64(h.NeededKG), 0) + " kg with the derating")})
			}
			continue
		}
		if len(l.Legs) == 0 {
			t.Rows = append(t.Rows, []sheet.Cell{textCell(l.Of), {}, {}, {}, {}, {}, {}, {}, {}, {}, textCell(l.Hoist), textCell(l.WhyNot)})
		}
		for k, g := range l.Legs {
			sling := mmCell(g.LengthMM)
			if len(l.Legs) == 1 {
				sling = textCell("any")
			}
			t.Rows = append(t.Rows, []sheet.Cell{textCell(l.Of), kgCell(l.LoadKG), sheet.Count(k + 1), textCell(g.Element), mmCell(g.AtMM[0]), mmCell(g.AtMM[1]), mmCell(g.AtMM[2]), sling, sheet.Number(float64(g.AngleDeg)),
				sheet.Number(float64(g.TensionN) / 1000), textCell(l.Hoist), textCell(l.WhyNot)})
		}
	}
	return t
}

// gravityMS2 is the standard acceleration of free fall (3rd CGPM, 1901).
const gravityMS2 = 9.80665

func turnSheet(r *result.Rig) sheet.Table {
	t := sheet.Table{Name: "Turns", Columns: []sheet.Column{column("What", 0), column("Turn [°]", 0), column("Head on", 0), column("Head z [mm]", 0), column("Foot z [mm]", 0), column("Centre z [mm]", 0), column("Head [kg]", 0), column("Foot [kg]", 0),
		column("Centre under the line [mm]", 0), column("Centre beside the plane [mm]", 0), column("Holds", 0), column("Why not", 0)}}
	for _, x := range r.Turns {
		if x.Head == nil {
			t.Rows = append(t.Rows, []sheet.Cell{textCell(x.Of), {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, textCell(x.WhyNot)})
			continue
		}
		for _, p := range x.Poses {
			t.Rows = append(t.Rows, []sheet.Cell{textCell(x.Of), sheet.Number(float64(p.TurnDeg)), textCell(x.Head.Element), mmCell(p.HeadMM[2]), mmCell(p.FootMM[2]), mmCell(p.CentreMM[2]), kgCell(p.HeadKG), kgCell(p.FootKG),
				mmCell(p.BelowMM), mmCell(p.SidewaysMM), textCell(p.Holds), textCell(x.WhyNot)})
		}
	}
	return t
}

func sectionSheet(h *result.Haul) sheet.Table {
	t := sheet.Table{Name: "Sections", Columns: []sheet.Column{column("Section", 0), column("Elements", 0), column("Length [mm]", 0), column("Width [mm]", 0), column("Height [mm]", 0), column("Mass [kg]", 0), column("Least [kg]", 0), column("Greatest [kg]", 0),
		column("Tips at [°]", 1), column("Fits", 0), column("Why not", 0)}}
	for i, x := range h.Sections {
		t.Rows = append(t.Rows, []sheet.Cell{sheet.Count(i + 1), joinCell(x.Elements), mmCell(x.LengthMM), mmCell(x.WidthMM), mmCell(x.HeightMM), kgCell(x.Mass.MassKG), kgCell(x.Mass.LowKG), kgCell(x.Mass.HighKG), sheet.Number(float64(x.TipDeg)), yesCell(x.Fits), textCell(x.Why)})
	}
	return t
}

func routeSheet(h *result.Haul) sheet.Table {
	t := sheet.Table{Name: "Route", Columns: []sheet.Column{column("Section", 0), column("Passage", 0), column("Width [mm]", 0), column("Radius [mm]", 0), column("Slope [°]", 1), column("Swept, axle under the middle [mm]", 0), column("Swept, axle at the end [mm]", 0),
		column("Room [mm]", 0), column("Goes through", 0), column("Rests on the slope", 0)}}
	for i, x := range h.Sections {
		for _, p := range x.Route {
			t.Rows = append(t.Rows, []sheet.Cell{sheet.Count(i + 1), sheet.Count(p.Passage), maybeCell(p.WidthMM), maybeCell(p.RadiusMM), maybeCell(p.SlopeDeg), maybeCell(p.SweptMinMM), maybeCell(p.SweptMaxMM), maybeCell(p.RoomMM), textCell(p.Passes), yesCell(p.Stands)})
		}
	}
	return t
}

// benchSheet are the steps of sub-assemblies and sections on the bench, and how they
// are set.
func benchSheet(d result.Document) sheet.Table {
	t := sheet.Table{Name: "Sub-assemblies", Columns: []sheet.Column{column("Where", 0), column("Step", 0), column("Element", 0), column("With", 0), column("Added [kg]", 1), column("Stands [kg]", 1), column("Up x", 0), column("Up y", 0), column("Up z", 0), column("Props", 0),
		column("Flat [mm]", 0), column("Horizontal [mm]", 0), column("Vertical [mm]", 0), column("Overhead [mm]", 0)}}
	rows := func(where string, steps []result.SetPiece) {
		for k, s := range steps {
			t.Rows = append(t.Rows, []sheet.Cell{textCell(where), sheet.Count(k + 1), textCell(s.Element), joinCell(s.With), kgCell(s.AddedKG), kgCell(s.MassKG), sheet.Number(float64(s.Up[0])), sheet.Number(float64(s.Up[1])), sheet.Number(float64(s.Up[2])),
				sheet.Count(len(s.Props)), mmCell(s.FlatMM), mmCell(s.HorizontalMM), mmCell(s.VerticalMM), mmCell(s.OverheadMM)})
		}
	}
	all := func(b *result.Benched, where string) {
		if b == nil {
			return
		}
		for _, s := range b.SubAssemblies {
			rows(s.Name, s.Steps)
		}
		rows(where, b.Steps)
	}
	if d.Order != nil {
		for i, b := range d.Order.Builds {
			all(b.Benched, "build "+strconv.Itoa(i+1))
		}
	}
	if d.Sections != nil {
		all(d.Sections.OnSite, "site")
	}
	return t
}
