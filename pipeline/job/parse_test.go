package job

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// whole is a job with every section, in the styles that people write.
const whole = `# what the sculptor said
job: 1
piece: Heron Gate
scan: {file: scans/heron.stl, unit: in, up: -y, ground: lowest, scale_u95: 0.02 %, coating: 0.05 mm}
enlarge:
  known: 1 in = 10 in
  trust: by_hand
by_hand:
  - {piece: leg, dimension: outside_diameter, value: 21.3 mm, u95: 0.05 mm}
  - {piece: E02, dimension: sweep, value: 92 deg}
  - {piece: leg, dimension: tooth_count, value: 24}
pieces:
  expected: 9
  rows:
    - {id: E01, name: leg, at: [12.0, 3.5, 80.0], kind: tube, stock: NPS 8 Sch 40, made: false}
    - id: E02
      name: 'wing: left'
      at: [1e1, -2, .5]
      made: true
    - {at: [0, 0, 1], kind: plate}
  join: [[leg, [12.0, 3.5, 20.0]]]
  part: [[[40.2, 1, 55], [44, 1, 55]]]
limits: {form: 2.5 %, surface: 1/8 in, work: EN ISO 13920-CG, stock_change: {share: 4 %, size: 5 mm}}
metal: {system: metric, finish: hot-dip galvanised, wall_min: 4 mm, tables: [own.csv], ban: [tube, box]}
shop: {bar_lengths: [20 ft, 6 m], sheets: [{length: 96 in, width: 48 in}], kerf: {plasma: 2 mm, saw: 1.5 mm}, hoists: [{name: north, capacity: 4 t}], rates: {currency: EUR, hour: 70, steel_kg: 1.6, weld_kg: 4}, pace: {cut_m_h: 60, arc_share: 30 %}}
haul: {envelope: [12 m, 2.5 m, 2.6 m], mass: 8 t, route: [{width: 4 m, radius: 9 m, slope: 8 %}]}
site: {wind: {code: ASCE 7-16, speed: 115 mph, speed_is: 3 s gust strength level, exposure: C}, ice: 0 mm, climbing_load: 2 kN, soil_bearing: 100 kPa, seismic: {coefficient: 0.2}, corrosivity: C4, life: 50 years, air: [5 F, 35 C]}
gates: {surface_p95: 3 mm, missing_stock: 0, open_loop: 20 mm, utilisation: 0.8, weld_use: 0.25, lift_use: 0.75, unlifted: 0, props: 2, overhead_weld: 3 m, sections: 4, field_weld: 1.5 m, blocked: 0, access: 2, made_change: 3 mm}
show: {units: ft-in}
decided: [{on: finding dust, note: 'spatter: blown off'}, {on: hidden E02}]
`

func TestDecidedIsReadStrictly(t *testing.T) {
	for name, c := range map[string]struct{ text, says string }{
		"nothing decided": {"decided: [{note: later}]", "decided[1]"},
		"twice":           {"decided: [{on: hidden E02}, {on: hidden E02, note: x}]", "as does decided[1]"},
		"unknown key":     {"decided: [{on: hidden E02, by: me}]", "by"},
	} {
		_, err := Parse("a.yaml", []byte("scan: {file: a.stl, unit: mm}\nenlarge: {ratio: 2}\n"+c.text+"\n"))
		assert.ErrorContains(t, err, c.says, name)
	}
}

func TestParseReadsEverySection(t *testing.T) {
	j, err := Parse("dir/heron.yaml", []byte(whole))
	require.NoError(t, err)
	assert.Equal(t, Job{
		Version: 1, Piece: "Heron Gate",
		Scan:    Scan{File: "scans/heron.stl", Unit: "in", Up: "-y", Ground: "lowest", ScaleU95: new(0.0002), CoatingMM: new(0.05)},
		Enlarge: Enlarge{Known: &Known{MaquetteMM: 25.4, FullMM: 254}, Trust: "by_hand"},
		ByHand: []Measured{
			{Piece: "leg", Dimension: "outside_diameter_mm", Value: 21.3, U95: new(0.05)},
			{Piece: "E02", Dimension: "sweep_deg", Value: 92},
			{Piece: "leg", Dimension: "tooth_count", Value: 24},
		},
		Pieces: Pieces{
			Expected: new(9),
			Rows: []Row{
				{ID: "E01", Name: "leg", At: &[3]float64{12, 3.5, 80}, Kind: "tube", Stock: "NPS 8 Sch 40"},
				{ID: "E02", Name: "wing: left", At: &[3]float64{10, -2, 0.5}, Made: true},
				{At: &[3]float64{0, 0, 1}, Kind: "plate"},
			},
			Join: [][]Ref{{{Name: "leg"}, {At: &[3]float64{12, 3.5, 20}}}},
			Part: [][][3]float64{{{40.2, 1, 55}, {44, 1, 55}}},
		},
		Limits: Limits{Form: 0.025, SurfaceMM: 3.175, Work: "ISO 13920-CG", StockChange: StockChange{Share: 0.04, SizeMM: 5}},
		Metal:  Metal{System: "metric", Grade: "EN 10025 S235JR", Finish: "hot-dip galvanised", WallMinMM: 4, Tables: []string{"own.csv"}, Ban: []string{"tube", "box"}},
		Shop: Shop{
			BarLengthsMM: []float64{6096, 6000}, Sheets: []Sheet{{LengthMM: 2438.4, WidthMM: 1219.2}},
			KerfMM: map[string]float64{"plasma": 2, "laser": 0.3, "saw": 1.5}, Hoists: []Hoist{{Name: "north", CapacityKG: 4000}},
			Rates: &Rates{Currency: "EUR", Hour: new(70.0), SteelKG: new(1.6), WeldKG: new(4.0)},
			Pace:  Pace{CutMH: 60, PierceS: 5, SawS: 300, BendH: 0.5, DepositionKGH: 2.5, ArcShare: 0.3, LiftH: 0.75, SetupH: 0.5},
		},
		Haul: &Haul{EnvelopeMM: &[3]float64{12000, 2500, 2600}, MassKG: new(8000.0), Route: []Passage{{WidthMM: new(4000.0), RadiusMM: new(9000.0), Slope: new(0.08)}}},
		Site: &Site{
			Wind:  &Wind{Code: "ASCE 7-16", SpeedMPS: 51.4096, SpeedIs: "3 s gust strength level", Exposure: "C"},
			IceMM: new(0.0), ClimbingLoadN: new(2000.0), SoilBearingKPa: new(100.0), Seismic: &Seismic{Coefficient: 0.2},
			Corrosivity: new("C4"), LifeYears: new(50.0), AirC: &[2]float64{-15, 35},
		},
		Gates: Gates{SurfaceP95MM: new(3.0), MissingStock: new(0), OpenLoopMM: new(20.0), Utilisation: new(0.8), WeldUse: new(0.25), LiftUse: new(0.75), Unlifted: new(0), Props: new(2), OverheadWeldMM: new(3000.0),
			Sections: new(4), FieldWeldMM: new(1500.0), Blocked: new(0), Access: new(2), MadeChangeMM: new(3.0)},
		Show:    Show{Units: "ft-in"},
		Decided: []Decided{{On: "finding dust", Note: "spatter: blown off"}, {On: "hidden E02"}},
	}, j)
	assert.Equal(t, "known_dimension", j.Enlarge.From())
}

func TestParseFillsEveryDefault(t *testing.T) {
	j, err := Parse("a.yaml", []byte("scan: {file: dir/gate post.stl, unit: mm}\nenlarge: {ratio: 12}\n"))
	require.NoError(t, err)
	same, err := ForScan("dir/gate post.stl", "mm", 12)
	require.NoError(t, err)
	assert.Equal(t, same, j)
	assert.Equal(t, "gate post", j.Piece)
	want := Default()
	want.Piece, want.Scan.File, want.Scan.Unit, want.Enlarge.Ratio = "gate post", "dir/gate post.stl", "mm", new(12.0)
	assert.Equal(t, want, j)
}

func TestParseReadsOddButRightFiles(t *testing.T) {
	least := "scan: {file: a.stl, unit: mm}\nenlarge: {ratio: 12}\n"
	for name, text := range map[string]string{
		"byte-order mark": "\xef\xbb\xbf" + least,
		"CRLF":            strings.ReplaceAll(least, "\n", "\r\n"),
		"CR":              strings.ReplaceAll(least, "\n", "\r"),
		"marker":          "---\n" + least,
		"end marker":      least + "...\n",
		"JSON":            `{"scan": {"file": "a.stl", "unit": "mm"}, "enlarge": {"ratio": 12}}`,
		"no last newline": strings.TrimSpace(least),
		"none words":      least + "haul: none\nsite: none\ngates: {surface_p95: none}\npieces: {expected: unknown}\n",
	} {
		j, err := Parse("a.yaml", []byte(text))
		require.NoError(t, err, name)
		want, err := ForScan("a.stl", "mm", 12)
		require.NoError(t, err)
		assert.Equal(t, want, j, name)
	}
}

func TestParseReadsFeetAndInchesInBothStyles(t *testing.T) {
	for _, text := range []string{"enlarge: {height: 17' 8 1/2\"}", "enlarge:\n  height: 17' 8 1/2\"", "enlarge: {height: \"17' 8 1/2\\\"\", trust: scan}"} {
		j, err := Parse("a.yaml", []byte("scan: {file: a.stl, unit: mm}\n"+text+"\n"))
		require.NoError(t, err, text)
		assert.Equal(t, 5397.5, *j.Enlarge.HeightMM, text) // 17 ft 8.5 in = 212.5 in
		assert.Equal(t, "height", j.Enlarge.From())
	}
}

func TestScanPlaces(t *testing.T) {
	j := Job{Scan: Scan{File: "scans/a.stl"}}
	assert.Equal(t, []string{"jobs/scans/a.stl"}, j.ScanPlaces("jobs/a.yaml"))
	assert.Equal(t, []string{"out/scans/a.stl", "scans/a.stl"}, j.ScanPlaces("out/job.out.yaml"))
	j.Scan.File = "/data/a.stl"
	assert.Equal(t, []string{"/data/a.stl"}, j.ScanPlaces("jobs/a.yaml"))
	j.Metal.Tables = []string{`lists\own.csv`, "own.csv"}
	bare := j.WithoutFolders()
	assert.Equal(t, "a.stl", bare.Scan.File)
	assert.Equal(t, []string{"own.csv", "own.csv"}, bare.Metal.Tables)
	assert.Equal(t, `lists\own.csv`, j.Metal.Tables[0], "the job itself is left alone")
}

func TestForScanRefuses(t *testing.T) {
	_, err := ForScan("a.stl", "furlong", 12)
	assert.ErrorContains(t, err, "say mm, cm, m, in or ft")
	_, err = ForScan("a.stl", "mm", 0)
	assert.ErrorContains(t, err, "the ratio is 0")
}
