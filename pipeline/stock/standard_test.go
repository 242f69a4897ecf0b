package stock

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func both(t *testing.T) Catalogue {
	t.Helper()
	c, err := Standard("both")
	require.NoError(t, err)
	return c
}

// Every row is found by its own marks, has its standard and the sizes of its form.
func TestTables(t *testing.T) {
	c := both(t)
	count := map[string]int{}
	for _, s := range c.Sizes {
		count[s.Form]++
		for _, m := range append([]string{s.Mark}, s.Also...) {
			for _, form := range []string{m, strings.ToLower(m), "  " + strings.ReplaceAll(m, " ", "  ") + " "} {
				got, ok := c.Find(form)
				require.True(t, ok, form)
				assert.Equal(t, s, got, form)
			}
		}
		assert.NotEmpty(t, s.Standard, s.Mark)
		assert.NotEmpty(t, s.Source, s.Mark)
		want := map[string][]float64{
			"pipe": {s.ODMM, s.WallMM, s.WallDesignMM, s.MassKGM}, "tube": {s.ODMM, s.WallMM, s.WallDesignMM, s.MassKGM},
			"box": {s.HeightMM, s.WidthMM, s.WallMM, s.WallDesignMM, s.MassKGM}, "angle": {s.HeightMM, s.WidthMM, s.ThicknessMM, s.MassKGM},
			"round": {s.ODMM, s.MassKGM}, "square": {s.WidthMM, s.HeightMM, s.MassKGM}, "flat": {s.WidthMM, s.ThicknessMM, s.MassKGM},
			"plate": {s.ThicknessMM, s.MassKGM2}, "sheet": {s.ThicknessMM, s.MassKGM2},
		}[s.Form]
		require.NotEmpty(t, want, s.Mark)
		for _, x := range want {
			assert.Greater(t, x, 0.0, s.Mark)
		}
	}
	// Rows of the tables; in pipe.csv and tube_metric.csv two rows may be one thing.
	assert.Equal(t, map[string]int{"pipe": count["pipe"], "tube": 189 + 326 - 72, "box": 525, "angle": 218, "round": 67, "square": 36, "flat": 212, "plate": 44, "sheet": 28}, count)
	assert.Less(t, count["pipe"], 244)
}

// A row from memory is one whose status has the word M: a capital in "MSG" or an
// m in "mm" is none.
func TestFromMemory(t *testing.T) {
	c := both(t)
	for mark, want := range map[string]bool{"NPS 8 Sch 40": false, "RD 1/4 in": false, "RD 5/16 in": true, "PL 1/2 in": true, "SH 10 ga": false, "SH 11 ga": true, "FB 50x6": true} {
		s, ok := c.Find(mark)
		require.True(t, ok, mark)
		assert.Equal(t, want, s.FromMemory, mark)
	}
}

func TestPublishedMasses(t *testing.T) {
	c := both(t)
	for _, r := range []struct {
		mark   string
		perFt  float64 // lb/ft, plate lb/ft²
		within float64
		source string
	}{
		{"NPS 8 Sch 40", 28.58, 0.005, "ASME B36.10M"},
		{"NPS 12 XS", 65.48, 0.005, "ASME B36.10M"},
		{"HSS8.625X0.322", 28.58, 0.02, "AISC v16"},
		{"HSS4X4X1/4", 12.21, 0.005, "AISC v16"},
		{"L4X4X1/4", 6.60, 0.05, "AISC v16"},
		{"PL 2-1/2 in", 102.1, 0.1, "40.84 lb/ft² for 1 in"},
		{"SH 10 ga", 5.625, 0.001, "Manufacturers' Standard Gauge"},
		{"FB 1/2 x 2 in", 3.40, 0.005, "steel weight handbook: 33.99 lb for 10 ft"},
		{"RD 1 in", 32.04 / 12, 0.005, "steel weight handbook: 32.04 lb for 12 ft"},
	} {
		s, ok := c.Find(r.mark)
		require.True(t, ok, r.mark)
		got := s.MassKGM / poundFootKG
		if s.MassKGM2 > 0 {
			got = s.MassKGM2 / 0.45359237 * 0.3048 * 0.3048
		}
		assert.InDelta(t, r.perFt, got, r.within, "%s, %s", r.mark, r.source)
	}
}

// Masses of the tables against those of their sizes at 7850 kg/m³. AISC takes the
// design wall and rounded corners for boxes; angles have fillets.
func TestMassesByFormula(t *testing.T) {
	for _, s := range both(t).Sizes {
		area, within := 0.0, 0.012
		switch s.Form {
		case "pipe", "tube":
			area = math.Pi * (s.ODMM - s.WallMM) * s.WallMM
		case "box":
			area, within = 2*(s.HeightMM+s.WidthMM-2*s.WallMM)*s.WallMM, 0.14
		case "angle":
			area, within = (s.HeightMM+s.WidthMM-s.ThicknessMM)*s.ThicknessMM, 0.05
		case "round":
			area = math.Pi / 4 * s.ODMM * s.ODMM
		case "square":
			area = s.WidthMM * s.HeightMM
		case "flat":
			area = s.WidthMM * s.ThicknessMM
		default:
			assert.InEpsilon(t, s.ThicknessMM*7.85, s.MassKGM2, 0.03, s.Mark)
			continue
		}
		want := area * steelKGM3 * 1e-6
		assert.InDelta(t, want, s.MassKGM, max(within*want, 0.0051*poundFootKG), "%s: masses are printed to 0.01 lb/ft", s.Mark)
	}
}

// Exact diameters: NPS 8 and HSS8.625 are one size, HSS2.375 is not 2.38 in.
func TestDiameters(t *testing.T) {
	c := both(t)
	for mark, mm := range map[string]float64{"NPS 8 Sch 40": 219.075, "HSS8.625X0.322": 219.075, "HSS2.375X0.154": 60.325, "CHS 219.1 x 6.3": 219.1, "NPS 2-1/2 Sch 40": 73.025} {
		s, _ := c.Find(mark)
		assert.InDelta(t, mm, s.ODMM, 1e-9, mark)
	}
}

func TestFind(t *testing.T) {
	c := both(t)
	for _, r := range []struct{ text, mark string }{
		{"nps8sch40", "NPS 8 Sch 40"}, {"8 in?", ""}, {"NPS 8 STD", "NPS 8 Sch 40"}, {"NPS 8 Sch STD", "NPS 8 Sch 40"}, {"DN 200 sch 40", "NPS 8 Sch 40"},
		{"NPS 2 1/2 Schedule 40", "NPS 2-1/2 Sch 40"}, {"NPS 2.5 Sch 40", "NPS 2-1/2 Sch 40"}, {"CHS219.1×6.3", "CHS 219.1 x 6.3"},
		{"fb 6x50", "FB 50x6"}, {"flat bar 50 x 6 mm", "FB 50x6"}, {"FB 2 x 1/4 in", "FB 1/4 x 2 in"}, {`PL 0.5"`, "PL 1/2 in"}, {"plate 12 mm", "PL 12"},
		{"12mm plate", "PL 12"}, {"20 mm round bar", "RD 20"}, {"2x2x1/4 angle", "L2X2X1/4"}, {"FB 1/4x2", "FB 1/4 x 2 in"}, {"1/2 plate", "PL 1/2 in"},
		{"8 in sch 40", "NPS 8 Sch 40"}, {"2 inch schedule 80 pipe", "NPS 2 Sch 80"}, {"10 gauge", "SH 10 ga"}, {"sch 40", ""}, {"in", ""},
		{"rd20", "RD 20"}, {"hss 4x4x.25", "HSS4X4X1/4"}, {"", ""}, {"NPS 8", ""}, {"PL 1/0 in", ""}, {strings.Repeat("9x", 1000), ""}, {"\x00\xff", ""},
	} {
		s, ok := c.Find(r.text)
		assert.Equal(t, r.mark != "", ok, r.text)
		assert.Equal(t, r.mark, s.Mark, r.text)
	}
	assert.Contains(t, c.Suggest("NPS 8 Sch 45"), "NPS 8 Sch 40")
	assert.Contains(t, c.Suggest("CHS 219 x 6.3"), "CHS 219.1 x 6.3")
	assert.Contains(t, c.Suggest("HSS 8.6x.322"), "HSS8.625X0.322")
	assert.Contains(t, c.Suggest("PL 13"), "PL 12")
	assert.Contains(t, c.Suggest("HSS 8.625")[0], "HSS8.625X")
	assert.Contains(t, c.Suggest("DN200")[0], "NPS 8 ")
}

func TestSystems(t *testing.T) {
	for system, want := range map[string][]string{"us": {"us"}, "metric": {"metric"}, "both": {"us", "metric"}} {
		c, err := Standard(system)
		require.NoError(t, err)
		for _, s := range c.Sizes {
			require.Contains(t, want, s.System, s.Mark)
		}
	}
	_, err := Standard("imperial")
	assert.EqualError(t, err, `the system of stock sizes is "imperial"; write us, metric or both`)
}
