package stock

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// simulated finds of n pieces of one system, a share of them odd, read by a scan
// that is off.
func simulated(t *testing.T, r *rand.Rand, c Catalogue, n int, off, odd, u95 float64) []Found {
	t.Helper()
	var out []Found
	kinds := []Found{{Key: "outside_diameter_mm", Forms: []string{"round", "pipe", "tube"}}, {Key: "thickness_mm", Forms: []string{"plate", "sheet", "flat"}},
		{Key: "width_mm", Forms: []string{"flat", "square"}}, {Key: "outside_diameter_mm", Forms: []string{"pipe", "tube"}}}
	var tables [][]standardSize
	for _, f := range kinds {
		sizes, err := standardSizes(c, f.Forms, f.Key)
		require.NoError(t, err)
		tables = append(tables, sizes)
	}
	for len(out) < n {
		k := r.IntN(len(kinds))
		f, sizes := kinds[k], tables[k]
		s := sizes[r.IntN(len(sizes))]
		mm := s.mean + s.sd*r.NormFloat64()
		if r.Float64() < odd {
			mm = math.Exp(r.Float64() * math.Log(1000))
		}
		if mm > 0.5 {
			f.ValueMM, f.U95MM = mm*(1+off)+u95/1.96*r.NormFloat64(), u95
			out = append(out, f)
		}
	}
	return out
}

// The 95 % set holds the true error in 95 of a hundred simulated scans, whether
// few or many sizes were found; with many most are clear, and their errors small.
func TestScaleErrorCoverage(t *testing.T) {
	opt := DefaultGaugeOptions()
	opt.StepShare = 2e-4
	for _, row := range []struct {
		n            int
		metal, table string // systems of the metal, of the tables that are tried
		odd          float64
	}{{6, "metric", "metric", 0.15}, {20, "metric", "metric", 0.15}, {60, "metric", "metric", 0.15}, {20, "us", "both", 0.15}, {20, "us", "both", 0.6}, {20, "us", "both", 1}} {
		n := row.n
		metal, err := Standard(row.metal)
		require.NoError(t, err)
		c, err := Standard(row.table)
		require.NoError(t, err)
		r := rand.New(rand.NewPCG(uint64(n), 8))
		held, clear, sum := 0, 0, 0.0
		const runs = 200
		for range runs {
			off := 0.028 * (2*r.Float64() - 1)
			g, err := ScaleError(simulated(t, r, metal, n, off, row.odd, 0.06), c, opt)
			require.NoError(t, err)
			for _, p := range g.Peaks {
				if p.Low <= off && off <= p.High {
					held++
				}
			}
			if g.Verdict == "clear" {
				clear++
				sum += sq(g.ErrorShare - off)
			}
		}
		rms := math.Sqrt(sum / float64(max(clear, 1)))
		t.Logf("%d sizes, %s metal, %s tables, %.0f %% odd: 95 %% set holds the truth in %.1f %% of %d scans, clear in %.1f %%, those off by %.3f %% rms", n, row.metal, row.table, 100*row.odd, 100*float64(held)/runs, runs, 100*float64(clear)/runs, 100*rms)
		// 95 % of 200 are 190 ± 3; five standard deviations either way.
		assert.InDelta(t, 0.95, float64(held)/runs, 0.075)
		if row.odd == 1 {
			assert.Less(t, clear, runs*5/100, "metal that was never standard tells nothing")
		}
		if n == 60 {
			assert.Greater(t, clear, runs*8/10)
			assert.Less(t, rms, 0.002)
		}
	}
}

// Exact sizes of both systems: the error comes back, and the system is told.
func TestScaleErrorExact(t *testing.T) {
	c := both(t)
	for system, diameters := range map[string][]float64{"us": {12.7, 19.05, 26.67, 33.401, 48.26}, "metric": {12, 20, 26.9, 33.7, 42.4, 48.3}} {
		var found []Found
		for _, d := range diameters {
			found = append(found, Found{Key: "outside_diameter_mm", Forms: []string{"round", "pipe", "tube"}, ValueMM: d * 1.0123, U95MM: 0.02})
		}
		g, err := ScaleError(found, c, DefaultGaugeOptions())
		require.NoError(t, err)
		assert.Equal(t, system, g.System)
		assert.InDelta(t, 0.0123, g.ErrorShare, 0.003, "%s: %s", system, g.Text)
		assert.LessOrEqual(t, g.Peaks[0].Low, 0.0123)
		assert.GreaterOrEqual(t, g.Peaks[0].High, 0.0123)
		for i, m := range g.Matches {
			assert.InDelta(t, diameters[i], m.SizeMM, 0.11)
			assert.Greater(t, m.Standard, 0.5)
		}
	}
}

// One size of which two standard ones lie 2 % apart within the range fits two
// scales; nothing, or plate alone, tells nothing.
func TestScaleErrorAmbiguous(t *testing.T) {
	c, err := Catalogue{}.add([]Size{{Mark: "RD 50", Form: "round", System: "own", ODMM: 50}, {Mark: "RD 51", Form: "round", System: "own", ODMM: 51}, {Mark: "RD 80", Form: "round", System: "own", ODMM: 80}}, markKey)
	require.NoError(t, err)
	found := []Found{{Key: "outside_diameter_mm", Forms: []string{"round"}, ValueMM: 50.5, U95MM: 0.02}, {Key: "outside_diameter_mm", Forms: []string{"round"}, ValueMM: 50.5, U95MM: 0.02}}
	g, err := ScaleError(found, c, DefaultGaugeOptions())
	require.NoError(t, err)
	assert.Equal(t, "ambiguous", g.Verdict)
	require.Len(t, g.Peaks, 2)
	assert.InDelta(t, 0.5, g.Peaks[0].Probability, 0.05)
	ends := []float64{g.Peaks[0].ErrorShare, g.Peaks[1].ErrorShare}
	assert.Contains(t, []bool{math.Abs(ends[0]-0.01) < 1e-3, math.Abs(ends[1]-0.01) < 1e-3}, true)
	assert.Contains(t, g.Text, "2 scales fit")
	// A third size parts them.
	found = append(found, Found{Key: "outside_diameter_mm", Forms: []string{"round"}, ValueMM: 80.8, U95MM: 0.02})
	g, err = ScaleError(found, c, DefaultGaugeOptions())
	require.NoError(t, err)
	assert.Equal(t, "clear", g.Verdict, g.Text)
	assert.InDelta(t, 0.01, g.ErrorShare, 1e-3)

	for _, none := range [][]Found{nil, {{Key: "outside_diameter_mm", Forms: []string{"round"}, ValueMM: 70, U95MM: 0.02}}, {{Key: "thickness_mm", Forms: []string{"plate"}, ValueMM: 6, U95MM: 0.1}}} {
		g, err = ScaleError(none, both(t), DefaultGaugeOptions())
		require.NoError(t, err)
		if len(none) == 1 && none[0].ValueMM == 70 {
			continue // 70 mm bar exists
		}
		assert.Equal(t, "uninformative", g.Verdict, g.Text)
		assert.Zero(t, g.ErrorShare)
	}
}

func TestScaleErrorRefused(t *testing.T) {
	c := both(t)
	good := DefaultGaugeOptions()
	for want, f := range map[string]func() (GaugeOptions, []Found){
		"found size 1 (width_mm) is NaN mm": func() (GaugeOptions, []Found) { return good, []Found{{Key: "width_mm", ValueMM: math.NaN()}} },
		"the range of the scale error":      func() (GaugeOptions, []Found) { o := good; o.RangeShare = 0; return o, nil },
		"the step of the scale error":       func() (GaugeOptions, []Found) { o := good; o.StepShare = 0; return o, nil },
		"the shares of odd metal":           func() (GaugeOptions, []Found) { o := good; o.OddShares = []float64{1.1}; return o, nil },
		"the greatest width":                func() (GaugeOptions, []Found) { o := good; o.WidthMost = math.NaN(); return o, nil },
	} {
		opt, found := f()
		_, err := ScaleError(found, c, opt)
		assert.ErrorContains(t, err, want)
	}
}

// Parts at full size lead back to the maquette. No. 40 chain (ASME B29.1): pitch
// 12.7 mm, 18 teeth; M10 hexagon 16 mm, made 0.13 mm smaller (ISO 4014, from memory).
func TestFoundIn(t *testing.T) {
	const k = 12.0
	n := 18.0
	seat := 7.92*1.005 + 0.0762
	wheel := piece("E03", "toothed_wheel", "tooth_count", 18, "tip_diameter_mm", k*78, "root_diameter_mm", k*(12.7/math.Sin(math.Pi/n)-7.92), "seat_diameter_mm", k*seat, "thickness_mm", k*7.2)
	var hex [][2]float64
	for i := range 6 {
		s, c := math.Sincos(float64(i) * math.Pi / 3)
		hex = append(hex, [2]float64{k * 15.872 / math.Sqrt(3) * c, k * 15.872 / math.Sqrt(3) * s})
	}
	made := bar("E05", 500, 900)
	made.Made = true
	ball := piece("E06", "sphere", "diameter_mm", k*12.7)
	washer := piece("E07", "ring", "outside_diameter_mm", k*23.734, "inside_diameter_mm", k*13, "thickness_mm", k*2.5)
	found := FoundIn([]Part{bar("E01", k*20, 900), bar("E02", k*20, 700), wheel, outlined("E04", 80, hex...), made, ball, washer}, nil, k)
	var got []Found
	for _, f := range found {
		got = append(got, Found{Part: f.Part, Key: f.Key})
		if want := map[string]float64{"chain_pitch_mm": 12.7, "across_flats_mm": 15.872, "diameter_mm": 12.7}[f.Key]; want > 0 {
			assert.InDelta(t, want, f.ValueMM, 0.015, f.Key)
			assert.Less(t, f.U95MM, 0.02)
		}
	}
	assert.Equal(t, []Found{{Part: 0, Key: "outside_diameter_mm"}, {Part: 2, Key: "thickness_mm"}, {Part: 2, Key: "chain_pitch_mm"}, {Part: 3, Key: "across_flats_mm"},
		{Part: 5, Key: "diameter_mm"}, {Part: 6, Key: "thickness_mm"}, {Part: 6, Key: "outside_diameter_mm"}}, got)
	g, err := ScaleError(found, both(t), DefaultGaugeOptions())
	require.NoError(t, err)
	assert.InDelta(t, 0, g.ErrorShare, 0.001, g.Text)
	for i, want := range []string{"RD 20", "", "ASME B29.1 41 085", "M10", "ball 1/2 in", "", "washer M12"} {
		if want != "" {
			assert.Equal(t, want, g.Matches[i].Mark)
		}
	}
	assert.Nil(t, FoundIn(nil, nil, 0))
}
