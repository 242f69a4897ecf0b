package site

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/job"
	"pointup/pipeline/stock"
)

func weatherOf(pieces []Piece, opt WeatherOptions) Weather {
	w, _ := Outdoors(pieces, nil, opt, 3000)
	return w
}

// Upper bounds of ISO 9223 and their power law over 20 years: iso9223_corrosivity.csv of
// the standards at hand (three copies) and its own column of losses, rounded to 1 µm;
// row k1 of the worked examples: 50 µm/a, 20 years, 239.6 µm.
func TestLossOfTheCategories(t *testing.T) {
	for category, want := range map[string][2]float64{"C1": {1.3, 6}, "C2": {25, 120}, "C3": {50, 240}, "C4": {80, 383}, "C5": {200, 958}, "CX": {700, 3354}} {
		steel, _ := firstYearUM(category)
		require.Equal(t, want[0], steel, category)
		require.InDelta(t, want[1], lossUM(steel, steelPower, 20), 0.6, category)
	}
	require.InDelta(t, 239.557, lossUM(50, steelPower, 20), 1e-3)
	slope := lossUM(50, steelPower, 41) - lossUM(50, steelPower, 40)
	require.InEpsilon(t, steelPower*239.557/20, slope, 1e-5, "the tangent of r·t^b at 20 years")
	for _, years := range []float64{0.4, 7, 20, 33, 90} {
		require.InEpsilon(t, years, yearsFor(4.2, zincPower, lossUM(4.2, zincPower, years)), 1e-9)
	}
}

func TestWallsLeft(t *testing.T) {
	tube := func(id string, ends ...stock.End) Piece {
		return Piece{Part: stock.Part{ID: id, Kind: "tube", Ends: ends, Dims: dims("outside_diameter_mm", 100.0, "inside_diameter_mm", 88.0, "length_mm", 1000.0)}}
	}
	open, met := stock.End{Kind: "square", Out: r3.Vec{Z: 1}}, stock.End{Kind: "square", Met: true}
	pieces := []Piece{tube("E01", open, met), tube("E02", met, met), {Part: stock.Part{ID: "E03", Kind: "plate", Dims: dims("thickness_mm", 5.0)}}}
	on := func(finish, grade string) Weather {
		return weatherOf(pieces, WeatherOptions{Corrosivity: "C4", LifeYears: 20, Grade: grade, Finish: finish})
	}
	bare := on("bare", "S235JR").Corrosion
	loss := 80 * math.Pow(20, 0.523) / 1000
	require.InDelta(t, loss, bare.LossMM, 1e-12)
	require.Equal(t, []string{"E03", "E01", "E02"}, []string{bare.Walls[0].ID, bare.Walls[1].ID, bare.Walls[2].ID})
	for i, want := range []float64{5 - 2*loss, 6 - 2*loss, 6 - loss} { // both sides of what is open, one of what is closed
		require.InDelta(t, want, bare.Walls[i].LeftMM, 1e-12)
	}
	zinc := on("hot-dip galvanised", "S235JR").Corrosion
	require.InDelta(t, 70, 4.2*math.Pow(yearsFor(4.2, zincPower, 70), 0.813), 2.5, "near the power law, which is bent only after 20 years")
	require.Zero(t, zinc.Walls[0].LossMM, "70 µm of zinc outlast 20 years of at most 48 µm")
	require.Zero(t, on("bare", "316L").Corrosion.Walls[2].LossMM)
	require.Nil(t, on("bare", "6061-T6").Corrosion)
	require.Contains(t, on("bare", "6061-T6").NotCovered[0], "6061-T6")
	require.Contains(t, weatherOf(pieces, WeatherOptions{Grade: "S235JR"}).NotCovered[0], "site.corrosivity")
}

// Closed forms: a tube's cylinder, a torus (Pappus), a ball.
func TestHollows(t *testing.T) {
	met, open := stock.End{Kind: "square", Met: true}, stock.End{Kind: "square", Out: r3.Vec{Z: 1}}
	of := func(p stock.Part) Hollow { p.ID = "E01"; return hollowsOf([]Piece{{Part: p}})[0] }
	mast := of(stock.Part{Kind: "tube", Ends: []stock.End{met, met}, Dims: dims("outside_diameter_mm", 177.8, "inside_diameter_mm", 165.2, "length_mm", 5000.0)})
	require.InDelta(t, math.Pi/4*165.2*165.2*5000/1e6, mast.VolumeL, 1e-9)
	require.True(t, mast.Closed)
	require.Equal(t, 45.0, mast.VentMM, "a quarter of 177.8 mm, rounded up")
	require.Contains(t, mast.Advice, "never galvanise it closed")
	stub := of(stock.Part{Kind: "tube", Ends: []stock.End{met, open}, Dims: dims("outside_diameter_mm", 33.7, "inside_diameter_mm", 27.3, "length_mm", 300.0)})
	require.Equal(t, 1, stub.OpenEnds)
	require.Equal(t, 10.0, stub.VentMM, "the least hole")
	require.Contains(t, stub.Advice, "open to the rain")
	const lean = 25 * math.Pi / 180
	sin, cos := math.Sincos(lean)
	axis := r3.Vec{X: sin, Z: cos}
	cup := of(stock.Part{Kind: "tube", Frame: stock.Frame{Axis: axis}, Ends: []stock.End{met, {Kind: "square", Out: axis}}, Dims: dims("outside_diameter_mm", 312.0, "inside_diameter_mm", 300.0, "length_mm", 500.0)})
	require.InDelta(t, math.Pi*0.15*0.15*(0.5-0.15*math.Tan(lean))*1000, cup.HoldsL, 1e-2, "π R² (H − R tan a)")
	hoop := of(stock.Part{Kind: "ring", Section: "round", Dims: dims("centreline_diameter_mm", 1000.0, "section_diameter_mm", 60.3, "section_bore_mm", 52.3)})
	require.InDelta(t, math.Pi*1000*math.Pi/4*52.3*52.3/1e6, hoop.VolumeL, 1e-9)
	require.True(t, hoop.Closed)
	ball := of(stock.Part{Kind: "sphere", Dims: dims("diameter_mm", 1200.0, "wall_mm", 6.0)})
	require.InDelta(t, math.Pi/6*1.188*1.188*1.188*1000, ball.VolumeL, 1e-9)
	require.Equal(t, 300.0, ball.VentMM)
	require.Equal(t, 2, ball.VentCount, "0.88 m³: one for every half")
	box := hollowsOf([]Piece{{Size: stock.Size{Form: "box", HeightMM: 100, WidthMM: 60, WallMM: 5}, Part: stock.Part{Kind: "profile", Dims: dims("length_mm", 2000.0)}}})[0]
	require.InDelta(t, 90*50*2000/1e6, box.VolumeL, 1e-9)
	require.Empty(t, hollowsOf([]Piece{{Part: stock.Part{Kind: "bar", Dims: dims("outside_diameter_mm", 50.0, "length_mm", 900.0)}}}))
}

// A closed mast: surface of a tube and its two rims by hand; 10 m² of paint.
func TestCoating(t *testing.T) {
	m := mast(219.1, 8.2, 4000)
	m.Part.Ends = []stock.End{{Kind: "square", Met: true}, {Kind: "square", Met: true}}
	bore := 219.1 - 2*8.2
	c := coatingOf([]Piece{m}, hollowsOf([]Piece{m}))
	out := math.Pi*219.1*4000 + math.Pi/2*(219.1*219.1-bore*bore)
	near(t, out/1e6, c.OutsideM2, 0.003, "outside and rims")
	near(t, math.Pi*bore*4000/1e6, c.ClosedM2, 1e-9, "inside")
	require.Zero(t, c.InsideM2)
	require.InDelta(t, 10*0.240/0.6/0.7, paintL(10), 1e-12, "10 m² under 0.24 mm, 60 % solids, 30 % lost: 5.7 l")
}

// A black plate square to the sun at 1 au (1361 W/m², Kopp and Lean 2011) without air or sky
// about it comes to 394 K; without sun, sky as warm as the air, to the air's temperature.
func TestHeatBalance(t *testing.T) {
	require.InDelta(t, math.Pow(1361/stefan, 0.25), balance(1361, 1, 0, 0, 0), 1e-9)
	require.InDelta(t, 393.6, balance(1361, 1, 0, 0, 0), 0.1)
	require.InDelta(t, 290, balance(0, 0.9, 8, 290, 290), 1e-9)
	hot := inTheSun("bare", 35)
	require.InDelta(t, 0.96*1000, 8*(hot.MetalC-35)+0.69*stefan*(math.Pow(hot.MetalC+kelvin, 4)-math.Pow(0.0552*math.Pow(35+kelvin, 1.5), 4)), 1e-6)
	require.True(t, hot.Burns[0].Reached)
	require.Less(t, inTheSun("stainless", 20).MetalC, hot.MetalC)
	require.False(t, InTheSun{Burns: burns()}.Burns[0].Reached)
}

// 10 m of structural steel from −20 to 30 °C: 12e-6 · 50 · 10 000 = 6.0 mm.
func TestGrowth(t *testing.T) {
	m := mast(219.1, 8.2, 10000)
	g := growthOf([]Piece{m}, WeatherOptions{AirC: &[2]float64{-20, 25}, Grade: "EN 10025 S235JR", DensityKGM3: 7850}, 30)
	require.InDelta(t, 6.0, g.WholeMM[2], 1e-9)
	require.Zero(t, g.FeetMM, "one foot")
	require.Equal(t, 16e-6, perK("316", 8000))
	require.Equal(t, 24e-6, perK("6061-T6", 2700))
}

func TestWeatherOptionsOfJob(t *testing.T) {
	w := weatherOf(nil, WeatherOptionsOf(job.Site{Corrosivity: new("C3"), LifeYears: new(50.0), AirC: &[2]float64{-15, 35}}, job.Metal{Grade: "ASTM A36", Finish: "painted"}, 7850))
	require.Equal(t, "painted", w.Corrosion.Finish)
	require.Equal(t, 35.0, w.Metal.AirC)
	require.Empty(t, w.Corrosion.Walls)
	require.Zero(t, w.Growth.WholeMM[2])
}
