package drawings

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/draw"
	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// post is a plate of 800 × 600 × 30 mm on the ground, the datum in its middle, and
// a tube of 2000 mm on it.
func post() []Mark {
	w := solid.World()
	corners := solid.Polygon([2]float64{-400, -300}, [2]float64{400, -300}, [2]float64{400, 300}, [2]float64{-400, 300})
	base := stock.Part{ID: "E01", Name: "pied é", Kind: "plate", Dims: dims("length_mm", 800.0, "width_mm", 600.0, "thickness_mm", 30.0), Outline: steps(corners),
		Frame: stock.Frame{OriginMM: r3.Vec{Z: 15}, Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}}, Holes: []stock.Hole{{Shape: "round", CentreMM: [2]float64{300, 200}, DiameterMM: 26}}}
	tube := stock.Part{ID: "E02", Name: "Träger", Kind: "tube", Dims: dims("outside_diameter_mm", 88.9, "inside_diameter_mm", 78.9, "wall_mm", 5.0, "length_mm", 2000.0),
		Frame: stock.Frame{OriginMM: r3.Vec{X: 100, Z: 1030}, Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}}}
	at := func(p stock.Part) solid.Frame {
		f := w
		f.Origin = p.Frame.OriginMM
		return f
	}
	return []Mark{
		{"A1", Piece{base, at(base), solid.Slab(30, corners, solid.Round(300, 200, 13))}},
		{"B1", Piece{tube, at(tube), solid.Tube(88.9, 78.9, solid.Cut{Z: -1000}, solid.Cut{Z: 1000})}},
	}
}

// allKinds is a set of a sheet a kind, on a paper.
func allKinds(paper string, third bool) Set {
	s := Set{Paper: paper, Options: Options{Units: "both", FeetFirst: third, Third: third}, Block: Block{"Uhr für Gezeiten – marée", "UHR-SD", "ISO 13920-BF", "pointup"}, Marks: post(),
		Allowed: func(float64) string { return "± 4 mm" }}
	s.Pieces = Table{Title: "Pieces", Heads: []string{"Mark", "Name"}, Shares: []float64{0.3, 0.7}}
	for i := range 70 {
		s.Pieces.Rows = append(s.Pieces.Rows, []string{fmt.Sprintf("A%d", i), "a name that is far too long for the column that it is to stand in, whatever the paper"})
	}
	for i, p := range append(samples(), post()[0].Piece, post()[1].Piece) {
		f := Family{Mark: fmt.Sprintf("K%d", i+1), Name: p.Part.Name, IDs: []string{p.Part.ID}, Piece: &p, Stock: "PL 80", Material: "EN 10025 S235JR", Mass: "962.7 kg", Notes: []string{"roll it, bend line across the direction of rolling where the sheet allows it"}}
		rows := Table{Title: "Cut", Heads: []string{"What", ""}, Shares: []float64{0.4, 0.6}, Rows: [][]string{{"cut length", "1500 [4'-11 1/16\"]"}, {"process", "flame"}, {"edge cut", "6.23 m"}}}
		f.Tables = []Table{rows, rows, rows}
		if p.Part.ID == "screen" {
			f.Flat = &Flat{"developed", []draw.Item{{Layer: draw.Visible, Shape: draw.Polyline(true, [2]float64{0, 0}, [2]float64{1178, 0}, [2]float64{1178, 440}, [2]float64{0, 440})}, {Layer: draw.Visible, Shape: draw.Circle(300, 200, 60)}}}
		}
		s.Families = append(s.Families, f)
	}
	s.Families = append(s.Families, Family{Mark: "Z1", IDs: []string{"E99"}})
	return s
}

// TestPages: on each paper no text leaves the frame of its sheet (ISO 5457: 20 mm
// at the left, 10 mm else), none meets another, and all rows of the list of pieces
// are on some sheet.
func TestPages(t *testing.T) {
	for paper, third := range map[string]bool{"A3": false, "Tabloid": true, "A4": false} {
		s := allKinds(paper, third)
		pages, err := s.pages()
		require.NoError(t, err, paper)
		listed := map[string]bool{}
		for n, p := range pages {
			for i, a := range p.texts {
				assert.True(t, a.lo[0] >= 20 && a.lo[1] >= 10 && a.hi[0] <= p.wide-10 && a.hi[1] <= p.high-10, "%s sheet %d: text %d leaves the frame: %v", paper, n+1, i, a)
				for k, b := range p.texts[:i] {
					assert.False(t, a.meets(b, -0.05), "%s sheet %d, %s: texts %d and %d meet: %v %v", paper, n+1, p.title, i, k, a, b)
				}
			}
			for _, it := range p.items {
				if l, ok := it.Shape.(draw.Label); ok {
					listed[l.Text] = true
				}
			}
		}
		for i := range 70 {
			assert.True(t, listed[fmt.Sprintf("A%d", i)], "%s: row %d of the list", paper, i)
		}
	}
}

// TestSetPDF: the same bytes each time, and a reader finds text with its accents,
// the heights and the distances that follow by hand: the tube ends at 30 + 2000 mm;
// the corners of the base lie √(800² + 600²) = 1000 mm apart.
func TestSetPDF(t *testing.T) {
	s := allKinds("A3", false)
	s.Options.Units = "mm"
	var a, b bytes.Buffer
	require.NoError(t, Write(&a, s))
	require.NoError(t, Write(&b, s))
	require.True(t, bytes.Equal(a.Bytes(), b.Bytes()))
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("install poppler-utils")
	}
	path := filepath.Join(t.TempDir(), "set.pdf")
	require.NoError(t, os.WriteFile(path, a.Bytes(), 0o644))
	out, err := exec.Command("pdftotext", "-layout", path, "-").Output()
	require.NoError(t, err)
	for _, want := range []string{"Uhr für Gezeiten – marée", "pied é", "Träger", "Ø 88.9", "2030", "1000", "UHR-SD", "PRELIMINARY", "ISO 13920-BF", "1:20", "± 4 mm"} {
		assert.Contains(t, string(out), want)
	}
	pages, err := s.pages()
	require.NoError(t, err)
	assert.Equal(t, len(pages), strings.Count(string(out), "\f"))
}

func TestSetRefuses(t *testing.T) {
	s := allKinds("A9", false)
	assert.Error(t, Write(&bytes.Buffer{}, s))
	s.Paper = "A3"
	s.Marks, s.Families = nil, nil
	assert.NoError(t, Write(&bytes.Buffer{}, s), "a list alone")
}

// TestWholeView: of the post, seen from the front, the tube hides what lies behind
// it, and every mark has a balloon.
func TestWholeView(t *testing.T) {
	p := newPaper(420, 297, false, 3)
	w := newWhole(post(), 10, false, front, beside, plan)
	left := p.drawWhole(w, writer{units: "mm"}, p.room)
	assert.Empty(t, left)
	var labels []string
	for _, it := range p.items {
		if l, ok := it.Shape.(draw.Label); ok {
			labels = append(labels, l.Text)
		}
	}
	for _, want := range []string{"A1", "B1", "800", "600", "2030", "0"} {
		assert.Contains(t, labels, want)
	}
}
