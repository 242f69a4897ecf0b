package report

import (
	"fmt"
	"strings"

	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
)

func cutPart(doc result.Document) part {
	s := doc.Shop
	p := part{ID: "cut", Heading: "Cut list", Text: []string{
		"Lengths are those that the saw is set to: the longest line along the piece; bent pieces by their centreline. Plates by the rectangle round the blank, rolled ones developed on the middle of their thickness. The same tables are in tables/shop.xlsx and as CSV beside it."}}
	t := table{Caption: "Pieces to cut.", Head: []string{"Mark", "Quantity", "Elements", "Stock", "Cut to", "Ends", "Mass of one, kg", "Process"}}
	for _, c := range s.CutList {
		mark := c.Mark
		if c.Of != "" {
			mark += " " + c.Of
		}
		kg := noNumber
		if c.MassKG != nil {
			kg = fixed(float64(*c.MassKG), 1)
		}
		t.Rows = append(t.Rows, []string{mark, fmt.Sprint(c.Quantity), list(c.Elements, 6), orDash(c.Stock), cutTo(doc, c), orDash(strings.Join(c.Ends, ", ")), kg, orDash(strings.Join(c.Processes, ", "))})
		for _, n := range c.Notes {
			p.List = append(p.List, mark+": "+n+".")
		}
	}
	p.Tables = append(p.Tables, t)
	if len(s.Simplify) > 0 {
		t := table{Caption: "Simpler ways to make pieces, with what each does to the look.", Head: []string{"Mark", "Way", "Visible change", "Mass of one, kg", "Hours of one", "In words"}}
		for _, x := range s.Simplify {
			t.Rows = append(t.Rows, []string{x.Mark, x.Way, fixed(float64(x.ChangeMM), 1) + " mm", fixed(float64(x.MassKG), 1), fixed(float64(x.Hours), 2) + " h", x.Text})
		}
		p.Tables = append(p.Tables, t)
	}
	p.List = append(p.List, sentences(s.NotCovered)...)
	return p
}

func sentences(l []string) []string {
	var out []string
	for _, s := range l {
		out = append(out, sentence(s))
	}
	return out
}

// cutTo is a piece's length, or its blank.
func cutTo(doc result.Document, c result.Cut) string {
	if c.LengthMM == nil {
		return noNumber
	}
	out := fixed(float64(*c.LengthMM), 1)
	feet := quantity.FeetInches(float64(*c.LengthMM))
	if c.WidthMM != nil {
		out += " × " + fixed(float64(*c.WidthMM), 1)
		feet += " × " + quantity.FeetInches(float64(*c.WidthMM))
	}
	out += " mm"
	switch {
	case doc.Job.Show.Units == "mm":
		return out
	case doc.Job.Show.Units == "ft-in":
		return feet
	case doc.Job.Metal.System == "us":
		return feet + ", " + out
	}
	return out + ", " + feet
}

func buyPart(doc result.Document) part {
	s := doc.Shop
	p := part{ID: "buy", Heading: "What to buy"}
	t := table{Caption: "Bars and sheets. What takes long to come is ordered first (common practice, no source: large pipe, heavy plate, whatever is bent or rolled).", Head: []string{"Stock", "Standard", "Count", "Each", "Mass of all, kg", "For", "Order first"}}
	for _, x := range s.Purchase {
		each := fixed(float64(x.LengthMM), 0)
		if x.WidthMM > 0 {
			each += " × " + fixed(float64(x.WidthMM), 0)
		}
		first := ""
		if x.Lead {
			first = "yes"
		}
		t.Rows = append(t.Rows, []string{x.Stock, x.Standard, fmt.Sprint(x.Count), each + " mm", fixed(float64(x.MassKG), 0), strings.Join(x.For, ", "), first})
	}
	if len(t.Rows) > 0 {
		p.Tables = append(p.Tables, t)
	}
	t = table{Caption: "How well bars and sheets are used. No plan buys less than the bound; plates are placed by the rectangles round them.", Head: []string{"Stock", "Process", "Kerf", "Used", "Above the bound at most"}}
	for _, n := range s.Nesting {
		if n.Problem != "" {
			p.List = append(p.List, sentence(n.Stock+": "+n.Problem))
			continue
		}
		t.Rows = append(t.Rows, []string{n.Stock, n.Process, fixed(float64(n.KerfMM), 1) + " mm", fixed(100*float64(n.Yield), 0) + " %", fixed(100*float64(n.GapShare), 1) + " %"})
	}
	if len(t.Rows) > 0 {
		p.Tables = append(p.Tables, t)
	}
	if len(s.Splices) > 0 {
		t = table{Caption: "Joints within pieces, since bars and sheets are shorter. The engineer has to agree to every one.", Head: []string{"Mark", "Along", "At", "Length of the seam"}}
		for _, x := range s.Splices {
			t.Rows = append(t.Rows, []string{x.Mark, x.Along, fixed(float64(x.AtMM), 0) + " mm", fixed(float64(x.SeamMM), 0) + " mm"})
		}
		p.Tables = append(p.Tables, t)
	}
	return p
}

func costPart(c *result.Cost) part {
	p := part{ID: "cost", Heading: "Hours and cost", Text: []string{fmt.Sprintf("%s hours, %s to %s with the decisions that are open and the uncertainty of the scan. %s kg net, %s kg used, %s kg bought, %s kg of weld metal.",
		fixed(float64(c.Hours), 0), fixed(float64(c.HoursLow), 0), fixed(float64(c.HoursHigh), 0), fixed(float64(c.NetKG), 0), fixed(float64(c.UsedKG), 0), fixed(float64(c.BoughtKG), 0), fixed(float64(c.WeldKG), 1))}}
	if c.Money != nil {
		s := fmt.Sprintf("%s %s, %s to %s.", fixed(float64(*c.Money), 0), c.Currency, fixed(float64(*c.MoneyLow), 0), fixed(float64(*c.MoneyHigh), 0))
		if !c.Priced {
			s += " Not every rate is given in the job; what has none counts nothing."
		}
		p.Text = append(p.Text, s)
	}
	t := table{Caption: "What takes hours and what is bought.", Head: []string{"What", "How much", "Hours", "Money"}}
	for _, l := range c.Lines {
		hours, money := noNumber, noNumber
		if l.Hours > 0 {
			hours = fixed(float64(l.Hours), 1) + " h"
		}
		if l.Money != nil {
			money = fixed(float64(*l.Money), 0) + " " + c.Currency
		}
		t.Rows = append(t.Rows, []string{l.What, fixed(float64(l.Quantity), 1) + " " + l.Unit, hours, money})
	}
	p.Tables = []table{t}
	p.List = sentences(c.Assumptions)
	return p
}
