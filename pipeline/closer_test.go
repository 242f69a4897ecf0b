package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/scanfile"
	"pointup/mesh/synthetic"
	"pointup/pipeline/job"
)

// closeUp writes a fine scan of one shape, lying aslant elsewhere, into dir.
func closeUp(t *testing.T, dir string, shape synthetic.Shape, noiseMM, edgeMM float64) {
	opt := synthetic.DefaultOptions()
	opt.Seed, opt.EdgeMM, opt.NoiseMM = 9, edgeMM, noiseMM
	pose := synthetic.Pose{OriginMM: r3.Vec{X: 31, Y: -17, Z: 44}, Axis: r3.Vec{X: 0.3, Y: -0.8, Z: 0.52}, Ref: r3.Vec{X: 1, Y: 0.4, Z: 0.1}}
	s, err := synthetic.Scan(synthetic.Scene{Name: "close", Pieces: []synthetic.Piece{{Name: "close", Shape: shape, Pose: pose}}}, opt)
	require.NoError(t, err)
	f, err := os.Create(filepath.Join(dir, "close.stl"))
	require.NoError(t, err)
	require.NoError(t, scanfile.WriteSTL(f, "close", s.Soup("close.stl")))
	require.NoError(t, f.Close())
}

// TestCloserScan takes the sizes of a finer scan of one piece, which lies and is
// turned elsewhere, and keeps those of the whole where the closer scan is of
// another size, of another kind, or coarser.
func TestCloserScan(t *testing.T) {
	disc := synthetic.Disc{OutsideDiameterMM: 30, ThicknessMM: 6}
	for _, c := range []struct {
		name    string
		shape   synthetic.Shape
		noise   float64
		edge    float64
		finding string
	}{
		{"finer", disc, 0.004, 0.8, ""},
		{"another size", synthetic.Disc{OutsideDiameterMM: 40, ThicknessMM: 9}, 0.004, 0.8, "closer-scan-astray"},
		{"another thickness", synthetic.Disc{OutsideDiameterMM: 30, ThicknessMM: 7.2}, 0.004, 0.8, "closer-scan-differs"},
		{"another kind", synthetic.Bar{OutsideDiameterMM: 8, LengthMM: 30}, 0.004, 0.8, "closer-scan-differs"},
		{"coarser", disc, 0.06, 2, "closer-scan-coarser"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			scan := broken(t)
			closeUp(t, filepath.Dir(scan), c.shape, c.noise, c.edge)
			// The disc is E02 or another by height: name it by its place.
			j, err := job.Parse("few.yaml", []byte("job: 1\nscan: {file: few.stl, unit: mm, parts: [{file: close.stl, unit: mm, piece: lid}]}\nenlarge: {ratio: 10}\npieces: {rows: [{name: lid, at: [50, 0, 6]}]}\n"))
			require.NoError(t, err)
			doc, out := ran(t, scan, j)
			assert.Equal(t, []job.ScanPart{{File: "close.stl", Unit: "mm", Piece: "lid"}}, out.Scan.Parts)
			var codes []string
			for _, f := range doc.Scan.Findings {
				if strings.HasPrefix(f.Code, "closer-") {
					codes = append(codes, f.Code)
				}
			}
			for _, e := range doc.Elements {
				if e.Name != "lid" {
					continue
				}
				require.Equal(t, "disc", e.Kind)
				d, _ := e.Maquette.Number("outside_diameter_mm")
				u, _ := e.U95.Get("outside_diameter_mm")
				assert.InDelta(t, 30, d, 0.03)
				noted := strings.Contains(strings.Join(e.Notes, "\n"), "closer scan close.stl")
				if c.finding == "" {
					assert.Empty(t, codes)
					assert.True(t, noted, "%v", e.Notes)
					assert.Less(t, u, 0.002)
				} else {
					assert.Equal(t, []string{c.finding}, codes)
					assert.False(t, noted)
				}
				assert.InDelta(t, 50, float64(e.Frame.OriginMM[0]), 0.05, "the place stays that of the whole")
			}
		})
	}
}

// TestCloserScanIsNotThere refuses a closer scan that cannot be read.
func TestCloserScanIsNotThere(t *testing.T) {
	scan := broken(t)
	j, err := job.Parse("few.yaml", []byte("job: 1\nscan: {file: few.stl, unit: mm, parts: [{file: gone.stl, unit: mm, piece: E01}]}\nenlarge: {ratio: 10}\n"))
	require.NoError(t, err)
	_, err = Run(context.Background(), j, scan, t.TempDir(), Options{Version: "test", Outputs: Outputs{Job: true}}, nil)
	var input *InputError
	require.ErrorAs(t, err, &input)
	assert.Contains(t, err.Error(), "gone.stl")
}
