package result

import (
	"bytes"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/pipeline/job"
)

func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	require.NoError(t, c.AddResource("result.schema.json", doc))
	s, err := c.Compile("result.schema.json")
	require.NoError(t, err)
	return s
}

func validate(t *testing.T, s *jsonschema.Schema, data []byte) error {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	require.NoError(t, err)
	return s.Validate(v)
}

func TestEncodedDocumentsKeepTheSchema(t *testing.T) {
	s := compiled(t)
	full := sample()
	full.Contacts = List[Contact]{{A: "E01", B: "E02", Kind: "weld", Seam: List[SeamAt]{{NormalA: Vector{1, 0, 0}, NormalB: Vector{0, 1, 0}}}}}
	whole, err := job.Parse("a.yaml", []byte(`scan: {file: a.stl, unit: mm, scale_u95: 0.02 %, coating: 0 mm}
enlarge: {known: 1 in = 10 in, trust: by_hand}
by_hand: [{piece: E01, dimension: wall, value: 3 mm, u95: 0.1 mm}]
pieces: {expected: 3, rows: [{at: [1, 2, 3], made: true}], join: [[E01, [1, 2, 3]]], part: [[[1, 2, 3], [4, 5, 6]]]}
shop: {hoists: [{name: north, capacity: 4 t}], rates: {currency: EUR, hour: 70, steel_kg: 1.6}}
haul: {envelope: [12 m, 2.5 m, 2.6 m], mass: 8 t, route: [{width: 4 m, radius: 9 m, slope: 8 %}]}
site: {wind: {code: ASCE 7-16, speed: 115 mph, speed_is: 3 s gust strength level, exposure: C}, ice: 0 mm, climbing_load: 2 kN, soil_bearing: 100 kPa, seismic: {coefficient: 0.2}}
gates: {surface_p95: 3 mm, missing_stock: 0, open_loop: 20 mm, utilisation: 0.8, weld_use: 0.25, lift_use: 0.75, unlifted: 0, props: 2, overhead_weld: 3 m, sections: 4, field_weld: 1.5 m, blocked: 0, made_change: 3 mm}
`))
	require.NoError(t, err)
	withJob := sample()
	withJob.Job = whole
	bare := sample()
	bare.Elements, bare.Gates, bare.Scan.Findings = nil, nil, nil
	for name, d := range map[string]Document{"sample": sample(), "contacts": full, "a whole job": withJob, "nothing found": bare} {
		data, err := Encode(d)
		require.NoError(t, err, name)
		assert.NoError(t, validate(t, s, data), name)
	}
}

func TestSchemaIsOpenAtTheTop(t *testing.T) {
	data, err := Encode(sample())
	require.NoError(t, err)
	more := strings.Replace(string(data), "{\n", "{\n  \"later\": {\"cuts\": []},\n", 1)
	assert.NoError(t, validate(t, compiled(t), []byte(more)))
}

func TestSchemaRefusesMutations(t *testing.T) {
	s := compiled(t)
	data, err := Encode(sample())
	require.NoError(t, err)
	for name, change := range map[string][2]string{
		"another schema":         {`"schema": "pointup.result/1"`, `"schema": "pointup.result/2"`},
		"a key renamed":          {`"dust_shells"`, `"dust"`},
		"a key more in scan":     {`"shells": 4`, `"shells": 4, "shell": 4`},
		"a count as a word":      {`"shells": 4`, `"shells": "4"`},
		"a count with a point":   {`"triangles": 1000`, `"triangles": 1000.5`},
		"a negative count":       {`"triangles": 1000`, `"triangles": -1`},
		"a null":                 {`"noise_mm": 0.0213`, `"noise_mm": null`},
		"no hash":                {`"sha256 0a`, `"sha1 0a`},
		"a short hash":           {`"sha256": "abab`, `"sha256": "ab`},
		"a kind":                 {`"kind": "tube"`, `"kind": "pipe"`},
		"an id":                  {`"id": "E02"`, `"id": "2"`},
		"a point of two":         {`"origin_mm": [1, 2, 3]`, `"origin_mm": [1, 2]`},
		"a long direction":       {`"axis": [0, 0, 1]`, `"axis": [0, 0, 2]`},
		"a dimension as a word":  {`"outside_diameter_mm": 21.3457`, `"outside_diameter_mm": "21.3457"`},
		"a dimension as null":    {`"outside_diameter_mm": 21.3457`, `"outside_diameter_mm": null`},
		"half a tooth":           {`"hole_count": 1`, `"hole_count": 1.5`},
		"a hole without size":    {`"diameter_mm": 4`, `"diametre_mm": 4`},
		"a slot without angle":   {`"angle_deg": 30`, `"angle": 30`},
		"a step without to":      {`"to": [25, -15]`, `"via": [25, -15]`},
		"a hand":                 {`"hand": "right"`, `"hand": "clockwise"`},
		"u95 as a word":          {`"outside_diameter_mm": 0.012`, `"outside_diameter_mm": "0.012"`},
		"freeform, deviation":    {`"kind": "tube"`, `"kind": "freeform"`},
		"tube without deviation": {`"kind": "freeform"`, `"kind": "tube"`},
		"coverage over 1":        {`"coverage": 0.83`, `"coverage": 83`},
		"an end":                 {`"kind": "square"`, `"kind": "straight"`},
		"a severity":             {`"severity": "warning"`, `"severity": "bad"`},
		"scale from":             {`"from": "ratio"`, `"from": "guess"`},
		"a gate's limit":         {`"limit": 3`, `"limit": "3 mm"`},
		"a matrix row":           {`[12, 0, 0, -5]`, `[12, 0, 0]`},
		"a job key":              {`"trust": "scan"`, `"trust": "scan", "factor": 2`},
		"two ways of scale":      {`"trust": "scan"`, `"height_mm": 3, "trust": "scan"`},
		"gates gone":             {`"gates": [`, `"gate": [`},
	} {
		require.Contains(t, string(data), change[0], name)
		changed := strings.Replace(string(data), change[0], change[1], 1)
		assert.Error(t, validate(t, s, []byte(changed)), name)
	}
}

// What later stages add keeps to the schema too: a document with a family, a cut
// and a cost, and no number that is not there.
func TestStockShopAndCostKeepTheSchema(t *testing.T) {
	d := sample()
	mm := MM(500)
	d.Stock = &Stock{System: "us", Grade: "ASTM A36", Families: List[Family]{{Letter: "A", Class: "hollow", Elements: List[string]{"E01"}, Marks: List[string]{"A1"}, ChangeMM: -2.2, ChangeShare: -0.0122,
		Stock: &StockSize{Mark: "NPS 8 Sch 40", Form: "pipe", System: "us", Standard: "ASME B36.10M"}}},
		Parts: List[Part]{{ID: "E01", Frame: Frame{Axis: Vector{0, 0, 1}, Ref: Vector{1, 0, 0}}}}}
	d.Shop = &Shop{CutList: List[Cut]{{Mark: "A1", Quantity: 1, Elements: List[string]{"E01"}, Kind: "tube", LengthMM: &mm}}}
	d.Cost = &Cost{Lines: List[CostLine]{{What: "saw cuts", Quantity: 2, Unit: "pieces"}}}
	data, err := Encode(d)
	require.NoError(t, err)
	assert.NoError(t, validate(t, compiled(t), data))
	wrong := strings.Replace(string(data), `"system": "us",`, `"system": "imperial",`, 1)
	require.NotEqual(t, string(data), wrong)
	assert.Error(t, validate(t, compiled(t), []byte(wrong)))
}
