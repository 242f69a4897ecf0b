package report

import (
	"fmt"
	"strings"

	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
)

// cover is the title block.
func cover(doc result.Document) []fact {
	s := doc.Scan
	return []fact{
		{"Height at full size", heightText(float64(doc.Scale.HeightFullMM)), feetNote(doc, float64(doc.Scale.HeightFullMM))},
		{"Scale, full size to maquette", scaleText(doc.Scale), "from " + scaleFrom(doc.Scale.From)},
		{"Pieces of metal found", pieces(doc), expected(doc)},
		{"Mass of steel, net", massText(doc), massNote(doc)},
		{"Worst deviation, full size", worst(doc), worstNote(doc)},
		{"Gates", gatesText(doc), ""},
		{"Scan", s.File, count(s.Triangles, "facet", "facets") + ", file unit " + s.Unit},
	}
}

// lead says in plain words what the work is.
func lead(doc result.Document) string {
	s := title(doc)
	if maquette := float64(doc.Scale.HeightFullMM) / max(float64(doc.Scale.Ratio), 1e-9); maquette > 0 {
		s += " stands " + fixed(maquette, 0) + " mm high as it was scanned and " + heightText(float64(doc.Scale.HeightFullMM)) + " high when it is built, " + quantity.Decimal(float64(doc.Scale.Ratio), 4) + " times as large"
	} else {
		s += " was scanned"
	}
	s += "; " + count(len(doc.Elements), "piece", "pieces") + " of metal"
	if doc.Stock != nil && doc.Stock.MassKG > 0 {
		s += ", " + fixed(float64(doc.Stock.MassKG), 0) + " kg of steel, net"
	}
	return s + ". What follows is what the scan gives: sizes, how sure they are, and what can be bought and built from them."
}

// massText is the mass of all pieces whose mass is known.
func massText(doc result.Document) string {
	if doc.Stock == nil || doc.Stock.MassKG <= 0 {
		return "not known"
	}
	return fixed(float64(doc.Stock.MassKG), 0) + " kg"
}

func massNote(doc result.Document) string {
	if doc.Stock == nil {
		return ""
	}
	n := 0
	for _, p := range doc.Stock.Parts {
		if p.MassKG == nil {
			n++
		}
	}
	if n == 0 {
		return "by the stock chosen; weigh before any lift"
	}
	return count(n, "piece is", "pieces are") + " not in it; weigh before any lift"
}

func scaleText(s result.Scale) string { return quantity.Decimal(float64(s.Ratio), 6) + " : 1" }

func scaleFrom(from string) string {
	switch from {
	case "ratio":
		return "the ratio given"
	case "height":
		return "the height given"
	case "known_dimension":
		return "a dimension known at both scales"
	}
	return words(from)
}

// showsFeet says whether the job wants feet and inches beside mm.
func showsFeet(doc result.Document) bool { return doc.Job.Show.Units != "mm" }

func feetNote(doc result.Document, mm float64) string {
	if !showsFeet(doc) {
		return ""
	}
	return quantity.FeetInches(mm)
}

func pieces(doc result.Document) string { return quantity.Decimal(float64(len(doc.Elements)), 0) }

func expected(doc result.Document) string {
	n := doc.Job.Pieces.Expected
	switch {
	case n == nil:
		return "no number was expected"
	case *n == len(doc.Elements):
		return "as expected"
	}
	return fmt.Sprintf("%d expected", *n)
}

// worstOf returns the element of the largest deviation, nil where none has one.
func worstOf(doc result.Document) *result.Element {
	var w *result.Element
	for i := range doc.Elements {
		e := &doc.Elements[i]
		if e.Deviation != nil && (w == nil || e.Deviation.MaxMM > w.Deviation.MaxMM) {
			w = e
		}
	}
	return w
}

func worst(doc result.Document) string {
	w := worstOf(doc)
	if w == nil {
		return "none was measured"
	}
	return deviationText(float64(w.Deviation.MaxMM)) + " mm, at " + nameOf(*w)
}

func worstNote(doc result.Document) string {
	w := worstOf(doc)
	if w == nil {
		return ""
	}
	return "95 % of that element's surface lies within " + deviationText(float64(w.Deviation.P95MM)) + " mm"
}

// nameOf is an element's id and name.
func nameOf(e result.Element) string { return strings.TrimSpace(e.ID + " " + e.Name) }

func gatesText(doc result.Document) string {
	failed := 0
	for _, g := range doc.Gates {
		if !g.Passed {
			failed++
		}
	}
	switch {
	case len(doc.Gates) == 0:
		return "none were set"
	case failed == 0:
		return fmt.Sprintf("%d of %d passed", len(doc.Gates), len(doc.Gates))
	}
	return fmt.Sprintf("%d of %d failed", failed, len(doc.Gates))
}

// deviationNote says which limit the shares are held against.
func deviationNote(doc result.Document) string {
	s := "Seen is the share of the ideal surface that the scan covers."
	if l := doc.Job.Limits.SurfaceMM; l > 0 {
		s = "The limit of the job is " + quantity.Decimal(l, 4) + " mm. " + s
	}
	if n := incomplete(doc); n != "" {
		s += " " + n
	}
	return s
}

// incomplete says that ± leaves something out, empty where it does not: a small
// ± must not be read for more than it is.
func incomplete(doc result.Document) string {
	for _, f := range doc.Scan.Findings {
		if f.Code == "uncertainty-incomplete" {
			return "± is not the whole uncertainty. " + sentence(f.What)
		}
	}
	return ""
}
