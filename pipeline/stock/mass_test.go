package stock

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const perMM3 = 7850e-9

// Closed forms at 7850 kg/m³, sizes chosen for exact areas.
func TestMassKG(t *testing.T) {
	pl := Size{Form: "plate", ThicknessMM: 10, MassKGM2: 78.5}
	rd := Size{Form: "round", ODMM: 20, MassKGM: math.Pi * 100 * 7850e-6}
	wheel := piece("", "toothed_wheel", "tooth_count", 20, "tip_diameter_mm", 220, "root_diameter_mm", 180, "bore_diameter_mm", 40, "thickness_mm", 10)
	pierced := plate("", 10, 400, 200)
	pierced.Holes = []Hole{{Shape: "round", DiameterMM: 20}, {Shape: "slot", AcrossMM: [2]float64{60, 20}}, {Shape: "diamond", AcrossMM: [2]float64{40, 20}},
		{Shape: "rectangle", AcrossMM: [2]float64{30, 10}}, {Shape: "other", Outline: []Step{{To: [2]float64{0, 0}}, {To: [2]float64{10, 0}}, {To: [2]float64{0, 10}}}}}
	holes := math.Pi*100 + 40*20 + math.Pi*100 + 400 + 300 + 50
	bend := piece("", "arc", "centreline_diameter_mm", 1)
	bend.Segments = []Segment{{"straight", []Dim{{Key: "length_mm", Value: 100}}}, {"arc", []Dim{{Key: "centreline_diameter_mm", Value: 200}, {Key: "sweep_deg", Value: 90}}}}
	onEnd := plate("", 10, 900, 50)
	onEnd.Outline = plate("", 1, 50, 10).Outline
	half := piece("", "plate", "thickness_mm", 10, "length_mm", 200, "width_mm", 100)
	half.Outline = []Step{{To: [2]float64{-100, -50}}, {To: [2]float64{100, -50}}, {To: [2]float64{-100, -50}, Via: [2]float64{0, 50}, Arc: true}}
	for _, r := range []struct {
		name string
		part Part
		size Size
		mm3  float64
	}{
		{"bar", bar("", 20, 1000), rd, math.Pi * 100 * 1000},
		{"hoop (Pappus)", piece("", "ring", "centreline_diameter_mm", 500, "section_diameter_mm", 20), rd, math.Pi * 100 * math.Pi * 500},
		{"arc (Pappus)", piece("", "arc", "centreline_diameter_mm", 500, "section_diameter_mm", 20, "sweep_deg", 90), rd, math.Pi * 100 * math.Pi * 125},
		{"compound bend", bend, rd, math.Pi * 100 * (100 + math.Pi*50)},
		{"coil", piece("", "coil", "centreline_diameter_mm", 100, "section_diameter_mm", 20, "pitch_mm", 50, "turns", 3), rd, math.Pi * 100 * 3 * math.Hypot(math.Pi*100, 50)},
		{"disc", piece("", "disc", "outside_diameter_mm", 200, "thickness_mm", 10), pl, math.Pi * 1e4 * 10},
		{"flat ring", piece("", "ring", "outside_diameter_mm", 200, "inside_diameter_mm", 100, "thickness_mm", 10), pl, math.Pi * 7500 * 10},
		{"flat arc", piece("", "arc", "outside_diameter_mm", 200, "inside_diameter_mm", 100, "thickness_mm", 10, "sweep_deg", 90), pl, math.Pi * 7500 * 10 / 4},
		{"plate", plate("", 10, 400, 200), pl, 400 * 200 * 10},
		{"pierced plate", pierced, pl, (400*200 - holes) * 10},
		{"bar on end", onEnd, pl, 900 * 50 * 10},
		{"half disc", half, pl, math.Pi / 2 * 1e4 * 10},
		{"rolled plate", piece("", "rolled_plate", "inside_diameter_mm", 990, "thickness_mm", 10, "width_mm", 300, "sweep_deg", 180), pl, math.Pi * 500 * 300 * 10},
		{"plate rolled to a cone (Pappus)", piece("", "rolled_plate", "inside_diameter_mm", 390, "thickness_mm", 10, "width_mm", 80, "sweep_deg", 120, "slant_mm", 100,
			"developed_large_radius_mm", 250/0.6, "developed_small_radius_mm", 190/0.6, "developed_sweep_deg", 120*0.6), pl, 2 * math.Pi / 3 * 220 * 100 * 10},
		{"solid ball", piece("", "sphere", "diameter_mm", 20), Size{Form: "turned", WallMM: 10}, 4.0 / 3 * math.Pi * 1000},
		{"solid cone", piece("", "cone", "large_diameter_mm", 20, "small_diameter_mm", 0, "height_mm", 30), Size{Form: "turned", WallMM: 10}, math.Pi * 1000},
		{"wheel, teeth half the pitch", wheel, pl, (math.Pi*90*90 + math.Pi*200/2*20 - math.Pi*400) * 10},
		{"ball", piece("", "sphere", "diameter_mm", 200), Size{Form: "formed", WallMM: 10}, 4.0 / 3 * math.Pi * (1e6 - 729e3)},
		{"cone as a tube", piece("", "cone", "large_diameter_mm", 200, "small_diameter_mm", 200, "height_mm", 100), Size{Form: "formed", WallMM: 10}, math.Pi * 190 * 10 * 100},
	} {
		t.Run(r.name, func(t *testing.T) {
			kg, err := MassKG(r.part, r.size, 7850)
			require.NoError(t, err)
			assert.InEpsilon(t, r.mm3*perMM3, kg, 1e-9)
			heavy, err := MassKG(r.part, r.size, 8000)
			require.NoError(t, err)
			assert.InEpsilon(t, kg*8000/7850, heavy, 1e-12)
		})
	}
}

// A cone from large to small: its shell's volume between two frusta whose walls are
// measured square to the slant. Pappus: area of the section, a parallelogram of
// slant × wall, times the way of its centroid.
func TestConeMass(t *testing.T) {
	kg, err := MassKG(piece("", "cone", "large_diameter_mm", 300, "small_diameter_mm", 100, "height_mm", 200), Size{Form: "formed", WallMM: 6}, 7850)
	require.NoError(t, err)
	slant := math.Hypot(100, 200)
	centroid := 100 - 6.0/2*200/slant // mean outside radius, half a wall inwards along the normal
	assert.InEpsilon(t, 2*math.Pi*centroid*slant*6*perMM3, kg, 1e-9)
}

// Round seats: a gap is half a circle of 20 mm and opens by 15° a side to the tip.
func TestSeatedWheelMass(t *testing.T) {
	w := piece("", "toothed_wheel", "tooth_count", 12, "tip_diameter_mm", 230, "root_diameter_mm", 180, "seat_diameter_mm", 20, "thickness_mm", 10)
	kg, err := MassKG(w, Size{Form: "plate", ThicknessMM: 10, MassKGM2: 78.5}, 7850)
	require.NoError(t, err)
	gap := math.Pi*50 + 15*20 + 15*15*math.Tan(math.Pi/12)
	assert.InEpsilon(t, (math.Pi*115*115-12*gap)*10*perMM3, kg, 1e-9)
}

func TestMassUnknown(t *testing.T) {
	rd := Size{Form: "round", ODMM: 20, MassKGM: 2.5}
	for want, f := range map[string]func() (float64, error){
		"its length_mm is not known": func() (float64, error) { return MassKG(piece("", "bar", "outside_diameter_mm", 20), rd, 7850) },
		"its turns is not known": func() (float64, error) {
			return MassKG(piece("", "coil", "centreline_diameter_mm", 20, "pitch_mm", 3), rd, 7850)
		},
		"the density is 0 kg/m³; give one over 0": func() (float64, error) { return MassKG(bar("", 20, 100), rd, 0) },
		"no stock was found for it":               func() (float64, error) { return MassKG(bar("", 20, 100), Size{}, 7850) },
		"its sweep_deg of segment 1 is not known": func() (float64, error) {
			p := piece("", "arc")
			p.Segments = []Segment{{"arc", []Dim{{Key: "centreline_diameter_mm", Value: 9}}}}
			return MassKG(p, rd, 7850)
		},
	} {
		_, err := f()
		assert.EqualError(t, err, want)
	}
}

// 2-1/2 in plate weighs 102 lb/ft², NPS 8 Sch 40 28.55 lb/ft (ASME B36.10M prints
// 28.58): a square foot and a foot of them.
func TestPublishedPieceMasses(t *testing.T) {
	c := both(t)
	pl, _ := c.Find("PL 2-1/2 in")
	kg, err := MassKG(plate("", 63.5, 304.8, 304.8), pl, 7850)
	require.NoError(t, err)
	assert.InDelta(t, 102, kg/0.45359237, 0.2)
	pipe, _ := c.Find("NPS 8 Sch 40")
	kg, err = MassKG(tube("", 219.1, 8.18, 304.8), pipe, 7850)
	require.NoError(t, err)
	assert.InDelta(t, 28.58, kg/0.45359237, 0.01)
}
