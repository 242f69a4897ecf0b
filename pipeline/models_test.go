package pipeline

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
	"pointup/pipeline/job"
	"pointup/pipeline/result"
	"pointup/pipeline/solid"
)

// lumps is the scan of two lumps of which one is not seen from above, and a bar.
func lumps(t *testing.T) *work {
	lumpAt := func(name string, z float64) synthetic.Piece {
		return synthetic.Piece{Name: name, Shape: synthetic.Sphere{DiameterMM: 50}, Form: lump(), Pose: synthetic.Upright(0, 0, z)}
	}
	bar := synthetic.Piece{Name: "bar", Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 30}, Pose: synthetic.Upright(90, 0, 15)}
	scan := scanned(t, func(z float32) bool { return z > 145 }, lumpAt("whole", 25), lumpAt("open", 125), bar)
	j, err := job.Parse("few.yaml", []byte("job: 1\nscan: {file: few.stl, unit: mm}\nenlarge: {ratio: 10}\n"))
	require.NoError(t, err)
	w, err := measure(context.Background(), j, scan, newKeeper("", "", true), nil)
	require.NoError(t, err)
	return w
}

// TestSetsOfModels: every format is written under the name of the set; a freeform
// is a solid of facets where the scan closed it and a skin, said so, where not.
func TestSetsOfModels(t *testing.T) {
	w := lumps(t)
	pieces, findings := w.solids(w.scannedParts(), true)
	require.Empty(t, findings)
	kinds, whole := map[bool]int{}, ""
	for _, p := range pieces {
		f, faceted := p.Shape.(solid.Facets)
		if !faceted {
			continue
		}
		kinds[f.Open]++
		assert.LessOrEqual(t, len(f.Surface.Triangles), freeformFacets)
		assert.Equal(t, f.Open, strings.Contains(strings.Join(p.Notes, "; "), "skin"))
		if !f.Open {
			whole = p.Mark
			i := slices.IndexFunc(p.Props, func(x solid.Prop) bool { return x.Key == "volume_mm3" })
			require.GreaterOrEqual(t, i, 0)
			assert.InEpsilon(t, p.Props[i].Num, f.VolumeMM3(), 2e-3) // full size
		}
	}
	require.Equal(t, map[bool]int{false: 1, true: 1}, kinds)

	dir := t.TempDir()
	folder, err := result.OpenFolder(dir)
	require.NoError(t, err)
	defer folder.Abort()
	doc := w.document("test")
	for _, set := range []string{asScanned, asStock} {
		_, err := w.writeSet(folder, AllOutputs(), set, w.scannedParts())
		require.NoError(t, err)
	}
	_, err = w.writePatterns(folder, w.scannedParts(), nil)
	require.NoError(t, err)
	doc.Files = folder.Sums()
	assert.NotEmpty(t, doc.Files["patterns/"+whole+"-section-5.pdf"])
	require.NoError(t, folder.Commit(doc))
	read := func(name string) []byte {
		data, err := os.ReadFile(filepath.Join(dir, "models", name))
		require.NoError(t, err)
		return data
	}
	for _, name := range []string{".step", ".dxf", ".glb", ".3mf", "/E01.step"} {
		assert.NotEmpty(t, read("as-stock"+name))
	}
	step := read("as-scanned.step")
	assert.Equal(t, 2, bytes.Count(step, []byte("=MANIFOLD_SOLID_BREP(")))
	assert.Equal(t, 1, bytes.Count(step, []byte("=OPEN_SHELL(")))
	dxf := string(read("as-scanned.dxf"))
	for _, mark := range []string{"E01", "E02", "E03"} {
		assert.Contains(t, dxf, "\n"+mark+"\n")
	}
	assert.Equal(t, 2, strings.Count(dxf, "\nCIRCLE\n")) // the bar's ends
}
