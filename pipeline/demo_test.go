package pipeline

import (
	"bytes"
	"context"
	"encoding/json"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/mesh/scanfile"
	"pointup/mesh/synthetic"
	"pointup/pipeline/job"
	"pointup/pipeline/result"
)

// demo scans the Tide Clock into a folder and returns its job and the scan's path.
func demo(t *testing.T) (job.Job, string, synthetic.Scanned) {
	scan, err := synthetic.Scan(synthetic.TideClock(), synthetic.TideClockOptions())
	require.NoError(t, err)
	text, err := synthetic.TideClockJob()
	require.NoError(t, err)
	j, err := job.Parse("tide-clock.yaml", []byte(text))
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), synthetic.TideClockFile)
	var data bytes.Buffer
	require.NoError(t, scan.WriteSTL(&data))
	require.NoError(t, os.WriteFile(path, data.Bytes(), 0o644))
	return j, path, scan
}

func runDemo(t *testing.T, j job.Job, path string) (result.Document, []byte) {
	dir := t.TempDir()
	o, err := OnlyOutputs([]string{"ply", "csv", "job"})
	require.NoError(t, err)
	doc, err := Run(context.Background(), j, path, dir, Options{Version: "test", Outputs: o}, nil)
	require.NoError(t, err)
	data, err := os.ReadFile(filepath.Join(dir, "result.json"))
	require.NoError(t, err)
	return doc, data
}

// demoResult is the demo's document, its bytes and its scan, for tests that only
// read them.
var demoResult struct {
	once sync.Once
	doc  result.Document
	data []byte
	scan synthetic.Scanned
}

func demoOnce(t *testing.T) (result.Document, synthetic.Scanned) {
	demoResult.once.Do(func() {
		j, path, scan := demo(t)
		demoResult.scan = scan
		demoResult.doc, demoResult.data = runDemo(t, j, path)
	})
	require.NotEmpty(t, demoResult.doc.Elements)
	return demoResult.doc, demoResult.scan
}

// TestDemoAgainstItsTruth holds every dimension of the demo within three halves
// of its own 95 % interval and 0.005 mm of the shapes it was made from: of some
// 60 dimensions at most 7 may lie outside 1 × u95 (3 are expected). With -v it prints
// the rows that the README's accuracy is taken from.
func TestDemoAgainstItsTruth(t *testing.T) {
	doc, scan := demoOnce(t)
	require.Len(t, doc.Elements, len(scan.Truth))
	outside, n := 0, 0
	for i, truth := range scan.Truth {
		name := synthetic.TideClock().Pieces[i].Name
		e := elementNamed(doc, name)
		require.NotNil(t, e, name)
		require.Equal(t, truth.Kind, e.Kind, name)
		for _, d := range e.Maquette {
			want, ok := truth.Value(d.Key)
			got, number := e.Maquette.Number(d.Key)
			if !ok || !number {
				continue
			}
			u, has := e.U95.Get(d.Key)
			if !has {
				require.Equal(t, want, got, "%s %s", name, d.Key)
				continue
			}
			n++
			t.Logf("%-12s %-6s %-24s %10.4f %+8.4f  u95 %.4f", name, e.Kind, d.Key, want, got-want, u)
			require.InDelta(t, want, got, 1.5*u+0.005, "%s %s", name, d.Key)
			if got-want > u || want-got > u {
				outside++
			}
		}
	}
	require.Greater(t, n, 55)
	require.LessOrEqual(t, outside, 7)
}

// TestDemoTellsWhatFits holds what the README says of the demo: the moon wheel
// takes chain 240 of ASME B29.1 (pitch 76.2 mm) at full size and none as it is,
// and the screen's 40 holes are staggered at 60 degrees, 10 mm apart.
func TestDemoTellsWhatFits(t *testing.T) {
	doc, _ := demoOnce(t)
	wheel := elementNamed(doc, "moon wheel")
	chains, ok := wheel.FullSize.Get("chains").(result.Chains)
	require.True(t, ok)
	require.Len(t, chains, 1)
	require.Equal(t, "ASME B29.1", chains[0].Standard)
	require.Equal(t, "240", chains[0].Number)
	require.InDelta(t, 76.2, float64(chains[0].PitchMM), 1e-9)
	require.Empty(t, wheel.Maquette.Get("chains"))

	pattern, ok := elementNamed(doc, "screen").Maquette.Get("pattern").(result.Pattern)
	require.True(t, ok)
	require.Equal(t, "staggered_60", pattern.Arrangement)
	require.Equal(t, [3]int{40, 4, 10}, [3]int{pattern.HoleCount, pattern.RowCount, pattern.ColumnCount})
	require.InDelta(t, 10, float64(*pattern.PitchAlongMM), 2*float64(pattern.PitchU95MM))
	require.InDelta(t, 6, float64(*pattern.DiameterMM), 0.01)
}

func elementNamed(d result.Document, name string) *result.Element {
	for i := range d.Elements {
		if d.Elements[i].Name == name {
			return &d.Elements[i]
		}
	}
	return nil
}

// TestSameBytes holds that neither the number of processors nor the order of the
// triangles in the file reaches a result.
func TestSameBytes(t *testing.T) {
	j, path, _ := demo(t)
	doc, _ := demoOnce(t)
	old := runtime.GOMAXPROCS(1)
	_, one := runDemo(t, j, path)
	runtime.GOMAXPROCS(old)
	require.True(t, bytes.Equal(one, demoResult.data), "one processor and %d give other bytes", old)

	soup, err := scanfile.Read(context.Background(), path, nil)
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(7, 0))
	rng.Shuffle(len(soup.Corners), func(a, b int) { soup.Corners[a], soup.Corners[b] = soup.Corners[b], soup.Corners[a] })
	shuffled := filepath.Join(t.TempDir(), "tide-clock.stl")
	f, err := os.Create(shuffled)
	require.NoError(t, err)
	require.NoError(t, scanfile.WriteSTL(f, "shuffled", soup))
	require.NoError(t, f.Close())
	again, _ := runDemo(t, j, shuffled)
	a, err := json.Marshal(doc.Elements)
	require.NoError(t, err)
	b, err := json.Marshal(again.Elements)
	require.NoError(t, err)
	require.Equal(t, string(a), string(b))
}

// TestInterrupted holds that a cancelled run writes nothing.
func TestInterrupted(t *testing.T) {
	j, path, _ := demo(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	dir := filepath.Join(t.TempDir(), "out")
	_, err := Run(ctx, j, path, dir, Options{Outputs: AllOutputs()}, nil)
	require.ErrorIs(t, err, context.Canceled)
	require.NoDirExists(t, dir)
}
