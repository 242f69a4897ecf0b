package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/pipeline/job"
	"pointup/pipeline/result"
)

// A post that was cut for 10 : 1 and is made keeps its section and length where the work
// becomes 5 % larger: the change is listed, 800 mm to 840 mm beside ± 3 mm of class
// B (ISO 13920 table 1, 400 to 1000 mm), and a second run says the same.
func TestMadePieceKeepsItsSize(t *testing.T) {
	scan, dir := stand(t), t.TempDir()
	run := func(ratio, made string) (*work, result.Document) {
		j, err := job.Parse("stand.yaml", []byte("job: 1\nscan: {file: few.stl, unit: mm}\nenlarge: {ratio: "+ratio+"}\nlimits: {stock_change: {share: 10 %}}\ngates: {made_change: 3 mm}\npieces: {rows: [{at: [0, 5.715, 40]"+made+"}]}\n"))
		require.NoError(t, err)
		w, err := measure(context.Background(), j, scan, newKeeper(dir, "", true), nil)
		require.NoError(t, err)
		d := w.document("test")
		data, err := result.Encode(d)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "result.json"), data, 0o600))
		return w, d
	}
	w, first := run("10", "")
	require.Nil(t, first.Revision)
	_, post := w.familyOf(t, "tube")
	for range 2 {
		w, d := run("10.5", ", made: true")
		require.NotNil(t, d.Revision)
		require.Len(t, d.Revision.Pieces, 1)
		r := d.Revision.Pieces[0]
		assert.Equal(t, fromEarlier, r.From)
		assert.Equal(t, first.Stock.Parts[post].ID, r.ID)
		assert.Equal(t, first.Stock.Parts[post].Stock, r.WasStock)
		assert.True(t, r.Changed)
		for _, key := range []string{"outside_diameter_mm", "wall_mm", "length_mm"} {
			was := sizeOf(t, first, post, key)
			now, _ := w.metal.assembly.Parts[post].Size(key)
			assert.InDelta(t, was, now, 1e-3, key)
		}
		var length result.Change
		for _, c := range r.Changes {
			if c.Key == "length_mm" {
				length = c
			}
		}
		assert.InDelta(t, 40, float64(length.By), 1.5, "800 mm to 840 mm")
		assert.InDelta(t, 3, float64(*length.PlusMinusMM), 1e-9)
		assert.False(t, length.Within)
		require.Len(t, d.Gates, 1)
		assert.False(t, d.Gates[0].Passed)
		codes := map[string]int{}
		for _, f := range d.Scan.Findings {
			codes[f.Code]++
		}
		assert.Equal(t, 1, codes["made-piece-changed"])
		assert.NotEmpty(t, r.Joints)
	}
}

func sizeOf(t *testing.T, d result.Document, part int, key string) float64 {
	t.Helper()
	for _, x := range d.Stock.Parts[part].FullSize {
		if x.Key == key {
			return float64(x.Value)
		}
	}
	t.Fatalf("%s has no %s", d.Stock.Parts[part].ID, key)
	return 0
}

// Without an earlier result a made piece has the size of the stock that is named, or
// else that of the scan; a result that cannot be read is said.
func TestMadePieceWithoutAnEarlierRun(t *testing.T) {
	w, err := standing(t, "pieces: {rows: [{at: [0, 5.715, 40], made: true, stock: NPS 4 Sch 40}]}\n")
	require.NoError(t, err)
	r := w.document("test").Revision.Pieces[0]
	assert.Equal(t, fromStock, r.From)
	assert.False(t, r.Changed)
	_, post := w.familyOf(t, "tube")
	wall, _ := w.metal.assembly.Parts[post].Size("wall_mm")
	assert.InDelta(t, 6.02, wall, 0.005, "ASME B36.10M")
	w = &work{keep: newKeeper(t.TempDir(), "", true)}
	require.NoError(t, os.WriteFile(filepath.Join(w.keep.dir, "result.json"), []byte("{"), 0o600))
	assert.Nil(t, w.earlier())
	require.Len(t, w.findings, 1)
	assert.Equal(t, "earlier-result-unread", w.findings[0].Code)
}
