package pipeline

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestImports holds who may import whom: a package may import only what its row
// lists. Tests may import more.
func TestImports(t *testing.T) {
	segment := "mesh segment segment/fit segment/surface segment/primitive segment/assembly"
	may := map[string]string{
		"mesh":              "",
		"mesh/scanfile":     "mesh",
		"mesh/render":       "mesh",
		"mesh/synthetic":    "mesh",
		"segment":           "mesh",
		"segment/fit":       "",
		"segment/surface":   "mesh segment segment/fit",
		"segment/primitive": "mesh segment segment/fit segment/surface",
		"segment/assembly":  "mesh segment segment/fit segment/surface segment/primitive",
		"pipeline/quantity": "",
		"pipeline/solid":    "",
		"pipeline/fidelity": "",
		"pipeline/draw":     "",
		"pipeline/job":      "pipeline/quantity",
		"pipeline/stock":    "pipeline/quantity pipeline/job",
		"pipeline/fitup":    "pipeline/quantity pipeline/job pipeline/stock",
		"pipeline/rig":      "pipeline/quantity pipeline/job pipeline/stock",
		"pipeline/site":     "pipeline/quantity pipeline/job pipeline/stock",
		"pipeline/sheet":    "pipeline/quantity",
		"pipeline/drawings": "pipeline/quantity pipeline/job pipeline/stock pipeline/draw pipeline/solid",
		"pipeline/shop":     "pipeline/quantity pipeline/job pipeline/stock pipeline/sheet pipeline/draw pipeline/solid",
		"pipeline/result":   "pipeline/quantity pipeline/job pipeline/site",
		"pipeline/report":   "pipeline/quantity pipeline/job pipeline/site pipeline/result pipeline/sheet",
		"pipeline":          "mesh/scanfile mesh/render pipeline/quantity pipeline/job pipeline/stock pipeline/fitup pipeline/rig pipeline/site pipeline/shop pipeline/sheet pipeline/solid pipeline/draw pipeline/drawings pipeline/fidelity pipeline/result pipeline/report " + segment,
		"pipeline/review":   "mesh pipeline/job pipeline/result",
		"cmd/pointup":       "mesh/scanfile mesh/synthetic pipeline pipeline/review pipeline/quantity pipeline/job pipeline/result pipeline/report " + segment,
		"cmd/montecarlo":    "mesh/synthetic " + segment,
		"cmd/scanbench":     "mesh/synthetic pipeline pipeline/job",
		"cmd/weldstudy":     "mesh/synthetic " + segment,
	}
	root, err := filepath.Abs("..")
	require.NoError(t, err)
	seen := map[string]bool{}
	err = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		rel, err := filepath.Rel(root, filepath.Dir(path))
		require.NoError(t, err)
		room := filepath.ToSlash(rel)
		list, known := may[room]
		require.True(t, known, "the room %s is not in the table", room)
		seen[room] = true
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		require.NoError(t, err)
		for _, i := range file.Imports {
			name, ours := strings.CutPrefix(strings.Trim(i.Path.Value, `"`), "pointup/")
			if ours {
				require.Contains(t, strings.Fields(list), name, "%s imports %s", path, name)
			}
		}
		return nil
	})
	require.NoError(t, err)
	require.Len(t, seen, len(may))
}
