package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
)

// call runs the program in this process and returns its status and streams.
func call(args ...string) (status int, stdout, stderr string) {
	var out, err bytes.Buffer
	status = run(args, &out, &err)
	return status, out.String(), err.String()
}

// scanned writes a small scan of a tube and a disc and returns its path.
func scanned(t *testing.T) string {
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = 1.5, 0.02
	s, err := synthetic.Scan(synthetic.Scene{Name: "two", Pieces: []synthetic.Piece{
		{Name: "tube", Shape: synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 14, LengthMM: 50}, Pose: synthetic.Upright(0, 0, 25)},
		{Name: "disc", Shape: synthetic.Disc{OutsideDiameterMM: 40, ThicknessMM: 5}, Pose: synthetic.Upright(60, 0, 2.5)},
	}}, opt)
	require.NoError(t, err)
	var data bytes.Buffer
	require.NoError(t, s.WriteSTL(&data))
	path := filepath.Join(t.TempDir(), "two.stl")
	require.NoError(t, os.WriteFile(path, data.Bytes(), 0o644))
	return path
}

// TestHostileScans holds that every broken scan is refused with status 2 and a
// message, and that nothing is left behind.
func TestHostileScans(t *testing.T) {
	good, err := os.ReadFile(scanned(t))
	require.NoError(t, err)
	count := func(n uint32) []byte {
		b := bytes.Clone(good)
		binary.LittleEndian.PutUint32(b[80:], n)
		return b
	}
	at := func(x float32) []byte {
		b := bytes.Clone(good)
		binary.LittleEndian.PutUint32(b[84+50*7+12:], math.Float32bits(x))
		return b
	}
	same := append(bytes.Clone(good[:84]), bytes.Repeat(good[84:134], 3)...)
	binary.LittleEndian.PutUint32(same[80:], 3)
	facet := "facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\n"
	files := map[string][]byte{
		"empty": {}, "one byte": good[:1], "header cut": good[:50], "header only": good[:80], "count cut": good[:82], "count only": good[:84],
		"normal cut": good[:90], "vertex 1 cut": good[:100], "vertex 2 cut": good[:112], "vertex 3 cut": good[:124], "attribute cut": good[:133],
		"one facet of many": good[:134], "half": good[:len(good)/2], "last byte": good[:len(good)-1], "one byte more": append(bytes.Clone(good), 0),
		"count 0": count(0), "count 1": count(1), "count 2^32-1": count(math.MaxUint32), "count 4e9": count(4000000000), "count off by one": count(uint32((len(good)-84)/50 + 1)),
		"NaN": at(float32(math.NaN())), "Inf": at(float32(math.Inf(1))), "-Inf": at(float32(math.Inf(-1))), "1e38": at(1e38), "-1e38": at(-1e38),
		"all the same": same, "zeros": make([]byte, 84+50*4), "text garbage": []byte("this is no scan at all, only words\n"), "solid only": []byte("solid x\n"),
		"solid and end": []byte("solid x\nendsolid x\n"), "facet cut": []byte("solid x\n" + facet[:60]), "word for a number": []byte("solid x\n" + strings.Replace(facet, "1 0 0", "one 0 0", 1) + "endsolid\n"),
		"two numbers": []byte("solid x\n" + strings.Replace(facet, "vertex 1 0 0", "vertex 1 0", 1) + "endsolid\n"), "text NaN": []byte("solid x\n" + strings.Replace(facet, "1 0 0", "nan 0 0", 1) + "endsolid\n"),
		"text Inf": []byte("solid x\n" + strings.Replace(facet, "1 0 0", "1e999 0 0", 1) + "endsolid\n"), "four vertices": []byte("solid x\n" + strings.Replace(facet, "endloop", "vertex 1 1 0\nendloop", 1) + "endsolid\n"),
		"no area":    []byte("solid x\n" + strings.Replace(facet, "0 1 0", "2 0 0", 1) + "endsolid\n"),
		"ply header": []byte("ply\nformat ascii 1.0\n"), "ply lying count": []byte("ply\nformat binary_little_endian 1.0\nelement vertex 4000000000\nproperty float x\nproperty float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n"),
		"ply unknown type": []byte("ply\nformat ascii 1.0\nelement vertex 1\nproperty quad x\nend_header\n0\n"), "ply index": []byte("ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n3 0 1 7\n"),
		"zip": []byte("PK\x03\x04aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"),
	}
	require.GreaterOrEqual(t, len(files), 40)
	for name, data := range files {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			path, out := filepath.Join(dir, "bad.stl"), filepath.Join(dir, "out")
			require.NoError(t, os.WriteFile(path, data, 0o644))
			status, stdout, stderr := call("run", path, "--unit", "mm", "--ratio", "12", "-o", out)
			require.Equal(t, exitInput, status, stderr)
			require.Contains(t, stderr, "bad.stl")
			require.Empty(t, stdout)
			require.NoDirExists(t, out)
		})
	}
}

// TestRefusals holds what the user may name wrongly.
func TestRefusals(t *testing.T) {
	good, dir := scanned(t), t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		return path
	}
	for name, c := range map[string]struct {
		args []string
		want string
	}{
		"absent":         {[]string{"run", filepath.Join(dir, "none.stl"), "--unit", "mm", "--ratio", "2"}, "none.stl"},
		"folder":         {[]string{"run", dir, "--unit", "mm", "--ratio", "2"}, "folder"},
		"no unit":        {[]string{"run", good, "--ratio", "2"}, "--unit"},
		"no ratio":       {[]string{"run", good, "--unit", "mm"}, "--ratio"},
		"unit":           {[]string{"run", good, "--unit", "parsec", "--ratio", "2"}, "unit"},
		"ratio":          {[]string{"run", good, "--unit", "mm", "--ratio", "-2"}, "ratio"},
		"output":         {[]string{"run", good, "--unit", "mm", "--ratio", "2", "--only", "hologram"}, "hologram"},
		"demo output":    {[]string{"demo", "--only", "hologram", "-o", filepath.Join(dir, "out")}, "hologram"},
		"command":        {[]string{"sculpt"}, "sculpt"},
		"flag":           {[]string{"run", good, "--speed"}, "--speed"},
		"job absent":     {[]string{"run", filepath.Join(dir, "none.yaml")}, "none.yaml"},
		"job key":        {[]string{"run", write("key.yaml", "job: 1\nscan: {file: two.stl, unit: mm}\nenlarge: {ratio: 2}\nsize: 3\n")}, "line 4, column 1"},
		"job empty":      {[]string{"run", write("empty.yaml", "")}, "empty.yaml"},
		"job scan":       {[]string{"run", write("scan.yaml", "job: 1\nscan: {file: none.stl, unit: mm}\nenlarge: {ratio: 2}\n")}, "none.stl"},
		"check absent":   {[]string{"check", filepath.Join(dir, "none.stl")}, "none.stl"},
		"fit two points": {[]string{"fit", write("two.xyz", "0 0 0\n1 1 1\n")}, "two.xyz"},
	} {
		t.Run(name, func(t *testing.T) {
			args := c.args
			if args[0] == "run" {
				args = append(args, "-o", filepath.Join(dir, "out"))
			}
			status, _, stderr := call(args...)
			require.Equal(t, exitInput, status, stderr)
			require.Contains(t, stderr, c.want)
			require.NoDirExists(t, filepath.Join(dir, "out"))
		})
	}
}

// TestRunKeepsItsSchema runs a small scan and holds result.json against the
// schema that the program prints.
func TestRunKeepsItsSchema(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	status, stdout, stderr := call("run", scanned(t), "--unit", "mm", "--ratio", "12", "-o", out)
	require.Equal(t, exitDone, status, stderr)
	require.Contains(t, stdout, "tube")
	_, text, _ := call("schema")
	schema, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("schema.json", schema))
	s, err := c.Compile("schema.json")
	require.NoError(t, err)
	data, err := os.ReadFile(filepath.Join(out, "result.json"))
	require.NoError(t, err)
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	require.NoError(t, err)
	require.NoError(t, s.Validate(doc))
	for _, f := range []string{"elements.csv", "elements.ply", "report.html", "job.out.yaml", "pictures/overview.png", "pictures/deviation.png", "pictures/E01.png"} {
		require.FileExists(t, filepath.Join(out, f))
	}
}

// TestGateAndOutputStatus holds statuses 1 and 3.
func TestGateAndOutputStatus(t *testing.T) {
	scan := scanned(t)
	dir := filepath.Dir(scan)
	jobFile := filepath.Join(dir, "two.yaml")
	require.NoError(t, os.WriteFile(jobFile, []byte("job: 1\npiece: two\nscan: {file: two.stl, unit: mm}\nenlarge: {ratio: 12}\ngates: {surface_p95: 0.01 mm}\n"), 0o644))
	status, _, stderr := call("run", jobFile, "--no-pictures", "-o", filepath.Join(dir, "out"))
	require.Equal(t, exitGate, status, stderr)
	require.FileExists(t, filepath.Join(dir, "out", "result.json"))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "file"), nil, 0o644))
	status, _, stderr = call("run", scan, "--unit", "mm", "--ratio", "12", "--no-pictures", "-o", filepath.Join(dir, "file"))
	require.Equal(t, exitOutput, status, stderr)
}

// TestJSONOutputs holds that --json prints one document and nothing else.
func TestJSONOutputs(t *testing.T) {
	scan := scanned(t)
	for name, key := range map[string]string{"check": "triangles", "fit": "noise_mm", "surfaces": "surfaces"} {
		status, stdout, stderr := call(name, scan, "--unit", "mm", "--json")
		require.Equal(t, exitDone, status, stderr)
		var v map[string]any
		require.NoError(t, json.Unmarshal([]byte(stdout), &v), name)
		require.Contains(t, v, key)
	}
	status, stdout, _ := call("version")
	require.Equal(t, exitDone, status)
	require.True(t, strings.HasPrefix(stdout, "pointup "))
}
