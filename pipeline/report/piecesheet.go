package report

import (
	"path"
	"slices"
	"strings"

	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
)

// stockFacts are what an element is built of.
func stockFacts(doc result.Document, id string) []fact {
	part := partOf(doc, id)
	if part == nil {
		return nil
	}
	var out []fact
	if part.Mark != "" {
		out = append(out, fact{"Piece mark", part.Mark, ""})
	}
	out = append(out, fact{"Stock", orDash(part.Stock), ""})
	if part.MassKG != nil {
		out = append(out, fact{"Mass", kgText(*part.MassKG) + " kg", "net, by the stock chosen"})
	}
	return append(out, fact{"Moved in fit-up", fixed(float64(part.ShiftMM), 1) + " mm, " + fixed(float64(part.TurnDeg), 2) + "°", "against the scan"})
}

func partOf(doc result.Document, id string) *result.Part {
	if doc.Stock == nil {
		return nil
	}
	for i := range doc.Stock.Parts {
		if doc.Stock.Parts[i].ID == id {
			return &doc.Stock.Parts[i]
		}
	}
	return nil
}

// withStock fills in the size of stock, and by how much it changes the piece; false
// where no dimension has one.
func withStock(doc result.Document, e result.Element, list []dimension) bool {
	part, any := partOf(doc, e.ID), false
	for i := range list {
		d := &list[i]
		d.Stock, d.Change = noNumber, noNumber
		if part == nil {
			continue
		}
		for _, n := range part.FullSize {
			_, u := nameAndUnit(n.Key)
			full, known := e.FullSize.Number(n.Key)
			if n.Key != d.Key || !known || u != millimetre && u != degree {
				continue
			}
			any = true
			d.Stock = withUnit(minus(quantity.Decimal(float64(n.Value), 2)), u)
			d.Change = signed(float64(n.Value)-full, 2)
		}
	}
	return any
}

// filesOf are the files that belong to an element: those that have its id in their
// names, with what they are.
func filesOf(files []string, id string) []fileRef {
	var out []fileRef
	for _, f := range files {
		base := path.Base(f)
		words := strings.FieldsFunc(base, func(r rune) bool { return r == '.' || r == '-' || r == '_' })
		folder := path.Dir(f)
		if id == "" || folder == "pictures" || !slices.Contains(words, id) {
			continue
		}
		out = append(out, fileRef{Href: f, Text: base, What: fileText(folder, path.Ext(f))})
	}
	slices.SortStableFunc(out, func(a, b fileRef) int { return strings.Compare(a.What, b.What) })
	return out
}

func fileText(folder, ext string) string {
	switch {
	case folder == "models/as-scanned":
		return "model as scanned"
	case folder == "models/as-stock":
		return "model of stock"
	case strings.HasPrefix(folder, "patterns"):
		return "pattern"
	}
	return folder
}
