package shop

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/job"
	"pointup/pipeline/stock"
)

func dims(kv ...any) []stock.Dim {
	var out []stock.Dim
	for i := 0; i < len(kv); i += 2 {
		out = append(out, stock.Dim{Key: kv[i].(string), Value: kv[i+1].(float64)})
	}
	return out
}

func upright() stock.Frame { return stock.Frame{Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}} }

// leaning is an end plane at height h that leans by deg towards +x.
func leaning(h, deg, sign float64) stock.End {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return stock.End{Kind: "mitre", AngleDeg: deg, AtMM: r3.Vec{Z: h}, Out: r3.Vec{X: sin, Z: sign * cos}}
}

// The longest generator of a mitred tube, by hand: each leaning end adds r tan a on
// one side; where both lean to one side the tube is longest there by the sum, and
// where they are parallel by nothing.
func TestLongestGenerator(t *testing.T) {
	tube := stock.Part{Kind: "tube", Frame: upright(), Dims: dims("outside_diameter_mm", 100.0, "length_mm", 1000.0)}
	tan := func(deg float64) float64 { return math.Tan(deg * math.Pi / 180) }
	for name, c := range map[string]struct {
		ends []stock.End
		want float64
	}{
		"square":    {nil, 1000},
		"one mitre": {[]stock.End{leaning(500, 30, 1)}, 1000 + 50*tan(30)},
		"apart":     {[]stock.End{leaning(500, 30, 1), leaning(-500, 20, -1)}, 1000 + 50*(tan(30)+tan(20))},
		"parallel":  {[]stock.End{leaning(500, 30, 1), {Kind: "mitre", AngleDeg: 30, AtMM: r3.Vec{Z: -500}, Out: r3.Scale(-1, leaning(0, 30, 1).Out)}}, 1000},
	} {
		tube.Ends = c.ends
		l, err := longOf(tube)
		require.NoError(t, err)
		assert.InDelta(t, c.want, l.lengthMM, 1e-9, name)
	}
}

// A tube bending handbook's example: 90° at 6 in centreline radius with two straight
// tangents of 12 in develops to 33.423 in, by its factor of 0.01745 a degree.
func TestDevelopedLengthOfABend(t *testing.T) {
	const in = 25.4
	bend := stock.Part{Kind: "arc", Dims: dims("section_diameter_mm", 2*in), Segments: []stock.Segment{
		{Kind: "straight", Dims: dims("length_mm", 12*in)},
		{Kind: "arc", Dims: dims("centreline_diameter_mm", 12*in, "sweep_deg", 90.0)},
		{Kind: "straight", Dims: dims("length_mm", 12*in)},
	}}
	l, err := longOf(bend)
	require.NoError(t, err)
	assert.InDelta(t, 33.423*in, l.lengthMM, 0.002*in)
	assert.Equal(t, 1, l.bends)
}

func TestLengthsThatAreNotKnown(t *testing.T) {
	_, err := longOf(stock.Part{ID: "E07", Kind: "coil", Dims: dims("turns", 2.5)})
	assert.ErrorContains(t, err, "E07")
	_, err = longOf(stock.Part{ID: "E08", Kind: "bar"})
	assert.ErrorContains(t, err, "E08: the length of the bar is not known")
}

// AWS D1.1, table 7.7: to 1/4 in (6 mm) 1/8 in (3), to 1/2 (12) 3/16 (5), to 3/4
// (20) 1/4 (6), over that 5/16 (8); it need not exceed the thinner part.
func TestMinimumFillet(t *testing.T) {
	for thick, leg := range map[float64]float64{2: 2, 6: 3, 6.01: 5, 12: 5, 12.1: 6, 20: 6, 20.1: 8, 100: 8} {
		assert.InDelta(t, leg, MinFilletMM(thick), 1e-12, "%v mm", thick)
	}
}

// A fillet of 6 mm has 18 mm² of section: 0.1413 kg/m by 7850 kg/m³, and 15 % more.
func TestWeldMetalByHand(t *testing.T) {
	assert.InDelta(t, 1.15*0.1413, FilletKG(6, 1000), 1e-9)
	assert.InDelta(t, 1.15*(100*math.Tan(math.Pi/6)+20)*7850e-6, GrooveKG(10, 1000), 1e-9)
}

func work(t *testing.T) ([]stock.Part, stock.Choice, List, []Nesting) {
	parts := []stock.Part{
		{ID: "E01", Name: "mast", Kind: "tube", Frame: upright(), Dims: dims("outside_diameter_mm", 219.08, "inside_diameter_mm", 202.72, "wall_mm", 8.18, "length_mm", 5500.0)},
		{ID: "E02", Kind: "tube", Frame: upright(), Dims: dims("outside_diameter_mm", 219.08, "inside_diameter_mm", 202.72, "wall_mm", 8.18, "length_mm", 500.0)},
		{ID: "E03", Kind: "tube", Frame: upright(), Dims: dims("outside_diameter_mm", 219.08, "inside_diameter_mm", 202.72, "wall_mm", 8.18, "length_mm", 500.0)},
		{ID: "E04", Name: "foot", Kind: "plate", Frame: upright(), Dims: dims("thickness_mm", 25.4, "length_mm", 1000.0, "width_mm", 600.0)},
		{ID: "E05", Kind: "freeform", Dims: dims("length_mm", 100.0, "width_mm", 50.0, "height_mm", 20.0)},
		{ID: "E06", Kind: "tube", Frame: upright(), Dims: dims("outside_diameter_mm", 219.08, "inside_diameter_mm", 202.72, "wall_mm", 8.18, "length_mm", 8000.0)},
	}
	cat, err := stock.Standard("us")
	require.NoError(t, err)
	opt := stock.DefaultOptions()
	choice, err := stock.Choose(parts, nil, cat, opt)
	require.NoError(t, err)
	sized := stock.AsStock(parts, choice)
	kg := make([]float64, len(parts))
	for _, p := range choice.Families {
		for _, at := range p.Members {
			kg[at], _ = stock.MassKG(sized[at], p.Size, 7850)
		}
	}
	list := CutList(sized, choice, stock.Remark(sized, choice.Families), kg)
	return sized, choice, list, Nest(list, job.Default().Shop)
}

// Every piece stands in the list once, like ones in one line.
func TestCutListHoldsEveryPiece(t *testing.T) {
	parts, _, list, _ := work(t)
	seen := map[int]int{}
	for _, l := range list.Lines {
		for _, at := range l.Parts {
			seen[at]++
		}
		assert.Equal(t, len(l.Parts), l.Quantity, l.Mark)
	}
	for i := range parts {
		assert.Equal(t, 1, seen[i], parts[i].ID)
	}
	assert.Equal(t, list.Marks[1], list.Marks[2], "pieces that are alike share a mark")
	assert.NotEqual(t, list.Marks[0], list.Marks[1])
}

// ASME B36.10M: NPS 8 of 219.1 mm weighs 28.58 lb/ft in Sch 40 (42.55 kg/m). 5500 +
// 500 mm and two kerfs leave no room in 20 ft; 8000 mm is spliced.
func TestTubesAreNestedSplicedAndBought(t *testing.T) {
	_, choice, list, nests := work(t)
	i := 0
	for nests[i].Bars == nil {
		i++
	}
	n := nests[i]
	require.Contains(t, n.Stock.Mark, "8", "a size of NPS 8")
	require.Len(t, n.Joints, 1)
	assert.InDelta(t, math.Pi*n.Stock.ODMM, n.Joints[0].SeamMM, 1e-6)
	assert.GreaterOrEqual(t, n.Bars.BoughtMM, n.Bars.BoundMM)
	assert.InDelta(t, 5500+500+500+8000, n.Bars.UsedMM, 1)
	bought := 0.0
	for _, p := range Purchases(list, nests) {
		if p.Stock.Mark == n.Stock.Mark {
			bought += p.MassKG
			assert.InDelta(t, float64(p.Count)*p.LengthMM/1000*n.Stock.MassKGM, p.MassKG, 1e-6)
			assert.LessOrEqual(t, p.UsedKG, p.MassKG)
			assert.True(t, p.Lead == (n.Stock.ODMM > leadOD))
		}
	}
	assert.InDelta(t, n.Bars.BoughtMM/1000*n.Stock.MassKGM, bought, 1e-6)
	require.NotEmpty(t, choice.Families)
}

// Hours by hand for a small list.
func TestCostByHand(t *testing.T) {
	s := job.Default().Shop
	s.Pace = job.Pace{CutMH: 30, PierceS: 36, SawS: 360, BendH: 1, DepositionKGH: 2, ArcShare: 0.25, LiftH: 0.5, SetupH: 0.25}
	hour, steel, rod := 60.0, 2.0, 6.0
	s.Rates = &job.Rates{Currency: "EUR", Hour: &hour, SteelKG: &steel, WeldKG: &rod}
	list := List{Lines: []Line{
		{Mark: "A1", Quantity: 2, From: "bar", MassKG: 30, SawCuts: 2, Bends: 1, Processes: []string{"saw", "bend"}, Stock: stock.Size{Mark: "NPS 2 Sch 40"}},
		{Mark: "B1", Quantity: 1, From: "plate", MassKG: 10, CutMM: 15000, Pierces: 5, Processes: []string{"plasma"}, Stock: stock.Size{Mark: "PL 12"}},
	}}
	e := Cost(list, []Purchase{{MassKG: 100, UsedKG: 80}}, []Weld{{MassKG: 1.5}}, s, stock.Choice{}, nil)
	// 15 m/30 + 5 × 36 s + 4 × 360 s + 2 bends + 1.5/(2 × 0.25) + 2 lifts × 0.5 + 3 set-ups × 0.25
	want := 0.5 + 0.05 + 0.4 + 2 + 3 + 1 + 0.75
	assert.InDelta(t, want, e.Hours, 1e-9)
	assert.InDelta(t, want*60+80*2+1.5*6, e.Money, 1e-9)
	assert.InDelta(t, 70, e.NetKG, 1e-9)
	assert.True(t, e.Priced)
	assert.InDelta(t, e.Money, e.MoneyLow, 1e-9)
	s.Rates = nil
	e = Cost(list, nil, nil, s, stock.Choice{}, nil)
	assert.Empty(t, e.Currency)
	assert.Zero(t, e.Money)
}

// Open decisions make the range: the lighter and the heavier way of each.
func TestOpenDecisionsMakeTheRange(t *testing.T) {
	s := job.Default().Shop
	steel := 2.0
	s.Rates = &job.Rates{Currency: "EUR", SteelKG: &steel}
	list := List{Lines: []Line{{Mark: "A1", Quantity: 1, MassKG: 100, From: "bar", SawCuts: 2, Stock: stock.Size{Mark: "x"}}}}
	choice := stock.Choice{Decisions: []stock.Decision{{Ways: []stock.Way{{MassKG: 0}, {MassKG: 40}, {MassKG: -10}}}}}
	e := Cost(list, []Purchase{{UsedKG: 100}}, nil, s, choice, nil)
	assert.InDelta(t, 200, e.Money, 1e-9)
	assert.InDelta(t, 180, e.MoneyLow, 1e-9)
	assert.InDelta(t, 280, e.MoneyHigh, 1e-9)
}

// A wheel of 24 teeth, 600 mm over tips, 540 mm over roots, 40 mm thick.
func TestPlainWheelByHand(t *testing.T) {
	x := seenAs{mark: "A1", part: stock.Part{Kind: "toothed_wheel", Dims: dims("tip_diameter_mm", 600.0, "root_diameter_mm", 540.0, "bore_diameter_mm", 100.0, "tooth_count", 24.0, "tooth_width_mm", 35.0, "thickness_mm", 40.0)},
		size: stock.Size{ThicknessMM: 40, MassKGM2: 314}, hours: 1, massKG: 78, shop: job.Default().Shop}
	ways := x.ways()
	require.Len(t, ways, 2)
	assert.Equal(t, "plain", ways[0].Way)
	assert.InDelta(t, 15, ways[0].ChangeMM, 1e-9)
	assert.InDelta(t, math.Pi/4*(570*570-100*100)*40*7850e-9, ways[0].MassKG, 1e-6)
	assert.InDelta(t, 1-24*60.0/1000/40, ways[0].Hours, 0.01) // a tooth saves its two flanks of 30 mm, about
	assert.Equal(t, "built-up", ways[1].Way)
	assert.Less(t, ways[1].MassKG, 78.0)
	assert.InDelta(t, (40-40.0/3)/2, ways[1].ChangeMM, 1e-9)
}

// Lines of odd routes: what they are cut from and how much of it.
func TestRoutesAreCutFromPlate(t *testing.T) {
	plate := stock.Size{Mark: "PL 10", Form: "plate", ThicknessMM: 10, MassKGM2: 78.5}
	tube := stock.Part{ID: "E01", Kind: "tube", Frame: upright(), Dims: dims("outside_diameter_mm", 500.0, "inside_diameter_mm", 480.0, "length_mm", 2000.0)}
	pick := stock.Pick{Size: stock.Size{Mark: "rolled 500 x 10"}, Route: &stock.Route{Kind: "rolled", From: []stock.Size{plate}, DevelopedMM: 490 * math.Pi, Seams: 1, Text: "roll"}}
	lines := linesOf(tube, pick, 0)
	require.Len(t, lines, 1)
	assert.InDelta(t, 2000, lines[0].LengthMM, 1e-9)
	assert.InDelta(t, 490*math.Pi, lines[0].WidthMM, 1e-9)
	assert.InDelta(t, 490*math.Pi*2*78.5e-3, lines[0].MassKG, 1e-6)
	assert.Equal(t, []string{"laser", "rolled"}, lines[0].Processes)
	assert.True(t, lines[0].Lead)

	disc := stock.Part{ID: "E02", Kind: "disc", Dims: dims("outside_diameter_mm", 400.0, "thickness_mm", 20.0)}
	pick = stock.Pick{Size: stock.Size{Mark: "laminated"}, Route: &stock.Route{Kind: "laminated", From: []stock.Size{plate, plate}, Text: "two layers"}}
	lines = linesOf(disc, pick, 0)
	require.Len(t, lines, 1)
	assert.Equal(t, 2, lines[0].Quantity)
	assert.InDelta(t, math.Pi/4*0.16*78.5, lines[0].MassKG, 1e-6)

	pick = stock.Pick{Size: stock.Size{Mark: "built up"}, Route: &stock.Route{Kind: "built up", From: []stock.Size{plate}, StripMM: 30, Text: "skins"}}
	lines = linesOf(disc, pick, 0)
	require.Len(t, lines, 2)
	assert.Equal(t, "skin", lines[0].Of)
	assert.Equal(t, 2, lines[0].Quantity)
	assert.InDelta(t, 400*math.Pi, lines[1].LengthMM, 1e-9)
	assert.InDelta(t, 30, lines[1].WidthMM, 1e-9)
}

func TestCutterByThickness(t *testing.T) {
	for mm, want := range map[float64]string{6: "laser", 20: "laser", 25: "plasma", 50: "plasma", 60: "flame"} {
		assert.Equal(t, want, cutter(mm), fmt.Sprint(mm))
	}
}
