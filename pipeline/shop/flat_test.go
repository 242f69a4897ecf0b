package shop

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/draw"
	"pointup/pipeline/stock"
)

// part is a part by hand, in SITE as it stands.
func part(id, kind string, kv ...any) stock.Part {
	p := stock.Part{ID: id, Kind: kind, Frame: stock.Frame{Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}}}
	for i := 0; i < len(kv); i += 2 {
		p.Dims = append(p.Dims, stock.Dim{Key: kv[i].(string), Value: kv[i+1].(float64)})
	}
	return p
}

func line(u, v float64) stock.Step { return stock.Step{To: [2]float64{u, v}} }

func arcTo(u, v, viaU, viaV float64) stock.Step {
	return stock.Step{To: [2]float64{u, v}, Via: [2]float64{viaU, viaV}, Arc: true}
}

func flat(t *testing.T, p stock.Part) Flat {
	opt := DefaultFlatOptions()
	opt.PreBendTimes = 0
	f, err := FlatOf(p, opt)
	require.NoError(t, err)
	return f
}

// TestFlatClosedForms: areas and lengths of cut by the formulas of circles,
// rectangles and sectors, within 1e-9.
func TestFlatClosedForms(t *testing.T) {
	pi := math.Pi
	slot := part("E01", "plate", "thickness_mm", 12.0, "length_mm", 400.0, "width_mm", 200.0)
	slot.Outline = []stock.Step{line(-200, 0), line(-200, -100), line(100, -100), arcTo(100, 100, 200, 0), line(-200, 100)}
	slot.Holes = []stock.Hole{{Shape: "round", DiameterMM: 60}, {Shape: "slot", CentreMM: [2]float64{-100, 50}, AcrossMM: [2]float64{80, 20}, AngleDeg: 30},
		{Shape: "diamond", CentreMM: [2]float64{-100, -50}, AcrossMM: [2]float64{60, 30}}, {Shape: "rectangle", CentreMM: [2]float64{80, 60}, AcrossMM: [2]float64{40, 20}, AngleDeg: 45}}
	for name, c := range map[string]struct {
		part      stock.Part
		area, cut float64
		pierces   int
	}{
		"disc":  {part("E01", "disc", "outside_diameter_mm", 500.0, "thickness_mm", 20.0), pi * 62500, pi * 500, 1},
		"ring":  {flatRing(), pi / 4 * (500*500 - 300*300), pi * 800, 2},
		"plate": {part("E01", "plate", "thickness_mm", 10.0, "length_mm", 914.4, "width_mm", 300.0), 914.4 * 300, 2 * 1214.4, 1}, // 3 in at 12:1 is 3 ft (common practice, no source)
		"shaped plate": {slot, 300*200 + pi/2*10000 - pi*900 - (60*20 + pi*100) - 900 - 800,
			800 + pi*100 + pi*60 + (120 + 20*pi) + 4*math.Hypot(30, 15) + 120, 5},
		"sector": {part("E01", "arc", "outside_diameter_mm", 1000.0, "inside_diameter_mm", 800.0, "thickness_mm", 12.0, "sweep_deg", 70.0),
			pi / 4 * (1e6 - 64e4) * 70 / 360, 2*100 + pi*1800*70/360, 1},
		"rolled": {part("E01", "rolled_plate", "inside_diameter_mm", 880.0, "thickness_mm", 20.0, "width_mm", 440.0, "sweep_deg", 150.0),
			450 * pi * 150 / 180 * 440, 2 * (450*pi*150/180 + 440), 1},
	} {
		t.Run(name, func(t *testing.T) {
			f := flat(t, c.part)
			assert.InEpsilon(t, c.area, f.NetMM2, 1e-9)
			assert.InEpsilon(t, c.cut, f.CutMM, 1e-9)
			assert.Equal(t, c.pierces, f.Pierces)
			assert.InEpsilon(t, c.area*f.ThicknessMM*7850e-9, f.NetKG, 1e-9)
			assert.GreaterOrEqual(t, f.GrossKG, f.NetKG)
			require.NoError(t, f.Drawing("steel").Check())
		})
	}
	f := flat(t, slot)
	assert.InDelta(t, 2*30*15/math.Hypot(30, 15), f.HoleMM, 20) // the slot's 20 mm is the least
	assert.InDelta(t, 20, f.HoleMM, 1e-9)
	assert.InDeltaSlice(t, []float64{400, 200}, f.BoxMM[:], 1e-9)
}

func flatRing() stock.Part {
	p := part("E01", "ring", "outside_diameter_mm", 500.0, "inside_diameter_mm", 300.0, "thickness_mm", 20.0)
	p.Section = "flat"
	return p
}

// TestWebs: the least metal between cuts, by hand.
func TestWebs(t *testing.T) {
	p := part("E01", "disc", "outside_diameter_mm", 500.0, "thickness_mm", 10.0)
	p.Holes = []stock.Hole{{Shape: "round", DiameterMM: 100, CentreMM: [2]float64{100, 0}}, {Shape: "round", DiameterMM: 60, CentreMM: [2]float64{-100, 0}}}
	assert.InDelta(t, 100, flat(t, p).WebMM, 1e-9) // 250 − 150; between holes 120; other side 120
	p.Holes = append(p.Holes, stock.Hole{Shape: "rectangle", CentreMM: [2]float64{0, 0}, AcrossMM: [2]float64{60, 40}})
	assert.InDelta(t, 20, flat(t, p).WebMM, 1e-9)
	plate := part("E01", "plate", "thickness_mm", 10.0, "length_mm", 400.0, "width_mm", 200.0)
	plate.Holes = []stock.Hole{{Shape: "rectangle", AcrossMM: [2]float64{40, 40}, AngleDeg: 45, CentreMM: [2]float64{150, 0}}}
	f := flat(t, plate)
	assert.InDelta(t, 50-20*math.Sqrt2, f.WebMM, 1e-9)
	assert.True(t, math.IsInf(flat(t, part("E01", "disc", "outside_diameter_mm", 500.0, "thickness_mm", 10.0)).WebMM, 1))
}

// TestProcesses: a hole of 1.4 thicknesses is refused by plasma's rule of 1.5 (a
// cutting guide), taken by the laser; 40 mm plate by flame and plasma only.
func TestProcesses(t *testing.T) {
	p := part("E01", "plate", "thickness_mm", 10.0, "length_mm", 400.0, "width_mm", 200.0)
	p.Holes = []stock.Hole{{Shape: "round", DiameterMM: 14}}
	fits := func(p stock.Part) map[string]bool {
		out := map[string]bool{}
		for _, v := range flat(t, p).Cutting {
			out[v.Process] = v.Fit
			assert.Equal(t, v.Fit, len(v.Warnings) == 0)
		}
		return out
	}
	assert.Equal(t, map[string]bool{"laser": true, "plasma": false, "flame": false, "punch": true}, fits(p))
	p.Holes = nil
	p.Dims[0].Value = 40
	assert.Equal(t, map[string]bool{"laser": false, "plasma": true, "flame": true, "punch": false}, fits(p))
}

// TestPerforated: 60° stagger of 3/16 in holes on 1/4 in centres leaves 49 % of the
// plate (perforated metal trade table: 51 % open; 90.69 D²/C² %).
func TestPerforated(t *testing.T) {
	const d, c, n, m = 3 * 25.4 / 16, 25.4 / 4, 20, 12
	row := c * math.Sqrt(3) / 2
	p := part("E01", "plate", "thickness_mm", 3.0, "length_mm", n*c, "width_mm", m*row)
	for k := range m {
		for i := range n {
			p.Holes = append(p.Holes, stock.Hole{Shape: "round", DiameterMM: d, CentreMM: [2]float64{(float64(i)+0.5-n/2.0)*c - c/4 + c/2*float64(k%2), (float64(k) + 0.5 - m/2.0) * row}})
		}
	}
	f := flat(t, p)
	assert.InDelta(t, 0.51, 1-f.NetMM2/(n*c*m*row), 0.005)
	assert.InEpsilon(t, math.Pi/2/math.Sqrt(3)*d*d/c/c, 1-f.NetMM2/(n*c*m*row), 1e-9)
	assert.Equal(t, n*m+1, f.Pierces)
	assert.Less(t, f.WebMM, c-d) // at the edge
}

// TestWheelTeeth: teeth are copies: turned by one pitch the contour is itself.
func TestWheelTeeth(t *testing.T) {
	f := flat(t, part("E01", "toothed_wheel", "tooth_count", 28.0, "tip_diameter_mm", 722.0, "root_diameter_mm", 632.0, "bore_diameter_mm", 200.0, "thickness_mm", 60.0))
	v := f.Outer.Contour.Vertices
	require.Zero(t, len(v)%28)
	a := f.Outer.moved(2*math.Pi/28, [2]float64{}).Contour.Vertices
	each := len(v) / 28
	for i := range v {
		b := v[(i+each)%len(v)]
		assert.InDelta(t, b.At[0], a[i].At[0], 1e-9)
		assert.InDelta(t, b.At[1], a[i].At[1], 1e-9)
		assert.InDelta(t, b.SweepRad, a[i].SweepRad, 1e-12)
	}
	assert.InDelta(t, 722, f.BoxMM[0], 0.1)
	assert.InDelta(t, (632-200)/2, f.WebMM, 0.1)
}

// TestRolledBack: a hole that is developed and rolled back lies where it was
// within 0.01 mm, and the blank's ends where the sweep ends; allowance and trim
// line apart.
func TestRolledBack(t *testing.T) {
	p := part("E01", "rolled_plate", "inside_diameter_mm", 880.0, "thickness_mm", 20.0, "width_mm", 440.0, "sweep_deg", 150.0)
	p.Holes = []stock.Hole{{Shape: "round", DiameterMM: 80, CentreMM: [2]float64{600, 100}}}
	f, err := FlatOf(p, DefaultFlatOptions())
	require.NoError(t, err)
	x, y, z := RollBack(f.Openings[0].Loop.CentreMM[0], f.Openings[0].Loop.CentreMM[1], 450)
	phi := 600.0 / 450
	assert.InDeltaSlice(t, []float64{450 * math.Cos(phi), 450 * math.Sin(phi), 100}, []float64{x, y, z}, 0.01)
	assert.InDelta(t, 450*150*math.Pi/180+80, f.BoxMM[0], 1e-9) // 40 mm for the rolls at each end
	bends := 0
	for _, l := range f.Lines {
		if l.Layer != draw.Bend {
			continue
		}
		bends++
		x, y, _ := RollBack(l.Shape.(draw.Line).A.X, 0, 450)
		phi := math.Atan2(y, x) * 180 / math.Pi
		assert.InDelta(t, 0, min(math.Abs(phi), math.Abs(phi-150)), 1e-9)
	}
	assert.Equal(t, 2, bends)
}

// TestConeRollsUp: the developed cone's arcs are the girths of the middle of its
// wall, its straight edges the slant, so that it rolls to the cone.
func TestConeRollsUp(t *testing.T) {
	f := flat(t, part("E01", "cone", "large_diameter_mm", 1000.0, "small_diameter_mm", 400.0, "height_mm", 400.0, "wall_mm", 10.0))
	// 3-4-5: slope 300/400, √(1 + slope²) = 1.25; half the wall across is 6.25 mm.
	v := f.Outer.Contour.Vertices
	outer := math.Hypot(v[0].At[0], v[0].At[1])
	assert.InEpsilon(t, 2*math.Pi*(500-6.25), outer*v[0].SweepRad, 1e-12)
	inner := math.Hypot(v[2].At[0], v[2].At[1])
	assert.InEpsilon(t, 2*math.Pi*(200-6.25), -inner*v[2].SweepRad, 1e-12)
	assert.InDelta(t, 500, outer-inner, 1e-9)
	assert.InEpsilon(t, math.Pi*(500-6.25+200-6.25)*500, f.NetMM2, 1e-9)
	point := flat(t, part("E01", "cone", "large_diameter_mm", 600.0, "small_diameter_mm", 0.0, "height_mm", 400.0, "wall_mm", 8.0))
	assert.Len(t, point.Outer.Contour.Vertices, 3)
	_, err := FlatOf(part("E01", "cone", "large_diameter_mm", 600.0, "small_diameter_mm", 600.0, "height_mm", 400.0, "wall_mm", 8.0), DefaultFlatOptions())
	assert.ErrorContains(t, err, "cannot be developed")
}

// TestRolledTube: girth on the middle of the wall less the gap.
func TestRolledTube(t *testing.T) {
	f, err := RolledTube("A1", 720, 12, 3000, 3, DefaultFlatOptions())
	require.NoError(t, err)
	assert.InDelta(t, math.Pi*708-3, f.BoxMM[0], 1e-9)
	assert.InDelta(t, 3000, f.BoxMM[1], 1e-9)
	_, err = RolledTube("A1", 20, 12, 3000, 3, DefaultFlatOptions())
	assert.Error(t, err)
}

// TestFlatRefusals say which piece and what is wrong.
func TestFlatRefusals(t *testing.T) {
	for want, p := range map[string]stock.Part{
		"thickness_mm is not known":        part("E07", "disc", "outside_diameter_mm", 500.0),
		"outside_diameter_mm is not known": part("E07", "disc", "thickness_mm", 20.0, "outside_diameter_mm", math.NaN()),
		"not cut from plate":               part("E07", "tube", "thickness_mm", 20.0),
		"encloses nothing":                 part("E07", "toothed_wheel", "tooth_count", 2.0, "tip_diameter_mm", 50.0, "root_diameter_mm", 40.0, "thickness_mm", 5.0),
		"leave no metal":                   bored(part("E07", "disc", "outside_diameter_mm", 50.0, "thickness_mm", 5.0), 60),
	} {
		_, err := FlatOf(p, DefaultFlatOptions())
		require.ErrorContains(t, err, want)
		require.ErrorContains(t, err, "E07")
	}
	bad := DefaultFlatOptions()
	bad.PassGapMM = math.NaN()
	_, err := FlatOf(flatRing(), bad)
	assert.ErrorContains(t, err, "gap")
}

func bored(p stock.Part, mm float64) stock.Part {
	p.Holes = []stock.Hole{{Shape: "round", DiameterMM: mm}}
	return p
}
