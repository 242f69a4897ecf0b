package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/mesh/scanfile"
	"pointup/mesh/synthetic"
	"pointup/pipeline/job"
	"pointup/pipeline/result"
)

// scanned writes the scan of upright pieces, coarse and small for speed, without
// the facets that unseen tells by their height, and returns its path.
func scanned(t *testing.T, unseen func(z float32) bool, pieces ...synthetic.Piece) string {
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = 1.5, 0.02
	s, err := synthetic.Scan(synthetic.Scene{Name: "few", Pieces: pieces}, opt)
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "few.stl")
	soup := s.Soup("few.stl")
	soup.Corners = slices.DeleteFunc(soup.Corners, func(c [3]uint32) bool {
		return unseen(soup.Points[c[0]][2]) && unseen(soup.Points[c[1]][2]) && unseen(soup.Points[c[2]][2])
	})
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, scanfile.WriteSTL(f, "few", soup))
	require.NoError(t, f.Close())
	return path
}

// broken is a bar that came as two shells, with 2 mm unseen between, beside a disc: E01 to E03
// by height and area.
func broken(t *testing.T) string {
	bar := func(z float64) synthetic.Piece {
		return synthetic.Piece{Name: "bar", Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 30}, Pose: synthetic.Upright(0, 0, z)}
	}
	unseen := func(z float32) bool { return z > 29.5 && z < 32.5 }
	return scanned(t, unseen, bar(15), bar(47), synthetic.Piece{Name: "disc", Shape: synthetic.Disc{OutsideDiameterMM: 30, ThicknessMM: 6}, Pose: synthetic.Upright(50, 0, 3)})
}

// told runs a scan with lines of a job's pieces section, only its job.out.yaml
// written, and returns the document and that job.
func told(t *testing.T, scan, pieces string) (result.Document, job.Job) {
	text := "job: 1\nscan: {file: few.stl, unit: mm}\nenlarge: {ratio: 10}\npieces:\n" + pieces
	j, err := job.Parse("few.yaml", []byte(text))
	require.NoError(t, err)
	return ran(t, scan, j)
}

// ran runs a job beside its scan, where the fits of the run before are kept.
func ran(t *testing.T, scan string, j job.Job) (result.Document, job.Job) {
	dir := filepath.Join(filepath.Dir(scan), "out")
	doc, err := Run(context.Background(), j, scan, dir, Options{Version: "test", Outputs: Outputs{Job: true}}, nil)
	require.NoError(t, err)
	data, err := os.ReadFile(filepath.Join(dir, job.OutName))
	require.NoError(t, err)
	out, err := job.Parse(job.OutName, data)
	require.NoError(t, err)
	return doc, out
}

// ids is "E01 bar, E02 disc".
func ids(d result.Document) string {
	var out []string
	for _, e := range d.Elements {
		out = append(out, strings.TrimSpace(e.ID+" "+e.Kind+" "+e.Name))
	}
	return strings.Join(out, ", ")
}

// codes are those of the findings that corrections can cause.
func codes(d result.Document) []string {
	var out []string
	for _, f := range d.Scan.Findings {
		if f.Code != "uncertainty-incomplete" && f.Code != "open-boundary" {
			out = append(out, f.Code)
		}
	}
	return out
}

// TestJoin holds that two shells become one piece under the lower number, by
// point, by name and by id, that other ids stay, and that the written job gives
// the same again.
func TestJoin(t *testing.T) {
	scan := broken(t)
	plain, _ := told(t, scan, "  rows: []\n")
	require.Equal(t, "E01 bar, E02 disc, E03 bar", ids(plain))
	for name, row := range map[string]struct{ job, want string }{
		"points":        {"  join: [[[5, 0, 20], [5, 0, 50]]]\n", "E01 bar, E02 disc"},
		"ids":           {"  join: [[E03, E01]]\n", "E01 bar, E02 disc"},
		"names":         {"  rows: [{id: E07, name: low, at: [5, 0, 20]}, {id: E04, name: high, at: [5, 0, 50]}]\n  join: [[low, high]]\n", "E01 disc, E04 bar high"},
		"row and point": {"  rows: [{name: low, at: [5, 0, 20]}]\n  join: [[low, [5, 0, 50]]]\n", "E01 bar low, E02 disc"},
		"one already":   {"  join: [[[5, 0, 20], [5, 0, 22]]]\n", "E01 bar, E02 disc, E03 bar"},
	} {
		t.Run(name, func(t *testing.T) {
			doc, out := told(t, scan, row.job)
			require.Equal(t, row.want, ids(doc))
			require.Empty(t, codes(doc))
			for _, e := range doc.Elements {
				if l, ok := e.Maquette.Number("length_mm"); ok && name != "one already" {
					require.InDelta(t, 62, l, 0.05, "both bars and the 2 mm between")
				}
			}
			again, twice := ran(t, scan, out)
			require.Equal(t, ids(doc), ids(again))
			require.Empty(t, codes(again))
			require.Equal(t, out, twice)
		})
	}
	doc, _ := told(t, scan, "  join: [[[5, 0, 20], [500, 0, 50]]]\n")
	require.Equal(t, ids(plain), ids(doc))
	require.Equal(t, []string{"join-not-found"}, codes(doc))
	doc, _ = told(t, scan, "  join: [[E01, E02]]\n")
	require.Equal(t, "E01 freeform, E03 bar", ids(doc))
	require.Equal(t, []string{"join-unknown"}, codes(doc))
}

// TestPart holds that two points make two pieces of one, that the larger keeps
// its number and the other gets the next free one, and that the written job gives
// the same again. The piece is a joined one: no fused scan is made here.
func TestPart(t *testing.T) {
	scan := broken(t)
	join := "  join: [[E01, E02]]\n"
	doc, out := told(t, scan, join+"  part: [[[5, 0, 20], [65, 0, 3]]]\n")
	require.Equal(t, "E01 disc, E03 bar, E04 bar", ids(doc))
	require.NotContains(t, codes(doc), "part-not-possible")
	again, _ := ran(t, scan, out)
	require.Equal(t, ids(doc), ids(again))

	doc, _ = told(t, scan, "  part: [[[5, 0, 20], [65, 0, 3]], [[5, 0, 50], [900, 0, 0]]]\n")
	require.Equal(t, "E01 bar, E02 disc, E03 bar", ids(doc), "points on two pieces need no parting")
	require.Equal(t, []string{"part-not-found"}, codes(doc))
}

// TestKindAsSaid holds that a row's kind is followed where the shape allows it
// and is a finding where not.
func TestKindAsSaid(t *testing.T) {
	scan := broken(t)
	doc, out := told(t, scan, "  rows: [{name: pipe, at: [5, 0, 20], kind: tube}, {name: plate, at: [65, 0, 3], kind: plate}]\n")
	require.Equal(t, "E01 tube pipe, E02 disc plate, E03 bar", ids(doc))
	require.Equal(t, []string{"kind-not-possible"}, codes(doc))
	e := elementNamed(doc, "pipe")
	require.Subset(t, e.Hidden, []string{"inside_diameter_mm", "wall_mm"})
	require.Contains(t, strings.Join(e.Notes, "; "), "because the job says so")
	again, _ := ran(t, scan, out)
	require.Equal(t, ids(doc), ids(again))
}

// TestRowsFindTheirPieces holds the reach of `at`, rows without one, and that the
// number of pieces is compared, both numbers said.
func TestRowsFindTheirPieces(t *testing.T) {
	scan := broken(t)
	for name, row := range map[string]struct {
		job, want string
		codes     []string
	}{
		"4.9 mm off":          {"  rows: [{name: low, at: [9.9, 0, 20]}]\n", "E01 bar low, E02 disc, E03 bar", nil},
		"5.2 mm off":          {"  rows: [{id: E09, name: low, at: [10.2, 0, 20]}]\n", "E01 bar, E02 disc, E03 bar", []string{"piece-not-found"}},
		"measured, not found": {"  rows: [{name: low, at: [30, 0, 20]}]\nby_hand: [{piece: low, dimension: length, value: 30 mm}]\n", "E01 bar, E02 disc, E03 bar", []string{"piece-not-found", "by-hand-piece"}},
		"number alone":        {"  rows: [{id: E02, name: foot}]\n", "E01 bar, E02 disc foot, E03 bar", []string{"piece-without-place"}},
		"no such number":      {"  rows: [{id: E20, name: foot}]\n", "E01 bar, E02 disc, E03 bar", []string{"piece-without-place"}},
		"two rows on one":     {"  rows: [{name: a, at: [5, 0, 20]}, {name: b, at: [5, 0, 10]}]\n", "E01 bar a, E02 disc, E03 bar", []string{"piece-named-twice"}},
		"the count is met":    {"  expected: 3\n", "E01 bar, E02 disc, E03 bar", nil},
		"the count differs":   {"  expected: 2\n", "E01 bar, E02 disc, E03 bar", []string{"pieces-differ"}},
		"joined, then met":    {"  expected: 2\n  join: [[E01, E03]]\n", "E01 bar, E02 disc", nil},
	} {
		t.Run(name, func(t *testing.T) {
			doc, out := told(t, scan, row.job)
			require.Equal(t, row.want, ids(doc))
			require.Equal(t, row.codes, codes(doc))
			for _, f := range doc.Scan.Findings {
				if f.Code == "pieces-differ" {
					require.Contains(t, f.What, "expects 2 pieces, the scan shows 3")
				}
			}
			again, _ := ran(t, scan, out)
			require.Equal(t, ids(doc), ids(again))
		})
	}
}
