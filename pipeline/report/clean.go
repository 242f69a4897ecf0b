package report

import (
	"slices"
	"strings"
	"unicode"

	"pointup/pipeline/result"
)

// cleaned returns doc with its texts fit to print: a control or invisible
// formatting character, which could recolour a terminal, turn text about or
// make the page no XML, becomes a space; a byte that is not UTF-8 becomes U+FFFD.
func cleaned(doc result.Document) result.Document {
	doc.Version, doc.Job.Piece = clean(doc.Version), clean(doc.Job.Piece)
	doc.Scan.File, doc.Scan.SHA256, doc.Scan.Unit = clean(doc.Scan.File), clean(doc.Scan.SHA256), clean(doc.Scan.Unit)
	doc.Scale.From = clean(doc.Scale.From)
	doc.Scan.Findings = slices.Clone(doc.Scan.Findings)
	for i := range doc.Scan.Findings {
		f := &doc.Scan.Findings[i]
		f.Code, f.Severity, f.What, f.Advice = clean(f.Code), clean(f.Severity), clean(f.What), clean(f.Advice)
	}
	doc.Elements = slices.Clone(doc.Elements)
	for i := range doc.Elements {
		e := &doc.Elements[i]
		e.ID, e.Name, e.Kind = clean(e.ID), clean(e.Name), clean(e.Kind)
		e.Notes, e.Hidden = cleanAll(e.Notes), cleanAll(e.Hidden)
	}
	doc.Unassigned.Why = clean(doc.Unassigned.Why)
	doc.Gates = slices.Clone(doc.Gates)
	for i := range doc.Gates {
		doc.Gates[i].Name = clean(doc.Gates[i].Name)
	}
	return doc
}

func cleanAll(list []string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = clean(s)
	}
	return out
}

func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == '\u2028' || r == '\u2029' || r == '\ufffe' || r == '\uffff' {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
}
