package job

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestScanParts reads closer scans of single pieces, writes them back without
// folders, and refuses one that names no piece or no unit.
func TestScanParts(t *testing.T) {
	const head = "enlarge: {ratio: 10}\npieces: {rows: [{id: E01, name: mast}]}\nscan: {file: a.stl, unit: mm, parts: "
	j, err := Parse("a.yaml", []byte(head+"[{file: close/mast.stl, unit: in, piece: mast}]}\n"))
	require.NoError(t, err)
	assert.Equal(t, []ScanPart{{"close/mast.stl", "in", "mast"}}, j.Scan.Parts)
	data, err := Write(j.WithoutFolders())
	require.NoError(t, err)
	back, err := Parse(OutName, data)
	require.NoError(t, err)
	assert.Equal(t, []ScanPart{{"mast.stl", "in", "mast"}}, back.Scan.Parts)
	assert.Equal(t, "close/mast.stl", j.Scan.Parts[0].File)
	for name, part := range map[string]string{
		"no piece":      "[{file: b.stl, unit: mm}]}",
		"no unit":       "[{file: b.stl, piece: mast}]}",
		"no file":       "[{unit: mm, piece: mast}]}",
		"unknown key":   "[{file: b.stl, unit: mm, piece: mast, name: x}]}",
		"unknown piece": "[{file: b.stl, unit: mm, piece: sail}]}",
		"no list":       "b.stl}",
	} {
		_, err := Parse("a.yaml", []byte(head+part+"\n"))
		assert.Error(t, err, name)
	}
}
