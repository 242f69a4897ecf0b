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

//go:embed cover.html
var coverHTML string

//go:embed figure1.html
var figure1HTML string

//go:embed piecesheet.html
var piecesheetHTML string

//go:embed tables.html
var tablesHTML string

//go:embed style.css
var styleCSS string

// Page writes report.html: a set of numbered sheets in one file that needs no other
// and no network; without a script, on paper and where there is no WebGL it shows
// pictures. It is well-formed XML too.
//
// The same input gives the same bytes. An error is a picture that is not a PNG, a
// scene with points that are no numbers, or a fault of our own.
func Page(doc result.Document, art Art) ([]byte, error) {
	p, err := newPage(doc, art)
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
	if _, err := t.Parse(coverHTML + figure1HTML + piecesheetHTML + tablesHTML + diagramHTML + correctHTML); err != nil {
		return nil, fmt.Errorf("report.html: the templates of its sheets: %w", err)
	}
	var b bytes.Buffer
	if err := t.Execute(&b, p); err != nil {
		return nil, fmt.Errorf("report.html: %w", err)
	}
	return b.Bytes(), nil
}

func newPage(doc result.Document, art Art) (*page, error) {
	doc = cleaned(doc)
	p := &page{
		Title: title(doc), Lead: lead(doc), Cover: cover(doc), Rows: rows(doc), Unassigned: unassigned(doc),
		DeviationNote: deviationNote(doc), Footer: footer(doc),
	}
	p.Decisions, p.MoreDecisions = decisions(doc)
	var err error
	if p.Hero, err = hero(doc, art.Pictures); err != nil {
		return nil, err
	}
	if p.Turn, err = turnedFigure(art); err != nil {
		return nil, err
	}
	if p.Sides, err = sideFigures(art.Pictures); err != nil {
		return nil, err
	}
	for i, e := range doc.Elements {
		v := elementView(doc, e, i)
		if v.Picture, err = elementFigure(e, art.Pictures); err != nil {
			return nil, err
		}
		v.Sketch, v.Files = template.HTML(art.Sketches[e.ID]), filesOf(art.Files, e.ID) // a sketch is of our own making
		p.Elements = append(p.Elements, v)
	}
	p.Spreads, p.SpreadNote = spreads(doc)
	p.Connections = connectionsOf(doc)
	list := parts(doc)
	if list, err = seenPicture(list, art.Pictures); err != nil {
		return nil, err
	}
	p.Sheets = sheetsOf(withPoses(list, doc, art.Scene))
	numberSheets(p, doc)
	p.Correct, p.CorrectScript = correctableOf(doc), script(correctJS)
	p.Policy = policy(p.Turn, p.CorrectScript)
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

func footer(doc result.Document) string {
	s := "Made by pointup"
	if doc.Version != "" {
		s += " " + doc.Version
	}
	return s + " from " + doc.Scan.File + ", sha256 " + doc.Scan.SHA256 + ". The numbers behind this page are in result.json."
}
