// Package report shows a result to people: a page for the browser and the
// printer, and a summary for the terminal.
package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"strings"

	"pointup/pipeline/result"
)

//go:embed page.html
var pageHTML string

//go:embed tables.html
var tablesHTML string

//go:embed style.css
var styleCSS string

// Page writes report.html: one file that needs no other, no script and no
// network. It is well-formed XML too.
//
// Shapes: pictures maps overview.png, exploded.png, deviation.png and ID.png of each element
// to the bytes of a PNG; any may be missing, others are not looked at. The same
// input gives the same bytes. An error is a picture that is not a PNG, or a
// fault of our own.
func Page(doc result.Document, pictures map[string][]byte) ([]byte, error) {
	p, err := newPage(doc, pictures)
	if err != nil {
		return nil, err
	}
	return p.html()
}

func (p *page) html() ([]byte, error) {
	t, err := template.New("page").Parse(pageHTML)
	if err != nil {
		return nil, fmt.Errorf("report.html: the page's template: %w", err)
	}
	if _, err := t.New("style").Parse(styleCSS); err != nil {
		return nil, fmt.Errorf("report.html: the page's style: %w", err)
	}
	if _, err := t.Parse(tablesHTML + diagramHTML); err != nil {
		return nil, fmt.Errorf("report.html: the templates of tables and diagram: %w", err)
	}
	var b bytes.Buffer
	if err := t.Execute(&b, p); err != nil {
		return nil, fmt.Errorf("report.html: %w", err)
	}
	return b.Bytes(), nil
}

func newPage(doc result.Document, pictures map[string][]byte) (*page, error) {
	doc = cleaned(doc)
	p := &page{
		Title: title(doc), Cover: cover(doc), Rows: rows(doc), Unassigned: unassigned(doc),
		DeviationNote: deviationNote(doc), Footer: footer(doc),
	}
	p.Decisions, p.MoreDecisions = decisions(doc)
	var err error
	if p.Figures, err = mainFigures(doc, pictures); err != nil {
		return nil, err
	}
	next := len(p.Figures) + 1
	for i, e := range doc.Elements {
		v := elementView(doc, e, i)
		if v.Picture, err = elementFigure(e, pictures, next); err != nil {
			return nil, err
		}
		if v.Picture != nil {
			next++
		}
		p.Elements = append(p.Elements, v)
	}
	p.Connections = connectionsOf(doc)
	p.Parts = parts(doc)
	p.Contents = contents(p)
	return p, nil
}

func title(doc result.Document) string {
	for _, s := range []string{doc.Job.Piece, doc.Scan.File} {
		if strings.TrimSpace(s) != "" {
			return s
		}
	}
	return "Untitled piece"
}

func contents(p *page) []link {
	var out []link
	for _, f := range p.Figures {
		out = append(out, link{f.ID, f.Label})
	}
	out = append(out, link{"elements", "Elements"})
	if p.Connections != nil {
		out = append(out, link{"connections", "How the elements meet"})
	}
	for _, x := range p.Parts {
		out = append(out, link{x.ID, x.Heading})
	}
	return out
}

func footer(doc result.Document) string {
	s := "Made by pointup"
	if doc.Version != "" {
		s += " " + doc.Version
	}
	return s + " from " + doc.Scan.File + ", sha256 " + doc.Scan.SHA256 + ". The numbers behind this page are in result.json."
}
