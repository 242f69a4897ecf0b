package report

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/pipeline/result"
)

// The columns are those of the sample; only its words are repeated here.
func TestConsole(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Console(&b, sample()))
	want := strings.TrimPrefix(`
Heron
5400 mm (5.40 m) at full size, scale 12 : 1 from the ratio given
5 pieces (7 expected) in heron.stl; noise 0.0213 mm on the maquette

  id   name  kind      rms mm  seen  full size, mm (± half of the 95 % interval)
  E01  leg   tube        0.50  83 %  outside diameter 256.15 ± 0.15, wall 24.2, length 1446.0 ± 1.2
  E02        ring        0.50  83 %  section flat, outside diameter 480.0, thickness 36.0, holes 1
  E03        arc         0.50  83 %  centreline diameter 1080.0, sweep 92.5°
  E04        plate       0.50  83 %  thickness 24.0
  E05        freeform       –  83 %  length 108.0

12 facets of the scan, 3.5 mm² at maquette scale, belong to no element: dust.

Findings
  warning  An opening 3.2 mm wide. (And 1 more of this sort.)
           Scan it again.
  1 note in the report

  gate            found  limit
  surface_p95    1.2 mm   1 mm  FAILED
  missing_stock       0      0  passed
`, "\n")
	got := b.String()
	require.Equal(t, want, got[:strings.Index(got, "\nPreliminary")])
}

func TestConsoleOfNothing(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Console(&b, result.Document{}))
	require.Contains(t, b.String(), "0 pieces")
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestConsoleTellsOfAWriterThatFails(t *testing.T) {
	require.ErrorContains(t, Console(full{}, sample()), "no room")
}

func TestBroken(t *testing.T) {
	require.Equal(t, []string{"aa, bb,", "cc"}, broken([]string{"aa", "bb", "cc"}, 7))
	require.Equal(t, []string{"a word that is too long,", "b"}, broken([]string{"a word that is too long", "b"}, 7))
	require.Empty(t, broken(nil, 7))
}
