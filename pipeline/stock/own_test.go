package stock

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/pipeline/job"
)

func TestOwnTable(t *testing.T) {
	c := both(t)
	n := len(c.Sizes)
	got, err := c.With("own.csv", strings.NewReader("\ufeff# what the yard has\nMark, form,od_mm,od_in,wall_mm,wall_in,width_mm,thickness_mm,height_mm,mass_kg_per_m,source\n"+
		"Yard pipe 9,pipe,,9-5/8,,1/4,,,,,counted\nPL 1/2 in,plate,,,,,,12.9,,,\nyard box,box,,,5,,60,,90,,\nRD 33,round,33,,,,,,,6.71,\n"))
	require.NoError(t, err)
	assert.Len(t, c.Sizes, n, "the catalogue it came from is as it was")
	assert.Len(t, got.Sizes, n+3)
	pipe, ok := got.Find("yard 9")
	require.True(t, ok, "pipe says nothing more")
	assert.InDelta(t, 244.475, pipe.ODMM, 1e-9)
	assert.InDelta(t, math.Pi*(244.475-6.35)*6.35*7850e-6, pipe.MassKGM, 1e-9)
	assert.Equal(t, "counted", pipe.Source)
	assert.Equal(t, "own table own.csv", pipe.Standard)
	half, _ := got.Find("PL 1/2 in")
	assert.Equal(t, 12.9, half.ThicknessMM, "the user's row overrides")
	box, _ := got.Find("yard box")
	assert.Equal(t, [2]float64{90, 60}, [2]float64{box.HeightMM, box.WidthMM})
	round, _ := got.Find("RD 33")
	assert.Equal(t, 6.71, round.MassKGM)
	opt := DefaultOptions()
	opt.Ban = []string{"tube"}
	pick, err := Choose([]Part{bar("E01", 244.4, 900)}, nil, got, opt)
	require.NoError(t, err)
	assert.Equal(t, "Yard pipe 9", pick.Families[0].Size.Mark)
}

func TestOwnTableRefused(t *testing.T) {
	head := "mark,form,od_mm,wall_mm,thickness_mm,mass_kg_per_m\n"
	for _, r := range []struct{ name, text, want string }{
		{"empty", "", "own.csv: the table has no rows; write a head row"},
		{"only a head", head, "own.csv: the table has no rows"},
		{"unknown column", "mark,form,colour\n", `own.csv: row 1: the column "colour" is not known; the columns are mark, form, od_mm`},
		{"no unit", "mark,form,od\n", `row 1: the column "od" is not known`},
		{"twice", "mark,form,mark\n", "row 1, column mark: the column stands twice"},
		{"no form", "mark,od_mm\n", "row 1: there is no column form"},
		{"short row", head + "a,round,20\n", "row 2: the row has 3 cells, the head has 6"},
		{"form", head + "a,rond,20,,,\n", `row 2, column form: the form is "rond"; write one of pipe, tube`},
		{"no mark", head + ",round,20,,,\n", `row 2, column mark: the mark is ""`},
		{"mark of blanks", head + " - ,round,20,,,\n", "row 2, column mark"},
		{"same mark", head + "a 1,round,20,,,\nA1,round,21,,,\n", "row 3, column mark: the mark A1 stands in row 2 already"},
		{"missing size", head + "a,pipe,20,,,\n", "row 2, column wall_mm: a pipe needs this size"},
		{"not a size of it", head + "a,round,20,3,,\n", "row 2, column wall: a round has no such size"},
		{"not a number", head + "# a note\na,round,twenty,,,\n", `row 3, column od_mm: "twenty" is not a size`},
		{"unit in the cell", head + "a,round,20 mm,,,\n", `column od_mm: "20 mm" is not a size`},
		{"NaN", head + "a,round,NaN,,,\n", `column od_mm: "NaN" is not a size`},
		{"negative", head + "a,round,-20,,,\n", `column od_mm: "-20" is not a size`},
		{"nothing", head + "a,round,0,,,\n", `column od_mm: "0" is not a size`},
		{"too large", head + "a,round,1e9,,,\n", "is not a size"},
		{"endless", head + "a,round," + strings.Repeat("9", 400) + ",,,\n", "is not a size"},
		{"no bore", head + "a,pipe,20,10,,\n", "row 2, column wall: two walls of 10 mm leave no bore in 20 mm"},
		{"wrong mass", head + "a,round,20,,,246\n", `row 2, column mass_kg_per_m: "246" is not the mass of these sizes, which in steel is 2.4662 kg`},
		{"mass of another unit", head + "a,plate,,,12,94\n", "row 2, column mass_kg_per_m: the mass of a plate stands in mass_kg_per_m2"},
		{"quotes", head + "a,\"round,20,,,\n", "own.csv: row 2"},
		{"bytes", head + "a\xff,round,20,,,\n", "row 2, column mark: the cell is not UTF-8"},
		{"mark of another size", head + "NPS 8 STD,pipe,219,8,,\n", "own.csv: row 2"},
	} {
		t.Run(r.name, func(t *testing.T) {
			_, err := both(t).With("own.csv", strings.NewReader(r.text))
			if r.name == "mark of another size" { // it takes the place of NPS 8 Sch 40
				require.NoError(t, err)
				return
			}
			require.Error(t, err)
			assert.Contains(t, err.Error(), r.want)
			var e *TableError
			assert.True(t, errors.As(err, &e))
		})
	}
}

func FuzzWith(f *testing.F) {
	f.Add("mark,form,od_in\na,round,1 1/2\n")
	f.Add("mark,form,od_mm,wall_mm\n\"a,pipe,20,3\n")
	f.Fuzz(func(t *testing.T, text string) {
		c, err := Catalogue{}.With("own.csv", strings.NewReader(text))
		if err != nil {
			return
		}
		for _, s := range c.Sizes {
			for _, x := range []float64{s.ODMM, s.WallMM, s.WidthMM, s.HeightMM, s.ThicknessMM, s.MassKGM, s.MassKGM2} {
				if math.IsNaN(x) || x < 0 || math.IsInf(x, 0) {
					t.Fatalf("%+v", s)
				}
			}
			if _, ok := c.Find(s.Mark); !ok {
				t.Fatalf("%q is not found", s.Mark)
			}
		}
	})
}

func FuzzFind(f *testing.F) {
	c, _ := Standard("us")
	for _, s := range []string{"NPS 8 Sch 40", `PL 2-1/2"`, "1/", "-", "9 9/9/9", "hss4x4x.25"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, mark string) {
		if _, ok := c.Find(mark); !ok && len(mark) < 100 && len(c.Suggest(mark)) != 3 {
			t.Fatal("no suggestion")
		}
	})
}

// The forms are those that a job may ban.
func TestForms(t *testing.T) { assert.ElementsMatch(t, job.StockForms(), Forms()) }

func TestMaterialOf(t *testing.T) {
	for grade, want := range map[string]struct {
		name    string
		density float64
		yield   float64
	}{
		"ASTM A36": {"A36 plate/bar", 7850, 250}, "a36": {"A36 plate/bar", 7850, 250}, "EN 10025 S235JR": {"S235JR", 7850, 235}, "S355": {"S355JR/J2", 7850, 355},
		"ASTM A572 Gr 50": {"A572-50 plate/shape", 7850, 345}, "304": {"304", 8000, 205}, "304L": {"304L", 8000, 170}, "316L": {"316L", 8000, 170},
		"6061-T6": {"6061-T6", 2700, 240}, "weathering steel": {"A588 weathering", 7850, 345}, "steel": {"carbon steel, mass basis", 7850, 0}, "copper": {"copper", 8930, 0}, "ASTM A588": {"A588 weathering", 7850, 345},
		"EN 10025-2:2019 S235JR": {"S235JR", 7850, 235},
	} {
		m, err := MaterialOf(grade)
		require.NoError(t, err, grade)
		assert.Equal(t, want.name, m.Name, grade)
		assert.Equal(t, want.density, m.DensityKGM3, grade)
		assert.Equal(t, want.yield, m.YieldMPa, grade)
	}
	for _, grade := range []string{"", "A37", "nonsense"} {
		_, err := MaterialOf(grade)
		assert.ErrorContains(t, err, "is not in the table of materials; write one of: carbon steel", grade)
	}
}
