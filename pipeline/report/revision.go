package report

import (
	"fmt"
	"strings"

	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
	"pointup/pipeline/sheet"
)

// revisionPart is what changes among pieces that are made.
func revisionPart(r *result.Revision) part {
	p := part{ID: "revision", Heading: "Pieces that are made already", Text: sentences(r.Cautions)}
	t := table{Caption: "What each piece was cut to, what this scan and these choices would make of it, and whether its joints close with the piece as it is.",
		Head: []string{"Piece", "Size known from", "Stock", "What changes", "Its joints"}}
	for _, x := range r.Pieces {
		stock := orDash(x.WasStock)
		if x.WasStock != "" && x.NowStock != x.WasStock {
			stock += ", now " + orDash(x.NowStock)
		}
		var changes, joints []string
		for _, c := range x.Changes {
			changes = append(changes, madeChangeText(c))
		}
		if x.WasKind != "" {
			changes = append(changes, "it was a "+words(x.WasKind))
		}
		for _, j := range x.Joints {
			s := j.With + " closes"
			if !j.Closes {
				s = fmt.Sprintf("%s: %s mm left open", j.With, fixed(float64(j.GapMM), 1))
			}
			joints = append(joints, s)
		}
		t.Rows = append(t.Rows, []string{strings.TrimSpace(x.ID + " " + x.Name), x.From, stock, orDash(strings.Join(changes, "; ")), orDash(strings.Join(joints, "; "))})
	}
	p.Tables, p.List = []table{t}, sentences(r.Assumptions)
	return p
}

// madeChangeText is a size as it was and as it would be, with its tolerance.
func madeChangeText(c result.Change) string {
	unit := ""
	switch {
	case strings.HasSuffix(c.Key, "_mm"):
		unit = " mm"
	case strings.HasSuffix(c.Key, "_deg"):
		unit = "°"
	}
	name := words(strings.TrimSuffix(strings.TrimSuffix(c.Key, "_mm"), "_deg"))
	s := fmt.Sprintf("%s %s, was %s%s", name, minus(quantity.Decimal(float64(c.Now), 2)), minus(quantity.Decimal(float64(c.Was), 2)), unit)
	if c.Within {
		return s + " (within tolerance)"
	}
	return s
}

func revisionSheet(r *result.Revision) sheet.Table {
	t := sheet.Table{Name: "Made pieces", Columns: []sheet.Column{column("Piece", 0), column("Size known from", 0), column("Size", 0), column("Was", 2), column("Now", 2), column("By", 2), column("± ISO 13920 [mm]", 1), column("Within", 0), column("Stock was", 0), column("Stock now", 0)}}
	for _, x := range r.Pieces {
		for _, c := range x.Changes {
			t.Rows = append(t.Rows, []sheet.Cell{textCell(x.ID), textCell(x.From), textCell(c.Key), sheet.Number(float64(c.Was)), sheet.Number(float64(c.Now)), sheet.Number(float64(c.By)), maybeCell(c.PlusMinusMM), yesCell(c.Within), textCell(x.WasStock), textCell(x.NowStock)})
		}
		if len(x.Changes) == 0 {
			t.Rows = append(t.Rows, []sheet.Cell{textCell(x.ID), textCell(x.From), textCell("unchanged"), {}, {}, {}, {}, {}, textCell(x.WasStock), textCell(x.NowStock)})
		}
	}
	return t
}
