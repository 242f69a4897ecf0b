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

// along is a straight part through a point.
func along(p stock.Part, at, way r3.Vec) stock.Part {
	way = r3.Unit(way)
	x := r3.Vec{X: 1}
	if math.Abs(way.X) > 0.9 {
		x = r3.Vec{Y: 1}
	}
	p.Frame = stock.Frame{OriginMM: at, Axis: way, Ref: r3.Unit(r3.Sub(x, r3.Scale(r3.Dot(x, way), way)))}
	return p
}

func base() stock.Part {
	return part("E01", "plate", "thickness_mm", 20.0, "length_mm", 1000.0, "width_mm", 600.0)
}

// TestOpenings: a tube that stands square passes a circle of its diameter and
// twice the gap; at 45° an opening √2 times as long and the thickness longer; a
// plate on edge a rectangle of its section; one through a hole that is there, and
// one beside the plate, none.
func TestOpenings(t *testing.T) {
	pipe := part("E02", "tube", "outside_diameter_mm", 100.0, "inside_diameter_mm", 90.0, "length_mm", 2000.0)
	blade := part("E02", "plate", "thickness_mm", 12.0, "length_mm", 900.0, "width_mm", 200.0)
	upright := along(blade, r3.Vec{X: 100}, r3.Vec{Y: 1}) // its face looks along y
	upright.Frame.Ref = r3.Vec{Z: 1}
	through := []stock.Contact{{A: 0, B: 1, Through: true}}
	area := func(p stock.Part) (float64, float64) {
		f, why := FlatsOf([]stock.Part{base(), p}, through, DefaultFlatOptions())
		require.Empty(t, why)
		if len(f[0].Openings) == 0 {
			return 0, 0
		}
		require.Equal(t, "E02", f[0].Openings[0].For)
		return f[0].Openings[0].Loop.AreaMM2(), f[0].Openings[0].WidthMM
	}
	a, w := area(along(pipe, r3.Vec{X: 50, Z: 300}, r3.Vec{Z: 1}))
	assert.InEpsilon(t, math.Pi*51.5*51.5, a, 1e-9)
	assert.InDelta(t, 103, w, 1e-9)
	slant, w := area(along(pipe, r3.Vec{X: 50}, r3.Vec{X: 1, Z: 1}))
	// the ellipse of the section, drawn out by 20 mm along x, and a border of 1.5 mm
	ellipse, girth := math.Pi*50*50*math.Sqrt2, 2*20+math.Pi*(3*(50+50*math.Sqrt2)-math.Sqrt((150+50*math.Sqrt2)*(50+150*math.Sqrt2)))
	assert.InEpsilon(t, ellipse+20*100+1.5*girth+math.Pi*1.5*1.5, slant, 1e-3)
	assert.InDelta(t, 103, w, 0.1)
	a, w = area(upright)
	assert.InEpsilon(t, (200+3)*(12+3), a, 1e-9)
	assert.InDelta(t, 15, w, 1e-9)
	a, _ = area(along(pipe, r3.Vec{X: 900}, r3.Vec{Z: 1}))
	assert.Zero(t, a)
	a, _ = area(along(pipe, r3.Vec{X: 480}, r3.Vec{Z: 1})) // over the edge
	assert.Zero(t, a)
	holed := base()
	holed.Holes = []stock.Hole{{Shape: "round", DiameterMM: 104, CentreMM: [2]float64{50, 0}}}
	f, _ := FlatsOf([]stock.Part{holed, along(pipe, r3.Vec{X: 50}, r3.Vec{Z: 1})}, through, DefaultFlatOptions())
	assert.Len(t, f[0].Openings, 1)
}

// TestFilledRing: a ring whose bore a tube fills is bored for the tube; one that
// nothing fills has no pattern.
func TestFilledRing(t *testing.T) {
	ring := flatRing()
	ring.Dims = ring.Dims[:1:1]
	ring.Dims = append(ring.Dims, stock.Dim{Key: "thickness_mm", Value: 20})
	pipe := along(part("E02", "tube", "outside_diameter_mm", 300.0, "length_mm", 2000.0), r3.Vec{}, r3.Vec{Z: 1})
	f, why := FlatsOf([]stock.Part{ring, pipe}, []stock.Contact{{A: 0, B: 1, Through: true}}, DefaultFlatOptions())
	require.Empty(t, why)
	assert.InEpsilon(t, math.Pi*(250*250-151.5*151.5), f[0].NetMM2, 1e-9)
	f, why = FlatsOf([]stock.Part{ring, pipe}, nil, DefaultFlatOptions())
	assert.Empty(t, f)
	require.Len(t, why, 1)
	assert.ErrorContains(t, why[0], "inside_diameter_mm")
}

// TestFootprints: a bar that stands on a plate is marked by its circle and its
// name, a seam of another piece as it runs.
func TestFootprints(t *testing.T) {
	post := along(part("E02", "bar", "outside_diameter_mm", 60.0, "length_mm", 500.0), r3.Vec{X: 120, Y: -80, Z: 260}, r3.Vec{Z: 1})
	c := stock.Contact{A: 0, B: 1}
	for k := range 13 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 12)
		c.Seam = append(c.Seam, stock.SeamAt{Run: 1, PointMM: r3.Vec{X: 120 + 30*cos, Y: -80 + 30*sin, Z: 10}})
	}
	f, why := FlatsOf([]stock.Part{base(), post}, []stock.Contact{c}, DefaultFlatOptions())
	require.Empty(t, why)
	require.Len(t, f, 1)
	circle, named := draw.Arc{}, false
	for _, l := range f[0].Lines {
		switch s := l.Shape.(type) {
		case draw.Arc:
			circle = s
			assert.Equal(t, draw.Mark, l.Layer)
		case draw.Label:
			named = named || s.Text == "E02"
		}
	}
	assert.Equal(t, 30.0, circle.RadiusMM)
	assert.InDelta(t, 120, circle.Centre.X, 1e-9)
	assert.True(t, named)
	assert.Empty(t, f[0].Openings)
	made := base()
	made.Made = true
	f, _ = FlatsOf([]stock.Part{made}, nil, DefaultFlatOptions())
	assert.Empty(t, f)
}

// TestDrawSheets: every pattern lies whole on its sheet, in its own size, turned or
// not; what is no pattern is a rectangle; the cuts are as long as all of them.
func TestDrawSheets(t *testing.T) {
	flats := map[string][]Flat{}
	var pieces []FlatPiece
	want := 0.0
	for i, size := range [][2]float64{{900, 200}, {200, 900}, {500, 500}, {1100, 300}, {300, 1500}} {
		mark := []string{"A1", "A2", "A3", "A4", "A5"}[i]
		f := flat(t, bored(part("E0"+mark[1:], "plate", "thickness_mm", 12.0, "length_mm", size[0], "width_mm", size[1]), 50))
		g := f // a second piece, with another bore
		g.Openings = []Opening{{Loop: round(0, 0, 30), WidthMM: 60}}
		flats[mark] = []Flat{f, g}
		want += f.CutMM + g.Outer.LengthMM() + 2*math.Pi*30
		pieces = append(pieces, FlatPiece{Mark: mark, LengthMM: math.Max(size[0], size[1]), WidthMM: math.Min(size[0], size[1]), Quantity: 2})
	}
	pieces = append(pieces, FlatPiece{Mark: "B1", LengthMM: 700, WidthMM: 90, Quantity: 1}, FlatPiece{Mark: "B2", LengthMM: 700, WidthMM: 300, Quantity: 2})
	flats["B2"] = []Flat{flat(t, part("E06", "plate", "thickness_mm", 12.0, "length_mm", 700.0, "width_mm", 600.0))}
	want += 2 * 790
	plan, err := NestSheets(pieces, [][2]float64{{2438.4, 1219.2}}, DefaultSheetOptions())
	require.NoError(t, err)
	got, texts := 0.0, map[string]int{}
	for _, s := range DrawSheets(Nesting{Stock: stock.Size{Mark: "PL 12"}, Process: "plasma", KerfMM: 3, Sheets: &plan}, flats) {
		require.NoError(t, s.Drawing.Check())
		for _, it := range s.Drawing.Items {
			if l, ok := it.Shape.(draw.Label); ok {
				texts[l.Text]++
			}
			if it.Layer != draw.Cut {
				continue
			}
			lo, hi := draw.Box(it.Shape)
			assert.True(t, lo[0] >= 10-1e-9 && lo[1] >= 10-1e-9 && hi[0] <= 2428.4+1e-9 && hi[1] <= 1209.2+1e-9, "%v %v", lo, hi)
			switch x := it.Shape.(type) {
			case draw.Contour:
				got += x.LengthMM()
			case draw.Arc:
				got += x.RadiusMM * x.SweepRad
			}
		}
	}
	assert.InEpsilon(t, want, got, 1e-12)
	assert.Equal(t, map[string]int{"A1 E01": 2, "A2 E02": 2, "A3 E03": 2, "A4 E04": 2, "A5 E05": 2, "B1": 1, "place for a part of B2, seam to seam": 2}, texts)
	assert.Empty(t, DrawSheets(Nesting{}, flats))
}
