package result

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew")

func TestEncodeIsAsItWas(t *testing.T) {
	data, err := Encode(sample())
	require.NoError(t, err)
	if *update {
		require.NoError(t, os.WriteFile("testdata/sample.json", data, 0o644))
	}
	want, err := os.ReadFile("testdata/sample.json")
	require.NoError(t, err)
	assert.Equal(t, string(want), string(data))
	assert.True(t, bytes.HasSuffix(data, []byte("}\n")))
}

func TestEncodeRounds(t *testing.T) {
	data, err := Encode(sample())
	require.NoError(t, err)
	text := string(data)
	assert.Contains(t, text, `"outside_diameter_mm": 21.3457`, "lengths to 1e-4 mm")
	assert.Contains(t, text, `"outside_diameter_mm": 0.012`, "u95 to two digits")
	assert.Contains(t, text, `"ref": [1, 0, 0]`, "directions to 1e-9")
	assert.Contains(t, text, `"min": [-1, 0, 2]`)
	assert.Contains(t, text, `"deviation": null`)
	assert.Contains(t, text, `"name": "leg <a> & b"`, "no HTML escapes")
	assert.NotContains(t, text, "-0,")
	assert.NotContains(t, text, "dir/")
	assert.NotContains(t, text, "scans/")
	assert.Equal(t, 1, strings.Count(text, "null"))
	assert.NotContains(t, text, `"contacts"`)
}

func TestEncodeKeepsTheOrderOfKeys(t *testing.T) {
	data, err := Encode(sample())
	require.NoError(t, err)
	at := -1
	for _, key := range []string{
		`"schema"`, `"version"`, `"files"`, `"job"`, `"scan"`, `"sha256"`, `"findings"`, `"scale"`, `"ratio": 12,`, `"site_from_scan"`, `"elements": [`,
		`"id": "E01",`, `"maquette"`, `"outside_diameter_mm"`, `"wall_mm"`, `"full_size"`, `"u95"`, `"hidden"`, `"ends"`, `"form"`, `"frame"`, `"deviation"`,
		`"coverage"`, `"alternatives"`, `"notes"`, `"unassigned"`, `"gates"`,
	} {
		i := strings.Index(string(data)[at+1:], key)
		require.GreaterOrEqual(t, i, 0, key)
		at += 1 + i
	}
}

func TestDecodeThenEncodeGivesTheSameBytes(t *testing.T) {
	d := sample()
	d.Contacts = List[Contact]{{A: "E01", B: "E02", Kind: "weld", LengthMM: 12, AngleDeg: new(Deg(90)), GapMM: new(MM(0.1)), Seam: List[SeamAt]{{PointMM: Point{1, 2, 3}, NormalA: Vector{1, 0, 0}, NormalB: Vector{0, 1, 0}}}}}
	d.Elements[0].Maquette = append(d.Elements[0].Maquette, Dim{"a_later_key", Raw(`{"shape":"square"}`)})
	d.Elements[0].FullSize = d.Elements[0].Maquette.Times(12)
	data, err := Encode(d)
	require.NoError(t, err)
	back, err := Decode(data)
	require.NoError(t, err)
	again, err := Encode(back)
	require.NoError(t, err)
	assert.Equal(t, string(data), string(again))
	assert.IsType(t, Holes{}, back.Elements[2].Maquette.Get("holes"))
	assert.IsType(t, Segments{}, back.Elements[3].Maquette.Get("segments"))
	assert.IsType(t, Count(0), back.Elements[2].Maquette.Get("hole_count"))
	assert.Equal(t, Text("right"), back.Elements[4].Maquette.Get("hand"))
}

func TestFullSizeIsMaquetteTimesRatio(t *testing.T) {
	d := sample().Elements[2].FullSize
	x, ok := d.Number("length_mm")
	assert.True(t, ok)
	assert.Equal(t, 600.0, x)
	n, ok := d.Number("hole_count")
	assert.True(t, ok)
	assert.Equal(t, 2.0, n)
	holes := d.Get("holes").(Holes)
	assert.Equal(t, [2]MM{96, 48}, *holes[0].AcrossMM)
	assert.Equal(t, Deg(30), *holes[0].AngleDeg)
	assert.Equal(t, [2]MM{0, 240}, *d.Get("outline_mm").(Outline)[2].Via)
	assert.Equal(t, [2]MM{8, 4}, *sample().Elements[2].Maquette.Get("holes").(Holes)[0].AcrossMM, "the maquette stays")
	sweep, _ := sample().Elements[3].FullSize.Number("sweep_deg")
	assert.Equal(t, 92.5, sweep)
	_, ok = d.Number("no_such_mm")
	assert.False(t, ok)
}

func TestEncodeRefusesFaults(t *testing.T) {
	for name, row := range map[string]struct {
		spoil func(*Document)
		says  string
	}{
		"NaN in a dimension": {func(d *Document) { d.Elements[0].Maquette[0].Value = MM(math.NaN()) }, ".Elements[0].Maquette[0].Value is NaN"},
		"infinite deviation": {func(d *Document) { d.Elements[1].Deviation.MaxMM = MM(math.Inf(1)) }, ".Elements[1].Deviation.MaxMM is +Inf"},
		"NaN in the job":     {func(d *Document) { d.Job.Limits.SurfaceMM = math.NaN() }, ".Job.Limits.SurfaceMM"},
		"NaN in a hole":      {func(d *Document) { d.Elements[2].FullSize[4].Value.(Holes)[0].CentreMM[1] = MM(math.NaN()) }, "CentreMM[1]"},
		"NaN u95":            {func(d *Document) { d.Elements[0].U95[0].Value = math.NaN() }, "U95[0]"},
		"negative u95":       {func(d *Document) { d.Elements[0].U95[0].Value = -1 }, "negative"},
		"wrong unit":         {func(d *Document) { d.Elements[0].Maquette[0].Value = Deg(1) }, `dimension "outside_diameter_mm" holds result.Deg`},
		"no value":           {func(d *Document) { d.Elements[0].Maquette[1].Value = nil }, "holds <nil>"},
		"a key twice": {func(d *Document) {
			d.Elements[0].Maquette[1].Key = "wall_mm"
			d.Elements[0].FullSize[1].Key = "wall_mm"
		}, "stands twice"},
		"other keys":          {func(d *Document) { d.Elements[0].FullSize[0].Key = "x_mm" }, `"x_mm" in full_size`},
		"fewer keys":          {func(d *Document) { d.Elements[0].FullSize = d.Elements[0].FullSize[:1] }, "full_size 1"},
		"u95 of nothing":      {func(d *Document) { d.Elements[0].U95[0].Key = "x_mm" }, "which maquette has not"},
		"hidden and given":    {func(d *Document) { d.Elements[0].Hidden = List[string]{"wall_mm"} }, "hidden and given"},
		"an id twice":         {func(d *Document) { d.Elements[1].ID = "E01" }, "stands twice"},
		"a wrong id":          {func(d *Document) { d.Elements[1].ID = "2" }, "the id is wrong"},
		"a wrong kind":        {func(d *Document) { d.Elements[1].Kind = "pipe" }, "is not one of the list"},
		"freeform, deviation": {func(d *Document) { d.Elements[1].Kind = "freeform" }, "all kinds but freeform"},
		"tube, none":          {func(d *Document) { d.Elements[0].Deviation = nil }, "all kinds but freeform"},
		"schema":              {func(d *Document) { d.Schema = "" }, "the schema"},
	} {
		d := sample()
		row.spoil(&d)
		data, err := Encode(d)
		require.Error(t, err, name)
		assert.Nil(t, data, name)
		assert.Contains(t, err.Error(), row.says, name)
	}
}

func TestDecodeRefuses(t *testing.T) {
	for name, text := range map[string]string{
		"empty": "", "not JSON": "{", "another schema": `{"schema":"other/1"}`, "list": "[]",
		"a dimension that is no object": `{"schema":"pointup.result/1","elements":[{"maquette":[]}]}`,
		"a hole that is no hole":        `{"schema":"pointup.result/1","elements":[{"maquette":{"holes":[1]}}]}`,
		"u95 that is a word":            `{"schema":"pointup.result/1","elements":[{"u95":{"a_mm":"x"}}]}`,
	} {
		_, err := Decode([]byte(text))
		assert.Error(t, err, name)
	}
}

func TestEncodeEmptyDocument(t *testing.T) {
	data, err := Encode(Document{Schema: SchemaName})
	require.NoError(t, err)
	assert.Contains(t, string(data), `"elements": []`)
	assert.Contains(t, string(data), `"files": {}`)
	assert.True(t, json.Valid(data))
}

func FuzzDecode(f *testing.F) {
	data, err := Encode(sample())
	require.NoError(f, err)
	f.Add(data)
	f.Add([]byte(`{"schema":"pointup.result/1","elements":[{"maquette":{"a_mm":1e999,"holes":null,"turns":null}}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := Decode(data)
		if err != nil {
			return
		}
		out, err := Encode(d)
		if err != nil {
			return
		}
		back, err := Decode(out)
		require.NoError(t, err)
		again, err := Encode(back)
		require.NoError(t, err)
		require.Equal(t, string(out), string(again))
	})
}
