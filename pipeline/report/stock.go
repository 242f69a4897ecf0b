package report

import (
	"fmt"
	"strings"

	"pointup/pipeline/result"
)

// metalParts are the sections on stock, fit-up, looks, cutting and cost.
func metalParts(doc result.Document) []part {
	var out []part
	if s := doc.Stock; s != nil && len(s.Families) > 0 {
		out = append(out, stockPart(doc), fitupPart(s))
		if s.Fidelity != nil {
			out = append(out, seenPart(s.Fidelity))
		}
		if s.Gauge != nil || len(s.Measure) > 0 {
			out = append(out, measurePart(s))
		}
	}
	if doc.Revision != nil {
		out = append(out, revisionPart(doc.Revision))
	}
	if doc.Shop != nil && len(doc.Shop.CutList) > 0 {
		out = append(out, cutPart(doc), buyPart(doc))
	}
	if len(doc.Joints) > 0 {
		out = append(out, jointPart(doc))
	}
	if doc.Order != nil {
		out = append(out, orderPart(doc.Order))
	}
	if doc.Rig != nil {
		out = append(out, weightPart(doc.Rig))
	}
	if doc.Sections != nil {
		out = append(out, sectionPart(doc.Sections))
	}
	if doc.Site != nil {
		out = append(out, sitePart(doc.Site))
	}
	if doc.Weather != nil {
		out = append(out, weatherPart(doc.Weather))
	}
	if doc.Access != nil {
		out = append(out, accessPart(doc.Access))
	}
	if doc.Cost != nil && len(doc.Cost.Lines) > 0 {
		out = append(out, costPart(doc.Cost))
	}
	return out
}

func stockPart(doc result.Document) part {
	s := doc.Stock
	p := part{ID: "stock", Heading: "Stock", Text: []string{
		fmt.Sprintf("Like pieces are one family and get one size. Sizes are those of the %s tables, grade %s. The size that is seen leads; walls are chosen for strength and need not follow the scan.", systemName(s.System), s.Grade),
		bound(s.Objective),
	}}
	t := table{Caption: "Families, from scan to fit to stock: how far the scan lies off the fitted pieces, and stock less scan of the size that changes most against its limit.", Head: []string{"Family", "Elements", "Stock", "Scan ± u95, full size", "Fit, rms", "Change", "Next below, above", "Mass, kg"}}
	for _, f := range s.Families {
		t.Rows = append(t.Rows, []string{f.Letter, list(f.Elements, 6), stockName(f), leadText(f), fitText(f), changeText(f), neighbours(f), kgText(f.MassKG)})
	}
	p.Tables = append(p.Tables, t)
	if memory := fromMemory(s); memory != "" {
		p.List = append(p.List, memory)
	}
	for _, f := range s.Families {
		if f.Route != nil {
			p.List = append(p.List, fmt.Sprintf("%s (%s): %s.", f.Letter, list(f.Elements, 6), f.Route.Text))
		}
		if f.WhyWall != "" {
			p.List = append(p.List, fmt.Sprintf("Wall of %s: %s.", f.Letter, f.WhyWall))
		}
	}
	if len(s.Decisions) > 0 {
		p.Tables = append(p.Tables, decisionTable(s))
	}
	return p
}

func systemName(system string) string {
	switch system {
	case "us":
		return "US"
	case "both":
		return "US and metric"
	}
	return system
}

// bound says how good the choice is.
func bound(o result.Objective) string {
	s := fmt.Sprintf("All families were chosen together, for least change of the look, metal, work and number of different sizes (%d are bought).", o.Sizes)
	if o.Exact {
		return s + " No other choice costs less by these weights."
	}
	return s + fmt.Sprintf(" A better choice by these weights could save at most %s %% of the cost.", fixed(100*float64(o.GapShare), 1))
}

func stockName(f result.Family) string {
	switch {
	case f.Missing || f.Stock == nil:
		return "none found"
	case f.Pinned:
		return f.Stock.Mark + " (named in the job)"
	}
	return f.Stock.Mark
}

func leadText(f result.Family) string {
	var out []string
	for _, l := range f.Sizes {
		name, _ := nameAndUnit(l.Key)
		out = append(out, fmt.Sprintf("%s %s ± %s mm", name, fixed(float64(l.ScanMM), 1), fixed(float64(l.U95MM), 2)))
	}
	return strings.Join(out, ", ")
}

func fitText(f result.Family) string {
	if f.FitRMSMM == nil {
		return noNumber
	}
	return mm(float64(*f.FitRMSMM), 2)
}

func changeText(f result.Family) string {
	if f.Missing || f.Stock == nil || f.ChangeOf == "" {
		return noNumber
	}
	s := fmt.Sprintf("%s mm, %s %%", signed(float64(f.ChangeMM), 1), signed(100*float64(f.ChangeShare), 1))
	if !f.Within {
		s += ", beyond the limit"
	}
	return s
}

func signed(x float64, decimals int) string {
	s := fixed(x, decimals)
	if x > 0 && strings.Trim(s, "0.") != "" {
		s = "+" + s
	}
	return s
}

func neighbours(f result.Family) string {
	var out []string
	for _, m := range []string{f.Below, f.Above} {
		if m != "" {
			out = append(out, m)
		}
	}
	if len(out) == 0 {
		return noNumber
	}
	return strings.Join(out, "; ")
}

func kgText(x result.KG) string {
	if x <= 0 {
		return noNumber
	}
	return fixed(float64(x), 1)
}

// fromMemory names the stock of which no published page was at hand.
func fromMemory(s *result.Stock) string {
	var marks []string
	for _, f := range s.Families {
		if f.Stock != nil && f.Stock.FromMemory {
			marks = append(marks, f.Stock.Mark)
		}
	}
	if len(marks) == 0 {
		return ""
	}
	return "No published list was at hand for these sizes, they are from memory; ask the dealer, or give a table of your own under metal.tables: " + strings.Join(marks, ", ") + "."
}

func decisionTable(s *result.Stock) table {
	t := table{Caption: "Decisions. Mass is against the way taken. To take another way, name its stock in the piece's row of the job.", Head: []string{"Elements", "What", "Way", "Change", "Mass, kg", "In words"}}
	for _, d := range s.Decisions {
		for _, w := range d.Ways {
			name := w.Name
			if w.Name == d.Taken || w.Stock != "" && w.Stock == d.Taken {
				name += " (taken)"
			}
			if w.Stock != "" {
				name += ": " + w.Stock
			}
			t.Rows = append(t.Rows, []string{list(d.Elements, 6), sentence(d.What), name, signed(float64(w.ChangeMM), 1) + " mm", signed(float64(w.MassKG), 1), w.Text})
		}
	}
	return t
}

func fitupPart(s *result.Stock) part {
	a := s.Assembly
	p := part{ID: "fitup", Heading: "Fit-up with stock sizes"}
	if !a.Solved {
		p.Text = append(p.Text, "The pieces could not be laid out again with their stock sizes: "+a.WhyNot+". They stand where they were scanned; lengths and gaps below are to be checked by hand.")
	} else {
		p.Text = append(p.Text, fmt.Sprintf("With stock sizes the pieces were laid out again so that contacts close and relations hold. Before, gaps and overlaps went to %s mm; now to %s mm. No piece moved by more than %s mm. %s stayed in place.",
			fixed(float64(a.BeforeMM), 1), fixed(float64(a.GapMM), 2), fixed(float64(a.ShiftMM), 1), a.Datum))
	}
	t := table{Caption: "Contacts: + gap, − overlap, worst along the seam.", Head: []string{"Pieces", "How they meet", "With stock sizes, mm", "After fit-up, mm"}}
	for _, j := range a.Joints {
		t.Rows = append(t.Rows, []string{j.A + ", " + j.B, j.Way, signed(float64(j.BeforeMM), 2), signed(float64(j.GapMM), 2)})
	}
	if len(t.Rows) > 0 {
		p.Tables = append(p.Tables, t)
	}
	t = table{Caption: "Pieces: how far each moved against the scan.", Head: []string{"Piece", "Mark", "Stock", "Shift, mm", "Turn", "Mass, kg"}}
	for _, x := range s.Parts {
		kg := noNumber
		if x.MassKG != nil {
			kg = kgText(*x.MassKG)
		}
		t.Rows = append(t.Rows, []string{x.ID, orDash(x.Mark), orDash(x.Stock), fixed(float64(x.ShiftMM), 1), fixed(float64(x.TurnDeg), 2) + "°", kg})
	}
	p.Tables = append(p.Tables, t)
	for _, c := range a.Conflicts {
		p.List = append(p.List, sentence(list(c.Elements, 8)+": "+c.What))
	}
	t = table{Caption: "Ends that are cut anew, or that weld hides and that go on to what they meet, against the piece as scanned: longer for +.", Head: []string{"Piece", "End along its axis", "By, mm", "Leaning by"}}
	for _, x := range a.Trims {
		t.Rows = append(t.Rows, []string{x.ID, x.End, signed(float64(x.ByMM), 1), fixed(float64(x.LeanDeg), 1) + "°"})
	}
	if len(t.Rows) > 0 {
		p.Tables = append(p.Tables, t)
	}
	return p
}

func orDash(s string) string {
	if s == "" {
		return noNumber
	}
	return s
}

func seenPart(f *result.Fidelity) part {
	verdict := "no outline and no opening changes by more than that"
	if f.Seen {
		verdict = "some changes are more than that and may be seen"
	}
	p := part{ID: "seen", Heading: "What visitors see of it", Text: []string{
		fmt.Sprintf("The work as fitted and as it will be of stock, seen with eyes %s m over the ground. Normal vision tells %s arc-minute (ISO 8596); %s: at the most %s arc-minutes, from %s°.",
			fixed(float64(f.EyeMM)/1000, 2), fixed(float64(f.VisionMin), 0), verdict, fixed(float64(f.WorstArcmin), 1), fixed(float64(f.WorstDeg), 0)),
	}}
	t := table{Caption: "Standpoints, by their direction from the middle of the work, from +x towards +y. Openings are what one sees through: the widest circle in each, before and after.",
		Head: []string{"From", "Distance", "Outline moves by", "Most at", "Share of outline that moves visibly", "Openings that change most, arc-minutes"}}
	for _, v := range f.Views {
		var o []string
		for _, x := range v.Openings {
			if x.BeforeArcmin != x.AfterArcmin {
				o = append(o, fixed(float64(x.BeforeArcmin), 1)+" to "+fixed(float64(x.AfterArcmin), 1))
			}
		}
		t.Rows = append(t.Rows, []string{fixed(float64(v.AzimuthDeg), 0) + "°", fixed(float64(v.DistanceMM)/1000, 1) + " m",
			fmt.Sprintf("%s arc-minutes, %s mm", fixed(float64(v.OutlineArcmin), 1), fixed(float64(v.OutlineMM), 1)), orDash(v.Element), fixed(100*float64(v.MovedShare), 1) + " %", orDash(strings.Join(o, "; "))})
	}
	p.Tables = []table{t}
	if len(f.Views) > 0 {
		p.List = []string{"Told to " + fixed(float64(f.Views[0].StepArcmin), 2) + " arc-minutes. Pieces of which no solid was made are left out of both."}
	}
	return p
}

func measurePart(s *result.Stock) part {
	p := part{ID: "measure", Heading: "What to measure by hand"}
	if g := s.Gauge; g != nil {
		p.Text = append(p.Text, sentence(g.What))
		t := table{Caption: "What the maquette's own metal most likely was.", Head: []string{"Piece", "Dimension", "Found", "Taken for", "Chance that it was standard"}}
		for _, m := range g.Fitted {
			name, _ := nameAndUnit(m.Key)
			taken := "no standard size"
			if m.Mark != "" {
				taken = m.Mark + ", " + mm(float64(m.SizeMM), 2)
			}
			t.Rows = append(t.Rows, []string{m.Element, name, mm(float64(m.FoundMM), 2), taken, fixed(100*float64(m.Chance), 0) + " %"})
		}
		if len(t.Rows) > 0 {
			p.Tables = append(p.Tables, t)
		}
	}
	if len(s.Measure) > 0 {
		t := table{Caption: "Caliper readings on the maquette that could change what is bought, likeliest first.", Head: []string{"Piece", "Dimension", "Scan", "The choice turns at", "To", "Chance"}}
		for _, r := range s.Measure {
			name, _ := nameAndUnit(r.Key)
			t.Rows = append(t.Rows, []string{r.Element, name, mm(float64(r.ScanMM), 3), mm(float64(r.BorderMM), 3), r.Other, fixed(100*float64(r.Chance), 1) + " %"})
		}
		p.Tables = append(p.Tables, t)
	}
	return p
}
