package job

import (
	"encoding/json"
	"math"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWriteSaysEveryDefault(t *testing.T) {
	j, err := ForScan("post.stl", "in", 12)
	require.NoError(t, err)
	data, err := Write(j)
	require.NoError(t, err)
	assert.Equal(t, `job: 1
piece: post
scan: {file: post.stl, unit: in, up: +z, ground: lowest, scale_u95: unknown, coating: unknown}
enlarge: {ratio: 12, trust: scan}
by_hand: []
pieces:
  expected: unknown
  rows: []
  join: []
  part: []
limits: {form: 2 %, surface: 3 mm, work: ISO 13920-BF, stock_change: {share: 3 %, size: 6 mm}}
metal: {system: us, grade: ASTM A36, finish: bare, wall_min: 5 mm, tables: [], ban: []}
shop:
  bar_lengths: [6096 mm]
  sheets:
    - {length: 2438.4 mm, width: 1219.2 mm}
  kerf: {plasma: 3 mm, laser: 0.3 mm}
  hoists: []
  rates: none
  pace: {cut_m_h: 40, pierce_s: 5, saw_s: 300, bend_h: 0.5, deposition_kg_h: 2.5, arc_share: 25 %, lift_h: 0.75, setup_h: 0.5}
haul: none
site: none
gates: {surface_p95: none, missing_stock: none, open_loop: none, utilisation: none, weld_use: none, lift_use: none, unlifted: none, props: none, overhead_weld: none, sections: none, field_weld: none, blocked: none, access: none, made_change: none}
show: {units: both}
decided: []
`, string(data))
}

func TestWriteThenParseGivesTheSameJob(t *testing.T) {
	j, err := Parse("a.yaml", []byte(whole))
	require.NoError(t, err)
	data, err := Write(j)
	require.NoError(t, err)
	back, err := Parse(OutName, data)
	require.NoError(t, err)
	assert.Equal(t, j, back)
	rapid.Check(t, func(t *rapid.T) {
		j := anyJob(t)
		data, err := Write(j)
		require.NoError(t, err)
		back, err := Parse(OutName, data)
		require.NoError(t, err)
		require.Equal(t, j, back)
		again, err := Write(back)
		require.NoError(t, err)
		require.Equal(t, string(data), string(again))
	})
}

func TestJobGoesThroughJSON(t *testing.T) {
	j, err := Parse("a.yaml", []byte(whole))
	require.NoError(t, err)
	data, err := json.Marshal(j)
	require.NoError(t, err)
	assert.NotContains(t, string(data), "null")
	var back Job
	require.NoError(t, json.Unmarshal(data, &back))
	assert.Equal(t, j, back)
	assert.Error(t, json.Unmarshal([]byte(`[1,2]`), new(Ref)))
}

func TestWriteRefusesWhatParseWould(t *testing.T) {
	j, err := ForScan("post.stl", "in", 12)
	require.NoError(t, err)
	for name, spoil := range map[string]func(*Job){
		"no scan":     func(j *Job) { j.Scan.File = "" },
		"NaN":         func(j *Job) { j.Limits.SurfaceMM = math.NaN() },
		"line break":  func(j *Job) { j.Piece = "a\nb" },
		"bad kind":    func(j *Job) { j.Pieces.Rows = []Row{{ID: "E01", Kind: "pipe"}} },
		"no ratio":    func(j *Job) { j.Enlarge.Ratio = nil },
		"half a join": func(j *Job) { j.Pieces.Join = [][]Ref{{{Name: "E01"}}} },
	} {
		bad := j
		spoil(&bad)
		_, err := Write(bad)
		assert.Error(t, err, name)
	}
}

// anyJob draws a valid job: names of any printable characters, numbers over many
// magnitudes.
func anyJob(t *rapid.T) Job {
	name := rapid.StringOfN(rapid.RuneFrom(nil, unicode.L, unicode.N, unicode.P, unicode.S, unicode.Zs), 1, 20, -1).
		Filter(func(s string) bool { _, id := Number(s); return printable(s) == s && s != "" && !id })
	size := rapid.Float64Range(1e-9, 1e9)
	share := rapid.Float64Range(1e-9, 1)
	point := rapid.Custom(func(t *rapid.T) [3]float64 {
		r := rapid.Float64Range(-1e12, 1e12)
		return [3]float64{r.Draw(t, "x") + 0, r.Draw(t, "y") + 0, r.Draw(t, "z") + 0}
	})
	j := Default()
	j.Piece, j.Scan.File, j.Scan.Unit = name.Draw(t, "piece"), name.Draw(t, "file"), rapid.SampledFrom([]string{"mm", "cm", "m", "in", "ft"}).Draw(t, "unit")
	if rapid.Bool().Draw(t, "height") {
		j.Enlarge.HeightMM = new(size.Draw(t, "h"))
	} else {
		j.Enlarge.Ratio = new(rapid.Float64Range(0.01, 10000).Draw(t, "ratio"))
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "rows") {
		at := point.Draw(t, "at")
		j.Pieces.Rows = append(j.Pieces.Rows, Row{ID: ID(i + 1), At: &at, Kind: rapid.SampledFrom(Kinds()).Draw(t, "kind"), Stock: name.Draw(t, "stock"), Made: rapid.Bool().Draw(t, "made")})
		j.Pieces.Join = append(j.Pieces.Join, []Ref{{Name: ID(i + 1)}, {At: new(point.Draw(t, "ref"))}})
		j.Pieces.Part = append(j.Pieces.Part, [][3]float64{point.Draw(t, "p"), point.Draw(t, "q")})
		j.ByHand = append(j.ByHand, Measured{Piece: ID(i + 1), Dimension: rapid.SampledFrom([]string{"wall_mm", "sweep_deg", "turns"}).Draw(t, "dim"), Value: rapid.Float64Range(1e-9, 1e6).Draw(t, "v")})
	}
	if len(j.Pieces.Rows) > 0 {
		j.Pieces.Rows[0].Name = name.Draw(t, "name")
		j.Pieces.Join = append(j.Pieces.Join, []Ref{{Name: j.Pieces.Rows[0].Name}, {Name: "E99"}})
	}
	j.Limits.Form, j.Limits.SurfaceMM = share.Draw(t, "form"), size.Draw(t, "surface")
	j.Haul = &Haul{MassKG: new(size.Draw(t, "mass")), Route: []Passage{{Slope: new(share.Draw(t, "slope"))}}}
	j.Site = &Site{SoilBearingKPa: new(size.Draw(t, "soil")), ClimbingLoadN: new(size.Draw(t, "climb")), LifeYears: new(rapid.Float64Range(1e-3, 500).Draw(t, "life")),
		Seismic: &Seismic{Coefficient: rapid.Float64Range(1e-6, 5).Draw(t, "seismic")}, AirC: &[2]float64{rapid.Float64Range(-90, 0).Draw(t, "cold") + 0, rapid.Float64Range(1, 60).Draw(t, "hot")}}
	j.Shop.Hoists = []Hoist{{Name: name.Draw(t, "hoist"), CapacityKG: size.Draw(t, "capacity")}}
	j.Gates.Utilisation = new(share.Draw(t, "utilisation"))
	j.Decided = []Decided{{On: name.Draw(t, "on"), Note: name.Draw(t, "note")}}
	return j
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{whole, least, "", "---\n", "scan: {file: a.stl, unit: mm}\nenlarge: {ratio: .nan}\n", "? [a]\n: b\n", "a: &a [*a]\n", "piece: |\n  x\n", "{", "- ", "\t", "a: 'b\n", "scan:\n- - -\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		j, err := Parse("a.yaml", data)
		if err != nil {
			var typed *Error
			require.ErrorAs(t, err, &typed)
			require.Positive(t, typed.Line)
			require.Positive(t, typed.Column)
			return
		}
		out, err := Write(j)
		require.NoError(t, err)
		back, err := Parse(OutName, out)
		require.NoError(t, err)
		require.Equal(t, j, back)
	})
}
