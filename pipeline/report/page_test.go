package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/pipeline/result"
)

func page1(t *testing.T, doc result.Document) string {
	t.Helper()
	b, err := Page(doc, sampleArt())
	require.NoError(t, err)
	return string(b)
}

// elementsOf parses the page strictly as XML and counts its elements; every id
// must be unique, every picture have a text, every table a caption and every
// head a scope.
func elementsOf(t *testing.T, s string) map[string]int {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(s))
	n, ids, links := map[string]int{}, map[string]bool{}, []string{}
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		n[e.Name.Local]++
		attr := map[string]string{}
		for _, a := range e.Attr {
			attr[a.Name.Local] = a.Value
		}
		if id := attr["id"]; id != "" {
			require.False(t, ids[id], "id %s twice", id)
			ids[id] = true
		}
		switch e.Name.Local {
		case "html":
			require.Equal(t, "en", attr["lang"])
		case "img":
			require.NotEmpty(t, attr["alt"])
			require.True(t, strings.HasPrefix(attr["src"], "data:image/png;base64,"))
		case "th":
			require.NotEmpty(t, attr["scope"])
		case "a":
			if to, here := strings.CutPrefix(attr["href"], "#"); here {
				links = append(links, to)
			}
		}
	}
	for _, l := range links {
		require.True(t, ids[l], "a link to %s, which is not there", l)
	}
	require.Equal(t, n["table"], n["caption"])
	return n
}

func TestPageIsWellFormedAndWhole(t *testing.T) {
	s := page1(t, sample())
	n := elementsOf(t, s)
	require.Equal(t, 4, n["img"], "overview, deviation and two elements")
	require.Equal(t, 4, n["script"], "Fig. 1's data and its own script, and the corrections'")
	require.Zero(t, n["link"]+n["iframe"]+n["object"])
	for _, want := range []string{
		"Heron", "12 : 1", "5400 mm (5.40 m)", "17&#39;-8 5/8&#34;", "7 expected",
		"E01 leg", "<b>1</b> of 11", "<b>11</b> of 11", "models/as-scanned/E01.step",
		"21.346 ± 0.012 mm", "256.15 mm", "3.40 mm, at E01 leg", "1 of 2 failed", "FAILED", "83 %",
		"diameter 48.0 mm", "−15.0°", "Preliminary", "licensed engineer", "And 1 more of this sort",
		"No known shape fits E05", "cannot show some sizes: E05 (wall)", "12 facets of the scan",
	} {
		require.Contains(t, s, want)
	}
	// 5400 mm = 212.598 in = 17 ft 8.598 in, to a sixteenth 17'-8 5/8" (0.598 × 16 = 9.6 → 10/16).
}

func TestPageNeedsNothingElse(t *testing.T) {
	s := strings.Replace(page1(t, sample()), correctJS, "", 1) // it asks its own server, where it came from one
	for _, bad := range []string{"http://", "https://", "src=\"//", "@import", "url(", "javascript:", "fetch(", "import(", "#ZgotmplZ"} {
		require.NotContains(t, s, bad)
	}
}

func TestPageSameBytes(t *testing.T) {
	require.Equal(t, page1(t, sample()), page1(t, sample()))
}

func TestPageEscapesWhatUsersWrite(t *testing.T) {
	const evil = `<script>alert(1)</script>"'&{{.}}` + "\x00\x1b[31m\u202e\xff"
	doc := sample()
	doc.Job.Piece, doc.Scan.File, doc.Scan.Unit, doc.Version, doc.Scale.From, doc.Unassigned.Why = evil, evil, evil, evil, evil, evil
	for i := range doc.Elements {
		e := &doc.Elements[i]
		e.ID, e.Name, e.Kind, e.Notes, e.Hidden = evil, evil, evil, []string{evil}, []string{evil}
		e.Ends = []result.End{{Kind: evil}}
		e.Alternatives = []result.Alternative{{Kind: evil}}
		e.Maquette = result.Dims{{Key: evil, Value: result.Text(evil)}, {Key: evil + "_mm", Value: result.MM(1)}}
	}
	for i := range doc.Scan.Findings {
		f := &doc.Scan.Findings[i]
		f.Code, f.Severity, f.What, f.Advice = evil, evil, evil, evil
	}
	doc.Gates[0].Name = evil
	s := page1(t, doc)
	elementsOf(t, s)
	require.Equal(t, 4, strings.Count(s, "<script"), "our own")
	require.Contains(t, s, "&lt;script&gt;")
	require.NotContains(t, s, "\x1b")
	var b bytes.Buffer
	require.NoError(t, Console(&b, doc))
	require.NotContains(t, b.String(), "\x1b")
	require.NotContains(t, b.String(), "\u202e")
}

func TestPageOfNothing(t *testing.T) {
	b, err := Page(result.Document{}, Art{})
	require.NoError(t, err)
	elementsOf(t, string(b))
	require.Contains(t, string(b), "Untitled piece")
	require.Contains(t, string(b), "No elements were found")
}

func TestPageRefusesAPictureThatIsNone(t *testing.T) {
	_, err := Page(sample(), Art{Pictures: map[string][]byte{"overview.png": []byte("<svg onload=x>")}})
	require.ErrorContains(t, err, "overview.png")
}

// What the page changes it must change in a copy.
func TestPageLeavesTheDocumentAlone(t *testing.T) {
	doc := sample()
	doc.Elements[0].Name = "a\x00b"
	doc.Scan.Findings[0].What = "c\x00d"
	page1(t, doc)
	require.Equal(t, "a\x00b", doc.Elements[0].Name)
	require.Equal(t, "c\x00d", doc.Scan.Findings[0].What)
}

func TestManyDecisionsAreCut(t *testing.T) {
	doc := sample()
	for i := range 40 {
		doc.Scan.Findings = append(doc.Scan.Findings, result.Finding{Code: "x" + strings.Repeat("i", i), Severity: "serious", What: "something"})
	}
	p, err := newPage(doc, Art{})
	require.NoError(t, err)
	require.Len(t, p.Decisions, decisionsMost)
	require.Contains(t, p.Decisions[0].What, "A gate failed")
	require.Contains(t, p.MoreDecisions, "more points")
}

// A form of 0 is one that the noise hides, not a perfect shape.
func TestFormUnderTheNoiseIsNotCalledZero(t *testing.T) {
	e := sampleTube("E01")
	e.Form = result.Form{RoundnessMM: new(result.MM(0)), StraightnessMM: new(result.MM(0.0072))}
	require.Equal(t, "roundness not above the noise, straightness 0.0072 mm (0.09 mm)", formText(sample(), e)) // 12 × 0.0072 = 0.0864
	s := page1(t, sample())
	require.Contains(t, s, "No judgement has been made of structure, lifting, wind or public safety")
	for _, e := range sample().Elements {
		require.Contains(t, s, e.ID)
	}
}

func TestIncompleteIntervalsAreSaidBesideTheNumbers(t *testing.T) {
	doc := sample()
	doc.Scan.Findings = append(doc.Scan.Findings, result.Finding{Code: "uncertainty-incomplete", Severity: "note", What: "the scale is not in any u95"})
	const want = "± is not the whole uncertainty. The scale is not in any u95."
	require.Contains(t, page1(t, doc), want)
	require.NotContains(t, page1(t, sample()), "not the whole")
	var b bytes.Buffer
	require.NoError(t, Console(&b, doc))
	require.Contains(t, b.String(), want)
}

// A part may hold drawings of its own making; their texts are escaped like any.
func TestPartsHoldDrawings(t *testing.T) {
	p, err := newPage(sample(), Art{})
	require.NoError(t, err)
	p.Sheets[0].Parts = append(p.Sheets[0].Parts, part{ID: "x", Heading: "X", Drawings: []drawing{{SVG: `<svg viewBox="0 0 2 1"><path d="M0 0h2"/></svg>`, Caption: "A line <b>.", Alt: `a "line"`}}})
	b, err := p.html()
	require.NoError(t, err)
	require.Equal(t, 1, elementsOf(t, string(b))["path"])
	require.Contains(t, string(b), "A line &lt;b&gt;.")
	require.Contains(t, string(b), `aria-label="a &#34;line&#34;"`)
}
