package shop

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/draw"
	"pointup/pipeline/stock"
)

// TestHostileParts: whatever sizes a part has, its pattern, bends, teeth, saddles
// and mitres are finite drawings or errors that name it.
func TestHostileParts(t *testing.T) {
	keys := []string{"outside_diameter_mm", "inside_diameter_mm", "thickness_mm", "length_mm", "width_mm", "tip_diameter_mm", "root_diameter_mm", "tooth_count", "sweep_deg", "wall_mm", "large_diameter_mm",
		"small_diameter_mm", "height_mm", "bore_diameter_mm", "seat_diameter_mm", "seat_pitch_mm", "section_diameter_mm", "section_bore_mm", "centreline_diameter_mm", "pitch_mm", "turns"}
	kinds := []string{"plate", "disc", "ring", "toothed_wheel", "rolled_plate", "cone", "arc", "coil", "tube", "bar", "sphere", "freeform", ""}
	values := []float64{0, -1, math.NaN(), math.Inf(1), 1e-9, 1e300, 1, 12, 90, 200, 359.9, 1000}
	r := rand.New(rand.NewPCG(7, 7))
	random := func() stock.Part {
		p := part("E77", kinds[r.IntN(len(kinds))])
		for _, k := range keys {
			v := 10 + 1000*r.Float64()
			if r.IntN(8) == 0 {
				v = values[r.IntN(len(values))]
			}
			if r.IntN(12) > 0 {
				p.Dims = append(p.Dims, stock.Dim{Key: k, Value: v})
			}
		}
		if r.IntN(2) == 0 {
			p.Section = "flat"
		}
		for range r.IntN(3) {
			p.Holes = append(p.Holes, stock.Hole{Shape: []string{"round", "slot", "diamond", "rectangle", "other"}[r.IntN(5)], DiameterMM: values[r.IntN(len(values))],
				AcrossMM: [2]float64{values[r.IntN(len(values))], values[r.IntN(len(values))]}, Outline: []stock.Step{line(0, 0), line(values[r.IntN(len(values))], 5)}})
		}
		p.Frame.Axis = r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
		p.Frame.Ref = r3.Unit(r3.Cross(p.Frame.Axis, r3.Vec{X: 0.1, Y: 1}))
		p.Ends = []stock.End{{Kind: "mitre", Out: r3.Vec{X: r.NormFloat64(), Z: r.NormFloat64()}}}
		return p
	}
	good, bad := 0, 0
	check := func(d draw.Drawing, err error) {
		if err != nil {
			bad++
			assert.ErrorContains(t, err, "E77")
			return
		}
		good++
		require.NoError(t, d.Check())
	}
	for range 3000 {
		p := random()
		f, err := FlatOf(p, DefaultFlatOptions())
		if err == nil {
			assert.False(t, math.IsNaN(f.NetKG+f.GrossKG+f.CutMM) || math.IsInf(f.NetKG+f.GrossKG+f.CutMM, 0))
		}
		check(f.Drawing("steel"), err)
		g, err := FormingOf(p, 600)
		if err == nil {
			assert.False(t, math.IsNaN(g.DevelopedMM))
		}
		d, ok := g.Template(0)
		if ok || err != nil {
			check(d, err)
		}
		w, err := WheelOf(p, DefaultWheelOptions())
		if err != nil {
			check(draw.Drawing{}, err)
		} else {
			check(w.JigDrawing(), nil)
		}
		q := random()
		c := []stock.Contact{{A: 0, B: 1, Through: r.IntN(2) == 0}}
		list, why := SaddlesOf([]stock.Part{p, q}, c, DefaultSaddleOptions())
		for _, s := range list {
			check(s.Wrap(), nil)
		}
		for _, err := range why {
			check(draw.Drawing{}, err)
		}
		flats, why := FlatsOf([]stock.Part{p, q}, c, DefaultFlatOptions())
		for _, f := range flats {
			check(f.Drawing("steel"), nil)
		}
		for _, err := range why {
			check(draw.Drawing{}, err)
		}
		mitres, err := MitresOf(p, 16)
		require.NoError(t, err)
		for _, m := range mitres {
			check(m.Wrap(), nil)
		}
	}
	assert.Greater(t, good, 1000)
	assert.Greater(t, bad, 1000)
}
