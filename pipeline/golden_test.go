package pipeline

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/pipeline/result"
)

var update = flag.Bool("update", false, "write the golden files anew; read the diff as you would code")

// golden is the part of a document that a change of the program should show in a
// review: what was found, each figure rounded to what its u95 lets it claim.
func golden(d result.Document) string {
	var b strings.Builder
	line := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	s := d.Scan
	line("scan %s: %d triangles, %d vertices, %d shells, %d of dust, %d openings, noise %.3f mm", s.File, s.Triangles, s.Vertices, s.Shells, s.DustShells, s.BoundaryLoops, float64(s.NoiseMM))
	for _, f := range s.Findings {
		line("finding %s: %s", f.Severity, f.Code)
	}
	for _, g := range d.Gates {
		line("gate %s: passed %v", g.Name, g.Passed)
	}
	line("unassigned %d facets", d.Unassigned.Faces)
	for _, e := range d.Elements {
		line("\n%s %s: %s, %d facets, %.0f %% seen, rms %.2f mm at full size", e.ID, e.Name, e.Kind, e.Faces, 100*float64(e.Coverage), rms(e))
		for _, x := range e.Maquette {
			v, number := e.Maquette.Number(x.Key)
			switch u, has := e.U95.Get(x.Key); {
			case number && has && u > 0:
				line("  %s %s", x.Key, claimed(v, u))
			case number:
				line("  %s %.6g", x.Key, v)
			}
		}
		if len(e.Hidden) > 0 {
			line("  hidden %s", strings.Join(e.Hidden, " "))
		}
		var ends []string
		for _, x := range e.Ends {
			ends = append(ends, x.Kind)
		}
		if len(ends) > 0 {
			line("  ends %s", strings.Join(ends, " "))
		}
		for _, n := range e.Notes {
			line("  note %s", n)
		}
	}
	line("")
	for _, c := range d.Contacts {
		line("contact %s %s %s through %v", c.A, c.B, c.Kind, c.Through)
	}
	return b.String()
}

func rms(e result.Element) float64 {
	if e.Deviation == nil {
		return 0
	}
	return float64(e.Deviation.RMSMM)
}

// claimed rounds v to the decimal place of the first digit of its u95, which is
// rounded to one digit: 18.004 ± 0.0042 is 18.004 ± 0.004.
func claimed(v, u float64) string {
	places := max(-int(math.Floor(math.Log10(u))), 0)
	return fmt.Sprintf("%.*f ± %.*f", places, v, places, u)
}

// TestGoldenDemo holds the demo's result against testdata/golden. A change there
// is looked at figure by figure: `go test ./pipeline -run Golden -update` writes it.
func TestGoldenDemo(t *testing.T) {
	doc, _ := demoOnce(t)
	got := golden(doc)
	path := filepath.Join("..", "testdata", "golden", "tide-clock.txt")
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}

// TestClaimed holds the rounding of the golden files.
func TestClaimed(t *testing.T) {
	for want, x := range map[string][2]float64{
		"18.004 ± 0.004": {18.0042, 0.0042}, "18.0 ± 0.1": {18.0042, 0.12}, "340 ± 12": {339.6, 12.3}, "2.500 ± 0.010": {2.5, 0.0099}, "1.00 ± 0.01": {1, 0.01},
	} {
		require.Equal(t, want, claimed(x[0], x[1]))
	}
}
