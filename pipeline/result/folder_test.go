package result

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// writeRun writes an output of the named files, each with the text, and commits.
func writeRun(dir, text string, names ...string) error {
	f, err := OpenFolder(dir)
	if err != nil {
		return err
	}
	defer f.Abort()
	for _, name := range names {
		if err := f.Write(name, []byte(text+name)); err != nil {
			return err
		}
	}
	return f.Commit(Document{Schema: SchemaName, Version: text})
}

// tree lists the files and folders below dir with their texts.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || path == dir {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		if d.IsDir() {
			out[name+"/"] = ""
			return nil
		}
		data, err := os.ReadFile(path)
		out[name] = string(data)
		return err
	}))
	return out
}

// whole checks that a result.json, if there is one, lists files that are there
// with the bytes that it says, and returns the document's version or "".
func whole(t *testing.T, dir string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, resultName))
	if errors.Is(err, fs.ErrNotExist) {
		return ""
	}
	require.NoError(t, err)
	d, err := Decode(data)
	require.NoError(t, err)
	for name, want := range d.Files {
		data, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err, name)
		sum := sha256.Sum256(data)
		require.Equal(t, want, sumPrefix+hex.EncodeToString(sum[:]), name)
	}
	return d.Version
}

func names(m map[string]string) []string {
	out := []string{}
	for name := range m {
		out = append(out, name)
	}
	return out
}

func TestFolderHoldsWhatResultLists(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "b")
	require.NoError(t, writeRun(dir, "one", "elements.csv", "pictures/overview.png"))
	assert.Equal(t, "one", whole(t, dir))
	got := tree(t, dir)
	assert.ElementsMatch(t, []string{"elements.csv", "pictures/", "pictures/overview.png", "result.json"}, names(got))
	assert.Equal(t, "oneelements.csv", got["elements.csv"])
}

func TestFolderRemovesOnlyWhatItWrote(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "pictures"), 0o755))
	for _, name := range []string{"notes.txt", "pictures/mine.png", "result.json.bak"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("mine"), 0o644))
	}
	require.NoError(t, writeRun(dir, "one", "elements.csv", "report.html", "pictures/E01.png", "pictures/E02.png"))
	require.NoError(t, writeRun(dir, "two", "elements.csv", "pictures/E01.png"))
	assert.Equal(t, "two", whole(t, dir))
	got := tree(t, dir)
	assert.ElementsMatch(t, []string{"notes.txt", "pictures/", "pictures/mine.png", "result.json.bak", "elements.csv", "pictures/E01.png", "result.json"}, names(got))
	assert.Equal(t, "mine", got["pictures/mine.png"])
	assert.Equal(t, "twoelements.csv", got["elements.csv"])
}

func TestFolderNeverOverwritesAForeignFile(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "report.html"), []byte("my own report"), 0o644))
	err := writeRun(dir, "one", "elements.csv", "report.html")
	var typed *FolderError
	require.ErrorAs(t, err, &typed)
	assert.ErrorContains(t, err, "report.html: a file of this name is here that no result.json lists as ours; move it away")
	assert.Equal(t, map[string]string{"report.html": "my own report"}, tree(t, dir))

	require.NoError(t, os.WriteFile(filepath.Join(dir, "report.html"), []byte("onereport.html"), 0o644))
	assert.NoError(t, writeRun(dir, "one", "elements.csv", "report.html"), "the same bytes: nothing is lost")
	require.NoError(t, os.Remove(filepath.Join(dir, resultName)))
	assert.NoError(t, writeRun(dir, "one", "elements.csv", "report.html"), "result.json was deleted by hand, the rest is as before")
}

func TestFolderRefusesAResultOfAnother(t *testing.T) {
	for name, text := range map[string]string{"not JSON": "hello", "other": `{"tests": 3}`, "empty": ""} {
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, resultName), []byte(text), 0o644))
		assert.ErrorContains(t, writeRun(dir, "one", "elements.csv"), "not a result that was written here", name)
		assert.Equal(t, map[string]string{resultName: text}, tree(t, dir), name)
	}
}

func TestFolderRefusesWhatStandsInTheWay(t *testing.T) {
	for name, row := range map[string]struct {
		spoil func(t *testing.T, dir string)
		says  string
	}{
		"a folder for a file":   {func(t *testing.T, dir string) { replace(t, dir, "elements.csv"); mkdir(t, dir, "elements.csv") }, "elements.csv: this is a folder, where a file of ours belongs"},
		"a folder for result":   {func(t *testing.T, dir string) { replace(t, dir, resultName); mkdir(t, dir, resultName) }, "result.json: this is a folder"},
		"a file for pictures":   {func(t *testing.T, dir string) { replace(t, dir, "pictures"); file(t, dir, "pictures") }, "pictures: this is a file, where a folder of ours belongs"},
		"a link for a file":     {func(t *testing.T, dir string) { replace(t, dir, "elements.csv"); link(t, dir, "elements.csv") }, "elements.csv: this is a link"},
		"a link for result":     {func(t *testing.T, dir string) { replace(t, dir, resultName); link(t, dir, resultName) }, "result.json: this is a link"},
		"a link for pictures":   {func(t *testing.T, dir string) { replace(t, dir, "pictures"); link(t, dir, "pictures") }, "pictures: this is a link"},
		"a link for .writing":   {func(t *testing.T, dir string) { link(t, dir, writingName) }, ".writing: this is a link"},
		"a file named .writing": {func(t *testing.T, dir string) { file(t, dir, writingName) }, ".writing: this is a file"},
	} {
		base := t.TempDir()
		dir, outside := filepath.Join(base, "out"), filepath.Join(base, "outside")
		require.NoError(t, os.Mkdir(outside, 0o755))
		file(t, outside, "keep")
		require.NoError(t, writeRun(dir, "one", "elements.csv", "pictures/E01.png"))
		row.spoil(t, dir)
		before := names(tree2(t, dir))
		err := writeRun(dir, "two", "elements.csv", "pictures/E01.png")
		var typed *FolderError
		require.ErrorAs(t, err, &typed, name)
		assert.ErrorContains(t, err, row.says, name)
		assert.ElementsMatch(t, before, names(tree2(t, dir)), name)
		assert.Equal(t, map[string]string{"keep": "x"}, tree(t, outside), name)
	}
}

func replace(t *testing.T, dir, name string) {
	require.NoError(t, os.RemoveAll(filepath.Join(dir, name)))
}
func mkdir(t *testing.T, dir, name string) {
	require.NoError(t, os.MkdirAll(filepath.Join(dir, name, "inside"), 0o755))
}
func file(t *testing.T, dir, name string) {
	require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("x"), 0o644))
}

// link puts a link to a folder outside at a name.
func link(t *testing.T, dir, name string) {
	require.NoError(t, os.Symlink(filepath.Join(dir, "..", "outside"), filepath.Join(dir, name)))
}

// tree2 lists names without following links.
func tree2(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		out[path] = ""
		return err
	}))
	return out
}

func TestFolderRefusesWhatIsNoFolder(t *testing.T) {
	base := t.TempDir()
	file(t, base, "f")
	for name, says := range map[string]string{"f": "this is a file, not a folder", "f/out": "this is a file, not a folder", "": "no folder is named"} {
		dir := ""
		if name != "" {
			dir = filepath.Join(base, name)
		}
		_, err := OpenFolder(dir)
		var typed *FolderError
		require.ErrorAs(t, err, &typed, name)
		if name == "f/out" {
			continue // the system says "not a directory" before we look
		}
		assert.ErrorContains(t, err, says, name)
	}
	if os.Getuid() == 0 {
		t.Skip("the superuser may write everywhere")
	}
	require.NoError(t, os.Chmod(base, 0o555))
	defer os.Chmod(base, 0o755)
	_, err := OpenFolder(filepath.Join(base, "out"))
	assert.ErrorContains(t, err, "permission denied; make the folder writable")
}

func TestAbortLeavesNothing(t *testing.T) {
	base := t.TempDir()
	dir := filepath.Join(base, "a", "b")
	f, err := OpenFolder(dir)
	require.NoError(t, err)
	require.NoError(t, f.Write("pictures/E01.png", []byte("x")))
	require.NoError(t, f.Abort())
	require.NoError(t, f.Abort(), "twice is once")
	assert.Empty(t, tree(t, base), "the folders that were made are gone")
	_, err = f.Create("elements.csv")
	assert.Error(t, err, "after the end")

	require.NoError(t, writeRun(dir, "one", "elements.csv"))
	before := tree(t, dir)
	f, err = OpenFolder(dir)
	require.NoError(t, err)
	require.NoError(t, f.Write("elements.csv", []byte("half")))
	require.NoError(t, f.Abort())
	assert.Equal(t, before, tree(t, dir), "the old output stands")
}

func TestCommitRefusesAFault(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	f, err := OpenFolder(dir)
	require.NoError(t, err)
	w, err := f.Create("elements.ply")
	require.NoError(t, err)
	assert.ErrorContains(t, f.Commit(Document{Schema: SchemaName}), "still being written")
	require.NoError(t, w.Close())
	require.NoError(t, w.Close(), "twice is once")
	_, err = f.Create("elements.ply")
	assert.ErrorContains(t, err, "written twice")
	for _, name := range []string{"", ".", "..", "../x", "/x", "a/../b", ".x", "a/.x", "result.json", "a\\b", "a:b", "a\nb", strings.Repeat("a", 300)} {
		_, err = f.Create(name)
		assert.Error(t, err, name)
	}
	assert.Len(t, f.Sums(), 1)
	assert.Error(t, f.Commit(Document{}), "a document that cannot be encoded")
	assert.NoDirExists(t, dir)
}

func TestAResultCannotNameForeignFiles(t *testing.T) {
	base := t.TempDir()
	dir := filepath.Join(base, "out")
	require.NoError(t, writeRun(dir, "one", "elements.csv"))
	file(t, base, "keep")
	mkdir(t, dir, "folder")
	require.NoError(t, os.WriteFile(filepath.Join(dir, resultName), []byte(`{"schema":"pointup.result/1","files":{"../keep":"","/etc/passwd":"","folder":"","folder/inside":"",".":"","":"","elements.csv":""}}`), 0o644))
	require.NoError(t, writeRun(dir, "two", "report.html"))
	assert.FileExists(t, filepath.Join(base, "keep"))
	assert.DirExists(t, filepath.Join(dir, "folder", "inside"))
	assert.NoFileExists(t, filepath.Join(dir, "elements.csv"))
}
