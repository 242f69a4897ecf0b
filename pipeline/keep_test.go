package pipeline

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/pipeline/job"
	"pointup/segment/primitive"
)

// outputsOf are the files of an output folder but kept stages, by name.
func outputsOf(t *testing.T, dir string) map[string]string {
	out := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && d.Name() == stagesName {
			return fs.SkipDir
		}
		if !d.IsDir() {
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			out[strings.TrimPrefix(path, dir+string(filepath.Separator))] = string(data)
		}
		return nil
	}))
	return out
}

// kept runs a job into dir and tells whether shells had to be fitted.
func kept(t *testing.T, scan, dir, pieces string, opt Options) (fitted bool) {
	j, err := job.Parse("few.yaml", []byte("job: 1\nscan: {file: few.stl, unit: mm}\nenlarge: {ratio: 10}\ngates: {open_loop: 300 mm}\npieces:\n"+pieces))
	require.NoError(t, err)
	_, err = Run(context.Background(), j, scan, dir, opt, func(stage string, _, _ int64) { fitted = fitted || stage == "fit" })
	require.NoError(t, err)
	return fitted
}

func stagesIn(t *testing.T, dir string) []string {
	list, err := os.ReadDir(filepath.Join(dir, stagesName))
	require.NoError(t, err)
	var out []string
	for _, f := range list {
		out = append(out, f.Name())
	}
	return out
}

// TestKeptStagesGiveTheSameBytes holds every file of corrected runs that take up
// kept stages against runs that do all anew.
func TestKeptStagesGiveTheSameBytes(t *testing.T) {
	scan, dir := broken(t), filepath.Join(t.TempDir(), "out")
	opt := Options{Version: "one", Outputs: AllOutputs()}
	require.True(t, kept(t, scan, dir, "  rows: []\n", opt))
	for i, pieces := range []string{
		"  rows: []\n",
		"  rows: [{name: foot, at: [65, 0, 3], kind: ring}]\n",
		"  join: [[E01, E03]]\n  expected: 4\n",
		"  join: [[E01, E02]]\n  part: [[[5, 0, 20], [65, 0, 3]]]\n",
	} {
		opt.Outputs.Pictures = i == 1 // drawn twice only, for speed
		require.False(t, kept(t, scan, dir, pieces, opt), "%s fitted again", pieces)
		anew := filepath.Join(t.TempDir(), "anew")
		require.True(t, kept(t, scan, anew, pieces, opt))
		require.Equal(t, outputsOf(t, anew), outputsOf(t, dir), pieces)
		require.Equal(t, opt.Outputs, OutputsAmong(outputsOf(t, dir)), "the outputs of a folder")
		require.Subset(t, stagesIn(t, dir), stagesIn(t, anew))
		for _, s := range stagesIn(t, dir) {
			require.True(t, slices.Contains(stagesIn(t, anew), s) || strings.HasPrefix(s, "picture-"), "this run had no use for %s", s)
		}
	}
	fresh := opt
	fresh.Fresh = true
	require.True(t, kept(t, scan, dir, "  rows: []\n", fresh))
	fresh.Fresh, fresh.Version = false, "two"
	require.True(t, kept(t, scan, dir, "  rows: []\n", fresh), "another program")
}

// TestDamagedStagesAreIgnored holds that whatever stands in .stages, the run is
// as good as without, and that what is not ours stays there.
func TestDamagedStagesAreIgnored(t *testing.T) {
	scan, dir := broken(t), filepath.Join(t.TempDir(), "out")
	opt := Options{Version: "one", Outputs: Outputs{CSV: true, PLY: true, Job: true}}
	require.True(t, kept(t, scan, dir, "  rows: []\n", opt))
	want := outputsOf(t, dir)
	name := stagesIn(t, dir)[0]
	require.Len(t, stagesIn(t, dir), 1)
	path := filepath.Join(dir, stagesName, name)
	good, err := os.ReadFile(path)
	require.NoError(t, err)
	flipped := append([]byte(nil), good...)
	flipped[len(flipped)/2] ^= 1
	other, err := encodeKept([]piece{{Element: primitive.Element{Kind: "bar"}, Faces: []uint32{1 << 30}}})
	require.NoError(t, err)
	strange, err := encodeKept([]string{"of another shape"})
	require.NoError(t, err)
	for what, data := range map[string][]byte{
		"empty": {}, "cut": good[:len(good)-1], "head only": good[:len(keptHead)], "flipped": flipped, "garbage": []byte("garbage"), "of another scan": other, "another shape": strange,
	} {
		require.NoError(t, os.WriteFile(path, data, 0o644))
		require.True(t, kept(t, scan, dir, "  rows: []\n", opt), what)
		require.Equal(t, want, outputsOf(t, dir), what)
		require.False(t, kept(t, scan, dir, "  rows: []\n", opt), "%s is mended", what)
	}

	old := filepath.Join(dir, stagesName, "pieces-"+strings.Repeat("0", 64))
	part, picture, notes := path+".part", filepath.Join(dir, stagesName, "picture-"+strings.Repeat("1", 64)), filepath.Join(dir, stagesName, "notes.txt")
	for _, f := range []string{old, part, picture, notes} {
		require.NoError(t, os.WriteFile(f, []byte("x"), 0o644))
	}
	require.False(t, kept(t, scan, dir, "  rows: []\n", opt))
	require.NoFileExists(t, old)
	require.NoFileExists(t, part)
	require.FileExists(t, picture, "no pictures were asked for: theirs stay")
	require.FileExists(t, notes)

	require.NoError(t, os.Remove(path))
	require.NoError(t, os.Symlink(notes, path))
	require.True(t, kept(t, scan, dir, "  rows: []\n", opt), "a link is not followed")
	data, err := os.ReadFile(notes)
	require.NoError(t, err)
	require.Equal(t, "x", string(data))

	require.NoError(t, os.RemoveAll(filepath.Join(dir, stagesName)))
	require.NoError(t, os.WriteFile(filepath.Join(dir, stagesName), []byte("mine"), 0o644))
	require.True(t, kept(t, scan, dir, "  rows: []\n", opt), "no folder, nothing kept")
	data, err = os.ReadFile(filepath.Join(dir, stagesName))
	require.NoError(t, err)
	require.Equal(t, "mine", string(data))
}

// TestElementsAreKeptWhole holds that nothing of an element but its ideal surface,
// which is kept apart, lies in fields that are not written.
func TestElementsAreKeptWhole(t *testing.T) {
	var look func(typ reflect.Type, path string)
	look = func(typ reflect.Type, path string) {
		switch typ.Kind() {
		case reflect.Slice, reflect.Array, reflect.Pointer:
			look(typ.Elem(), path)
		case reflect.Map, reflect.Func, reflect.Interface, reflect.Chan:
			t.Errorf("%s: a %s is not kept, or in no order", path, typ)
		case reflect.Struct:
			for i := range typ.NumField() {
				f := typ.Field(i)
				if typ == reflect.TypeFor[primitive.Element]() && (f.Name == "solid" || f.Name == "solidOriginMM") {
					continue
				}
				require.True(t, f.IsExported(), "%s.%s is not kept", path, f.Name)
				look(f.Type, path+"."+f.Name)
			}
		}
	}
	look(reflect.TypeFor[piece](), "piece")
}
