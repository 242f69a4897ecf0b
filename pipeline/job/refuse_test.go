package job

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// refusal is a text, where it is wrong and what the message holds.
type refusal struct {
	text         string
	line, column int
	says         string
}

func refuses(t *testing.T, rows map[string]refusal) {
	t.Helper()
	for name, row := range rows {
		j, err := Parse("dir/a.yaml", []byte(row.text))
		require.Error(t, err, name)
		assert.Zero(t, j, name)
		var typed *Error
		require.ErrorAs(t, err, &typed, name)
		assert.Equal(t, [2]int{row.line, row.column}, [2]int{typed.Line, typed.Column}, "%s: %v", name, err)
		assert.Contains(t, err.Error(), row.says, name)
		assert.True(t, strings.HasPrefix(err.Error(), "a.yaml: line "), name)
		assert.NotEmpty(t, typed.Advice, name)
		assert.NotContains(t, err.Error(), "\n", name)
	}
}

func TestParseRefusesWhatIsNoJob(t *testing.T) {
	refuses(t, map[string]refusal{
		"empty":          {"", 1, 1, "the file is empty"},
		"only comments":  {"# nothing\n\n", 1, 1, "the file is empty"},
		"only a marker":  {"---\n", 1, 1, "the file is empty"},
		"a null":         {"~\n", 1, 1, "the job is empty"},
		"a list":         {"- 1\n", 1, 1, "the job is a list, not keys"},
		"a word":         {"hello\n", 1, 1, `the job is "hello", not keys`},
		"second":         {"job: 1\n---\njob: 1\n", 2, 1, "a second document starts here"},
		"second, empty":  {"job: 1\n---\n", 2, 1, "a second document starts here"},
		"after its end":  {"job: 1\n...\njob: 1\n", 3, 1, "a second document"},
		"directive":      {"%YAML 1.2\n---\njob: 1\n", 1, 1, "YAML directive"},
		"zero byte":      {"job: 1\npi\x00ce: a\n", 2, 3, "zero byte"},
		"latin-1":        {"job: 1\npiece: caf\xe9\n", 2, 11, "byte 0xe9 is not UTF-8"},
		"UTF-16":         {"\xff\xfej\x00o\x00b\x00", 1, 4, "zero byte"},
		"too long":       {strings.Repeat("# x\n", 70000), 1, 1, "280000 bytes"},
		"a tab":          {"scan:\n\tfile: a.stl\n", 2, 1, "this is not YAML"},
		"open bracket":   {"scan: {file: a.stl\n", 1, 7, "this is not YAML"},
		"open quote":     {"piece: 'abc\n", 1, 8, "this is not YAML"},
		"deep":           {"piece: " + strings.Repeat("[", 1000), 1, 32, "over 24 brackets"},
		"many dashes":    {strings.Repeat("- ", 2000), 1, 1, "over 1000 dashes"},
		"many keys":      {strings.Repeat("a: 1\n", 300), 201, 1, "over 200 keys"},
		"many flow keys": {"{" + strings.Repeat("a: 1,", 2000), 1, 5006, "over 1000 keys"},
		"another job":    {"job: 2\n", 1, 6, `job is "2"; give a whole number from 1 to 1`},
	})
}

// least is the smallest whole job; a line after it is line 3.
const least = "scan: {file: a.stl, unit: mm}\nenlarge: {ratio: 12}\n"

func TestParseRefusesWrongKeys(t *testing.T) {
	refuses(t, map[string]refusal{
		"unknown":           {least + "gate: {}\n", 3, 1, `unknown key "gate"; did you mean gates?`},
		"unknown, far off":  {least + "colour: red\n", 3, 1, "write job, piece, scan"},
		"unknown inside":    {least + "limits: {surfaces: 3 mm}\n", 3, 10, `unknown key "surfaces" in limits; did you mean surface?`},
		"unknown in a row":  {least + "pieces:\n  rows:\n    - {id: E01}\n    - {id: E02, nmae: a}\n", 6, 17, `unknown key "nmae" in pieces.rows[2]; did you mean name?`},
		"twice":             {least + "piece: a\npiece: b\n", 4, 1, "the key piece stands here a second time"},
		"twice inside":      {"scan: {unit: mm, unit: in}\n", 1, 18, "the key scan.unit stands here a second time"},
		"a number as key":   {least + "1: 2\n", 3, 1, "a key is the number 1"},
		"a merge":           {"<<: {job: 1}\n", 1, 1, "anchor"},
		"an anchor":         {"piece: &a b\n", 1, 8, "anchor, which is not read"},
		"a tag":             {"piece: !!str b\n", 1, 8, "tag, which is not read"},
		"no value":          {"piece:\n", 1, 1, "piece has no value"},
		"null":              {"scan: {file: ~, unit: mm}\n", 1, 8, "scan.file has no value"},
		"no scan":           {"enlarge: {ratio: 3}\n", 1, 1, "scan is missing; write scan: {file"},
		"no enlarge":        {"scan: {file: a.stl, unit: mm}\n", 1, 1, "enlarge is missing; write enlarge"},
		"no unit":           {"scan: {file: a.stl}\n", 1, 7, "scan.unit is missing; a scan file does not say it"},
		"no file":           {"scan:\n  unit: mm\n", 2, 3, "scan.file is missing"},
		"two ways":          {"scan: {file: a.stl, unit: mm}\nenlarge: {ratio: 3, height: 2 m}\n", 2, 10, "enlarge has two of ratio, height and known; give one"},
		"no way":            {"scan: {file: a.stl, unit: mm}\nenlarge: {trust: scan}\n", 2, 10, "enlarge has none of ratio"},
		"three ways":        {"enlarge: {ratio: 3, height: 2 m, known: 1 in = 1 ft}\n", 1, 10, "enlarge has all three of"},
		"a group expected":  {"scan: a.stl\n", 1, 7, `scan is "a.stl", not keys`},
		"a list of a group": {"scan: [a.stl]\n", 1, 7, "scan is a list, not keys"},
	})
}

func TestParseRefusesWrongValues(t *testing.T) {
	rows := map[string]refusal{}
	for text, says := range map[string]string{
		"limits: {surface: 3}":                                              `limits.surface: "3" has no unit; write 3 mm`,
		"limits: {surface: 3.5}":                                            `"3.5" has no unit`,
		"limits: {surface: .nan}":                                           "limits.surface is .nan, which is not a finite number",
		"limits: {surface: -.inf}":                                          "limits.surface is -.inf, which is not a finite number",
		"limits: {surface: nan mm}":                                         "is not a length",
		"limits: {surface: 0 mm}":                                           "out of range; give a value over 0",
		"limits: {surface: -1 mm}":                                          "out of range",
		"limits: {surface: true}":                                           "limits.surface is true, not a length",
		"limits: {surface: [3 mm]}":                                         "limits.surface is a list, not a length",
		"limits: {form: 2}":                                                 "write 2 %",
		"limits: {form: 200 %}":                                             "out of range",
		"limits: {work: ISO 13920-XX}":                                      "linear class A to D",
		"enlarge: {ratio: twelve}":                                          `"twelve" is not a number`,
		"enlarge: {ratio: 0}":                                               "out of range; give a value from 0.01",
		"enlarge: {ratio: .inf}":                                            "not a finite number",
		"enlarge: {ratio: 1e999}":                                           "is not a number",
		"enlarge: {ratio: 0x10}":                                            "is not a number",
		"enlarge: {ratio: 1_000}":                                           "is not a number",
		"enlarge: {height: 5.4}":                                            "has no unit",
		"enlarge: {known: 1 in}":                                            "not two lengths; write maquette = full size",
		"enlarge: {known: 1 in = 10}":                                       `"10" has no unit`,
		"enlarge: {known: 0 in = 10 in}":                                    "out of range",
		"enlarge: {known: 1 mm = 1000 m}":                                   "makes a ratio of 1000000",
		"enlarge: {ratio: 3, trust: hand}":                                  "write scan or by_hand",
		"scan: {file: a.stl, unit: MM}":                                     "did you mean mm?",
		"scan: {file: a.stl, unit: yard}":                                   "write mm, cm, m, in or ft",
		"scan: {file: a.stl, unit: mm, up: z}":                              `scan.up is "z"`,
		"scan: {file: 12, unit: mm}":                                        "in quotes where it looks like a number",
		"scan: {file: '', unit: mm}":                                        "scan.file is empty",
		"scan: {file: a.stl, unit: mm, scale_u95: 0.02}":                    "write 0.02 %",
		"piece: \"a\\nb\"":                                                  "cannot be printed",
		"piece: |\n  a\n  b":                                                "a text of several lines",
		"piece: " + strings.Repeat("x", 201):                                "over 200 characters",
		"pieces: {expected: 2.5}":                                           "give a whole number from 1",
		"pieces: {expected: 0}":                                             "give a whole number from 1",
		"pieces: {rows: [{name: a}]}":                                       "has neither id nor at",
		"pieces: {rows: [{id: E1}]}":                                        "not an id; write it as the result does",
		"pieces: {rows: [{id: E00}]}":                                       "not an id",
		"pieces: {rows: [{id: E01}, {id: E01}]}":                            `pieces.rows[2] says "E01", as does pieces.rows[1]`,
		"pieces: {rows: [{id: E01, name: a}, {id: E02, name: a}]}":          `says "a", as does`,
		"pieces: {rows: [{id: E01, name: E02}]}":                            "reads as an id",
		"pieces: {rows: [{at: [1, 2]}]}":                                    "has 2 numbers; write a point",
		"pieces: {rows: [{at: [1, 2, 3 mm]}]}":                              "is not a number",
		"pieces: {rows: [{at: [1, 2, .nan]}]}":                              "not a finite number",
		"pieces: {rows: [{id: E01, kind: tubee}]}":                          "did you mean tube?",
		"pieces: {rows: [{id: E01, made: yes}]}":                            "write true or false",
		"pieces: {rows: [~]}":                                               "pieces.rows[1] is empty",
		"pieces: {rows: 3}":                                                 "not a list",
		"pieces: {join: [[E01]]}":                                           "joins fewer than two",
		"pieces: {join: [[E01, mats]], rows: [{id: E01, name: mast}]}":      `did you mean "mast"?`,
		"pieces: {part: [[[1, 2, 3]]]}":                                     "parts fewer than two",
		"by_hand: [{piece: mast, dimension: wall, value: 3 mm}]":            "pieces.rows does not name",
		"by_hand: [{piece: E01, dimension: outside_diametre, value: 3 mm}]": "did you mean outside_diameter?",
		"by_hand: [{piece: E01, dimension: wall, value: 3}]":                "has no unit",
		"by_hand: [{piece: E01, dimension: wall}]":                          "by_hand[1].value is missing",
		"by_hand: [{piece: E01, dimension: sweep, value: 3 mm}]":            "is not a unit of an angle",
		"metal: {system: eus}":                                              "did you mean us? the choices are us, metric or both",
		"shop: {bar_lengths: []}":                                           "is an empty list",
		"shop: {bar_lengths: [20]}":                                         `shop.bar_lengths[1]: "20" has no unit`,
		"shop: {sheets: [{length: 1 m}]}":                                   "shop.sheets[1].width is missing",
		"shop: {kerf: {plasme: 3 mm}}":                                      "did you mean plasma?",
		"shop: {hoists: [{name: a, capacity: 4 ton}]}":                      "write 4 t, 8000 lb or 8960 lb",
		"metal: {ban: [tubes]}":                                             "did you mean tube?",
		"shop: {pace: {cut_m_h: 0}}":                                        "shop.pace.cut_m_h is \"0\", out of range",
		"shop: {rates: {hour: 3}}":                                          "shop.rates.currency is missing",
		"shop: {rates: {currency: euro}}":                                   "the three letters",
		"haul: {envelope: [1 m, 2 m]}":                                      "has 2 lengths",
		"haul: {route: [{}]}":                                               "haul.route[1] is empty",
		"site: {corrosivity: C6}":                                           "site.corrosivity is",
		"site: {life: 0 years}":                                             "over 0 and at most 500 years",
		"site: {air: [35 C, -15 C]}":                                        "write [-15 C, 35 C]",
		"site: {air: [-15 C]}":                                              "write [-15 C, 35 C]",
		"site: {climbing_load: 2 kip}":                                      "write 2000 lbf or the force in kN",
		"site: {seismic: {coefficient: 20 %}}":                              "is not a number",
		"site: {seismic: {}}":                                               "site.seismic.coefficient is missing",
		"site: {wind: {code: ASCE 7-16, speed: 115 mph, exposure: C}}":      "site.wind.speed_is is missing; say what the speed is",
		"site: {wind: {code: ASCE 7-16, speed: 115 mph, speed_is: 10 min mean, exposure: C}}":  `site.wind.speed_is for ASCE 7-16 is "10 min mean"`,
		"site: {wind: {code: EN 1991-1-4, speed: 25 m/s, speed_is: 10 min mean, exposure: C}}": "site.wind.exposure for EN 1991-1-4",
		"gates: {missing_stock: none at all}":                                                  "give a whole number",
		"gates: {lift_use: 0}":                                                                 "over 0 and at most 10",
		"gates: {props: 1.5}":                                                                  "whole number",
		"gates: {tip: 3 mm}":                                                                   `unknown key "tip"`,
		"gates: {utilisation: 80 %}":                                                           "is not a number",
		"show: {units: inches}":                                                                "write mm, ft-in or both",
	} {
		key, _, _ := strings.Cut(text, ":")
		body := ""
		for _, other := range strings.SplitAfter(least, "\n") {
			if !strings.HasPrefix(other, key+":") {
				body += other
			}
		}
		rows[text] = refusal{text: body + text + "\n", says: says}
	}
	for name, row := range rows {
		j, err := Parse("a.yaml", []byte(row.text))
		require.Error(t, err, name)
		assert.Zero(t, j)
		assert.Contains(t, err.Error(), row.says, name)
		assert.NotContains(t, err.Error(), "\n", name)
		var typed *Error
		require.ErrorAs(t, err, &typed)
		assert.Positive(t, typed.Line, name)
		assert.Positive(t, typed.Column, name)
		assert.LessOrEqual(t, len(strings.Split(row.text, "\n")[typed.Line-1]), 400, name)
	}
}

func TestErrorsNameThePlaceInCharacters(t *testing.T) {
	_, err := Parse("a.yaml", []byte(least+"piece: Möwe\nlimits: {work: ISO 13920-BF, surface: 3}\n"))
	assert.EqualError(t, err, `a.yaml: line 4, column 39: limits.surface: "3" has no unit; write 3 mm, 3 cm, 3 m, 3 in or 3 ft`)
	_, err = Parse("a.yaml", []byte(least+"metal: {grade: Möwe, finnish: a}\n"))
	assert.EqualError(t, err, fmt.Sprintf(`a.yaml: line 3, column 22: unknown key "finnish" in metal; did you mean finish? the choices are %s`, "system, grade, finish, wall_min, tables or ban"))
}

// Nobody writes these 256 kB; each took the YAML reader 6 to 13 s, or nests as
// deeply as the file is long, before the text was looked at first. The limit is
// wide: a loaded machine takes longer than the 0.5 s measured.
func TestParseIsQuickWithWhatNobodyWrites(t *testing.T) {
	for _, unit := range []string{"a: 1\n", "a:\n ", "? a\n", "{a,", "[", "- ", "-\n ", "!a ", "a: {b: 1}\n"} {
		started := time.Now()
		_, err := Parse("a.yaml", []byte(strings.Repeat(unit, bytesMax/len(unit))))
		assert.Error(t, err, unit)
		assert.Less(t, time.Since(started), 20*time.Second, unit)
	}
}
