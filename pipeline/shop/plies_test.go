package shop

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/pipeline/draw"
	"pointup/pipeline/stock"
)

// steppedWheel has a hub 90 mm, a web 30 mm and a rim 60 mm thick, the hub 10 mm
// off the middle.
func steppedWheel() stock.Part {
	p := part("E01", "toothed_wheel", "tooth_count", 24.0, "tip_diameter_mm", 1440.0, "root_diameter_mm", 1260.0, "bore_diameter_mm", 200.0, "thickness_mm", 60.0)
	p.Lands = []stock.Land{{FromMM: 100, ToMM: 200, FrontMM: 55, BackMM: 35}, {FromMM: 200, ToMM: 500, FrontMM: 15, BackMM: 15}, {FromMM: 500, ToMM: 720, FrontMM: 30, BackMM: 30}}
	return p
}

func plates(mm ...float64) (out []stock.Size) {
	for _, t := range mm {
		out = append(out, stock.Size{Mark: "PL", Form: "plate", ThicknessMM: t})
	}
	return out
}

// TestWheelPlies: a core of the web's thickness, toothed rings and hub rings on
// both sides; without plug holes they fill what the profile encloses (Pappus), and
// the cut list has a line for each.
func TestWheelPlies(t *testing.T) {
	p := steppedWheel()
	whole := flat(t, p)
	plies, err := WheelPlies(whole, p, plates(15, 20, 30, 40), DefaultFlatOptions())
	require.NoError(t, err)
	thick := map[string][]float64{}
	volume := 0.0
	for _, x := range plies {
		thick[x.Of] = append(thick[x.Of], x.ThicknessMM)
		require.NoError(t, x.Drawing("steel").Check())
		area := x.NetMM2
		for _, o := range x.Openings {
			if o.For == plugWeld {
				assert.NotEqual(t, "core", x.Of)
				area += o.Loop.AreaMM2()
			}
		}
		volume += area * x.ThicknessMM
	}
	assert.Equal(t, map[string][]float64{"core": {30}, "front ring": {40, 15}, "back ring": {20, 15}}, thick)
	rim := whole.NetMM2 - math.Pi*(500*500-100*100)
	assert.InEpsilon(t, math.Pi*(200*200-100*100)*90+math.Pi*(500*500-200*200)*30+rim*60, volume, 1e-9)

	kg, err := stock.MassKG(p, stock.Size{Form: "plate", ThicknessMM: 60, MassKGM2: 60 * 7.85}, 7850)
	require.NoError(t, err)
	flatKG, err := stock.MassKG(stock.Part{Kind: p.Kind, Dims: p.Dims}, stock.Size{Form: "plate", ThicknessMM: 60, MassKGM2: 60 * 7.85}, 7850)
	require.NoError(t, err)
	assert.InEpsilon(t, math.Pi*(30000*30-210000*30)*7850e-9, kg-flatKG, 1e-9) // hub 30 mm more, web 30 mm less than the rim

	list := List{Lines: []Line{{Mark: "A1", Quantity: 2, Parts: []int{0}, Kind: p.Kind, Stock: plates(60)[0], From: "plate"}}}
	list.BuildUp([]stock.Part{p}, plates(15, 20, 30, 40))
	require.Len(t, list.Lines, 5)
	assert.Equal(t, 2, list.Lines[1].Quantity)
	assert.InDelta(t, 30, list.Lines[0].Stock.ThicknessMM, 0)

	// Without a plate of 40 mm one of 80 is machined; of lands that do not overlap
	// nothing is made.
	machined, err := WheelPlies(whole, p, plates(15, 20, 30, 80), DefaultFlatOptions())
	require.NoError(t, err)
	assert.Equal(t, 40.0, machined[1].ThicknessMM)
	assert.Equal(t, 80.0, machined[1].Stock.ThicknessMM)
	p.Lands[0] = stock.Land{FromMM: 100, ToMM: 200, FrontMM: 90, BackMM: -40}
	_, err = WheelPlies(whole, p, plates(30), DefaultFlatOptions())
	assert.ErrorContains(t, err, "no plate runs through")
	_, err = WheelPlies(whole, steppedWheel(), nil, FlatOptions{})
	assert.Error(t, err)
}

// TestPlugWelds: holes are as wide as the plate is thick and 5/16 in (AWS D1.1; AISC
// 360 J2.3) and no more than 1/8 in over that, at least four diameters apart and two
// from any edge, no place on the circles farther than the greatest spacing; a ring
// too narrow has none.
func TestPlugWelds(t *testing.T) {
	wheel := part("E01", "toothed_wheel", "tooth_count", 24.0, "tip_diameter_mm", 1440.0, "root_diameter_mm", 1260.0, "bore_diameter_mm", 200.0, "thickness_mm", 60.0)
	wheel.Holes = []stock.Hole{{Shape: "round", CentreMM: [2]float64{400, 0}, DiameterMM: 90}}
	plate := part("E02", "plate", "thickness_mm", 40.0, "length_mm", 1500.0, "width_mm", 900.0)
	for _, p := range []stock.Part{wheel, plate} {
		whole := flat(t, p)
		plies, err := Laminated(whole, plates(whole.ThicknessMM/2, whole.ThicknessMM/2), DefaultFlatOptions())
		require.NoError(t, err)
		require.Len(t, plies, 2)
		assert.Equal(t, whole.CutMM, plies[0].CutMM)
		marks := 0
		for _, l := range plies[1].Lines {
			if x, ok := l.Shape.(draw.Label); ok {
				marks++
				assert.Equal(t, p.ID+"-ply-2", x.Text)
			}
		}
		assert.Equal(t, 1, marks)
		var at [][2]float64
		for _, o := range plies[1].Openings {
			if o.For != plugWeld {
				continue
			}
			at = append(at, o.Loop.CentreMM)
			assert.GreaterOrEqual(t, o.WidthMM, whole.ThicknessMM/2+25.4*5/16-0.07) // 8 mm for 5/16 in
			assert.LessOrEqual(t, o.WidthMM, whole.ThicknessMM/2+25.4*7/16)
		}
		require.Greater(t, len(at), 8)
		d := plugMM(whole.ThicknessMM / 2)
		for i, a := range at {
			lines := [][][2]float64{whole.Outer.line()}
			for _, o := range whole.Openings {
				lines = append(lines, o.Loop.line())
			}
			assert.GreaterOrEqual(t, offEdges(a, lines), 2*d)
			nearest := math.Inf(1)
			for k, b := range at {
				if k != i {
					nearest = min(nearest, math.Hypot(a[0]-b[0], a[1]-b[1]))
				}
			}
			assert.GreaterOrEqual(t, nearest, 4*d-1e-9)
			assert.LessOrEqual(t, nearest, math.Max(plugApartMM, 4*d)+1e-9)
		}
	}
	narrow := part("E03", "ring", "outside_diameter_mm", 500.0, "inside_diameter_mm", 460.0, "thickness_mm", 40.0)
	narrow.Section = "flat"
	plies, err := Laminated(flat(t, narrow), plates(20, 20), DefaultFlatOptions())
	require.NoError(t, err)
	assert.Equal(t, plies[0].Pierces, plies[1].Pierces)
	assert.Contains(t, plies[1].Notes[0], "along its edges")
	_, err = Laminated(flat(t, narrow), plates(20), DefaultFlatOptions())
	assert.Error(t, err)
}
