package shop

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/pipeline/sheet"
	"pointup/pipeline/stock"
)

// TestBendTable: 90° at 6 in of centreline radius with two straights of 12 in is
// 33.423 in (tube bending handbook, which takes 0.01745 for a degree: 0.002 in less).
func TestBendTable(t *testing.T) {
	const in = 25.4
	p := part("E01", "arc", "section_diameter_mm", 1.5*in)
	straight := stock.Segment{Kind: "straight", Dims: []stock.Dim{{Key: "length_mm", Value: 12 * in}}}
	p.Segments = []stock.Segment{straight, {Kind: "arc", Dims: []stock.Dim{{Key: "centreline_diameter_mm", Value: 12 * in}, {Key: "sweep_deg", Value: 90}}}, straight}
	f, err := FormingOf(p, templateMM)
	require.NoError(t, err)
	assert.InDelta(t, 33.423, f.DevelopedMM/in, 0.002)
	require.Len(t, f.Steps, 3)
	assert.InDelta(t, 12, f.Steps[1].StartMM/in, 1e-9)
	assert.True(t, f.Checks[1].Passed)  // 4 diameters: on a mandrel
	assert.False(t, f.Checks[0].Passed) // not on three rolls
	table := BendTable([]Forming{f})
	require.Len(t, table.Rows, 3)
	assert.NotEmpty(t, table.Rows[0][16].Text)
	assert.Empty(t, table.Rows[1][16].Text)
	assert.InDelta(t, 6*25.4, *table.Rows[1][8].Number, 1e-9)
	_, err = sheet.CSV(table)
	require.NoError(t, err)
	p.Segments[1].Dims = p.Segments[1].Dims[:1]
	_, err = FormingOf(p, 0)
	assert.ErrorContains(t, err, "sweep_deg of segment 2")
}

// TestBendDeductions: press-brake handbook table, 90°, in inches.
func TestBendDeductions(t *testing.T) {
	for _, r := range [][4]float64{{.060, .060, .4218, .106}, {.120, .030, .3866, .180}, {.048, .202, .4204, .151}, {.060, 1.0, .4160, .510}} {
		assert.InDelta(t, r[3], Deduction(90, r[1], r[0], r[2]), 0.001)
	}
}

// TestRise: chord 120, rise 10 is radius 185 (from c²/8h + h/2); a template's
// corners and top lie on the inside of the bend.
func TestRise(t *testing.T) {
	assert.InDelta(t, 10, Rise(185, 120), 1e-12)
	p := part("E01", "arc", "section_diameter_mm", 60.0, "centreline_diameter_mm", 1200.0, "sweep_deg", 90.0)
	f, err := FormingOf(p, templateMM)
	require.NoError(t, err)
	d, ok := f.Template(0)
	require.True(t, ok)
	require.NoError(t, d.Check())
	b := f.Steps[0]
	assert.Equal(t, 600.0, b.ChordMM)
	r := b.ChordMM*b.ChordMM/8/b.RiseMM + b.RiseMM/2
	assert.InDelta(t, 570, r, 1e-9)
	_, ok = f.Template(1)
	assert.False(t, ok)
}

// TestCoil: a turn is √((πD)² + p²), its radius of curvature R(1 + (p/2πR)²).
func TestCoil(t *testing.T) {
	p := part("E01", "coil", "section_diameter_mm", 20.0, "centreline_diameter_mm", 300.0, "pitch_mm", 80.0, "turns", 5.0)
	p.Hand = "left"
	f, err := FormingOf(p, 0)
	require.NoError(t, err)
	assert.InEpsilon(t, 5*math.Hypot(math.Pi*300, 80), f.DevelopedMM, 1e-12)
	k := 150 / (150*150 + math.Pow(80/(2*math.Pi), 2)) // curvature of a helix r/(r² + b²)
	assert.InEpsilon(t, 1/k, f.Helix.CurveMM, 1e-12)
	assert.Equal(t, 280.0, f.Helix.MandrelMM)
	ring := part("E01", "ring", "section_diameter_mm", 20.0, "centreline_diameter_mm", 300.0)
	g, err := FormingOf(ring, 0)
	require.NoError(t, err)
	assert.InEpsilon(t, math.Pi*300, g.DevelopedMM, 1e-12)
	_, err = FormingOf(part("E01", "plate", "section_diameter_mm", 1.0), 0)
	assert.Error(t, err)
}

// TestPlateBends: ASTM A6 table X4.2, group A: 1.5 t across, 2.25 t along.
func TestPlateBends(t *testing.T) {
	assert.True(t, PlateBend(30, 20, false).Passed)
	assert.False(t, PlateBend(29.9, 20, false).Passed)
	assert.False(t, PlateBend(44, 20, true).Passed)
	assert.True(t, PlateBend(45, 20, true).Passed)
}

// TestPitchDiameters: ASME B29.1 and ISO 606 wheels of 25.4 mm pitch as published
// in tables, and No. 120 of 25 teeth (303.99 mm).
func TestPitchDiameters(t *testing.T) {
	for teeth, mm := range map[int]float64{8: 66.37, 9: 74.26, 11: 90.16, 17: 138.23, 25: 202.66, 40: 323.74, 60: 485.33} {
		assert.InDelta(t, mm, PitchDiameter(25.4, teeth), 0.01)
	}
	assert.InDelta(t, 303.99, PitchDiameter(38.1, 25), 0.01)
}

// TestSettingOut: chords by the law of cosines from the places, the jig within its
// length, layers within the cutter's limit.
func TestSettingOut(t *testing.T) {
	p := part("E01", "toothed_wheel", "tooth_count", 24.0, "tip_diameter_mm", 1440.0, "root_diameter_mm", 1260.0, "thickness_mm", 200.0)
	w, err := WheelOf(p, DefaultWheelOptions())
	require.NoError(t, err)
	require.Len(t, w.Places, 24)
	for _, x := range w.Places {
		assert.InDelta(t, math.Hypot(x.XMM-630, x.YMM), x.RootChordMM, 1e-9)
		assert.InDelta(t, 630*x.AngleDeg*math.Pi/180, x.RootArcMM, 1e-9)
	}
	assert.InDelta(t, 1440, w.Places[12].TipChordMM, 1e-9) // opposite
	assert.LessOrEqual(t, w.Jig.LengthMM, 600.0)
	assert.Greater(t, 1440*math.Sin(math.Pi*float64(w.Jig.Teeth)/24), 600.0) // one more would not fit
	assert.Equal(t, 2, w.Layers)                                             // plasma takes 150 mm
	assert.InDelta(t, 100, w.LayerMM, 1e-9)
	require.NoError(t, w.JigDrawing().Check())
	bad := DefaultWheelOptions()
	bad.Process = "saw"
	_, err = WheelOf(p, bad)
	assert.ErrorContains(t, err, "saw")
}
