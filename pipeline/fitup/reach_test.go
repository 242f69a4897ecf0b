package fitup

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// A bar whose end is covered by weld was measured as far as it shows, 15 mm over the
// plate on which it stands: it goes on to the plate, and nothing moves for it, also where
// stock is thicker and the plate is met at a slant of 30°.
func TestHiddenEndGoesOn(t *testing.T) {
	plate := platePart("E01", 600, 400, 20, r3.Vec{Z: 10})
	for name, c := range map[string]struct {
		way   r3.Vec
		by    float64
		seam  []stock.SeamAt
		joint string
		end   string
	}{
		"square":         {r3.Vec{Z: 1}, 15, ringSeam(r3.Vec{Z: 20}, r3.Vec{Z: 1}, 20, up), "touch", "hidden"},
		"at 30°":         {r3.Vec{X: 0.5, Z: 0.8660254037844386}, 15 / 0.8660254037844386, ringSeam(r3.Vec{X: -8.66, Z: 20}, r3.Vec{Z: 1}, 20, up), "crossing", "saddle"},
		"without a seam": {r3.Vec{Z: 1}, 15, nil, "crossing", "hidden"},
	} {
		seen := r3.Vec{Z: 35} // where the scan last shows it
		bar := tubePart("E02", 40, 20, seen, r3.Add(seen, r3.Scale(500, c.way)))
		bar.Kind = "bar"
		bar.Dims, bar.Hidden = slices.DeleteFunc(bar.Dims, func(d stock.Dim) bool { return d.Key != "outside_diameter_mm" }), []string{"length_mm"}
		for i := range bar.Ends {
			if r3.Dot(bar.Ends[i].Out, c.way) < 0 {
				bar.Ends[i].Kind = "open"
			}
		}
		contact := stock.Contact{A: 0, B: 1, Kind: "bar on plate", GapMM: 14, Seam: c.seam}
		got := solved(t, []stock.Part{plate, bar}, []stock.Part{plate, sizedTo(bar, "outside_diameter_mm", 42.0)}, []stock.Contact{contact})
		closedAll(t, got)
		assert.Equal(t, c.joint, got.Joints[0].Way, name)
		length, ok := got.Parts[1].Size("length_mm")
		assert.True(t, ok, name)
		assert.InDelta(t, 500+c.by, length, 0.01, name)
		assert.Empty(t, got.Parts[1].Hidden, name)
		for i, m := range got.Moves {
			near(t, r3.Vec{}, m.TurnDeg, 0.01, name)
			if i == 0 {
				near(t, r3.Vec{}, m.ShiftMM, 0.01, name)
			}
		}
		low := slices.IndexFunc(got.Parts[1].Ends, func(e stock.End) bool { return r3.Dot(e.Out, c.way) < 0 })
		assert.InDelta(t, 20, got.Parts[1].Ends[low].AtMM.Z, 0.01, name)
		assert.Equal(t, c.end, got.Parts[1].Ends[low].Kind, name)
		require.Len(t, got.Trims, 1, name)
		assert.InDelta(t, c.by, got.Trims[0].ByMM, 0.01, name)
	}
}

// So does the last leg of a bent bar, whose length is known then.
func TestHiddenLegGoesOn(t *testing.T) {
	plate := platePart("E01", 900, 400, 20, r3.Vec{Z: 10})
	seen := r3.Vec{X: 150, Z: 35}
	bent := boxed(stock.Part{ID: "E02", Kind: "arc", AreaMM2: 8e4, Hidden: []string{"developed_length_mm"},
		Dims:     dims("centreline_diameter_mm", 300.0, "section_diameter_mm", 40.0, "sweep_deg", 90.0),
		Frame:    stock.Frame{OriginMM: r3.Vec{Z: 235}, Axis: r3.Vec{Y: 1}, Ref: r3.Vec{Z: 1}},
		Segments: []stock.Segment{{Kind: "straight", Dims: dims("length_mm", 200.0)}, {Kind: "arc", Dims: dims("centreline_diameter_mm", 300.0, "sweep_deg", 90.0)}, {Kind: "straight"}},
		Ends:     []stock.End{{Kind: "square", AtMM: r3.Vec{X: -200, Z: 385}, Out: r3.Vec{X: -1}}, {Kind: "open", AtMM: seen, Out: r3.Vec{Z: -1}}}})
	contact := stock.Contact{A: 0, B: 1, Kind: "arc on plate", GapMM: 14, Seam: ringSeam(r3.Vec{X: 150, Z: 20}, r3.Vec{Z: 1}, 20, up)}
	got := solved(t, []stock.Part{plate, bent}, []stock.Part{plate, bent}, []stock.Contact{contact})
	closedAll(t, got)
	p := got.Parts[1]
	length, _ := stock.Part{Dims: p.Segments[2].Dims}.Size("length_mm")
	assert.InDelta(t, 215, length, 0.01)
	whole, _ := p.Size("developed_length_mm")
	assert.InDelta(t, 200+150*math.Pi/2+215, whole, 0.01)
	assert.Equal(t, "hidden", p.Ends[1].Kind)
	near(t, r3.Vec{X: 150, Z: 20}, p.Ends[1].AtMM, 0.01, "end")
	assert.Empty(t, bent.Segments[2].Dims, "what was given stays")
}

// An end that the scan shows stays where it is, however wide the gap.
func TestSeenEndStays(t *testing.T) {
	plate, bar := platePart("E01", 600, 400, 20, r3.Vec{Z: 10}), tubePart("E02", 40, 5, r3.Vec{Z: 35}, r3.Vec{Z: 535})
	contact := stock.Contact{A: 0, B: 1, Kind: "tube on plate", GapMM: 15, Seam: ringSeam(r3.Vec{Z: 27}, r3.Vec{Z: 1}, 20, up)}
	got := solved(t, []stock.Part{plate, bar}, []stock.Part{plate, bar}, []stock.Contact{contact})
	length, _ := got.Parts[1].Size("length_mm")
	assert.InDelta(t, 500, length, 0.01)
	near(t, r3.Vec{}, got.Moves[1].ShiftMM, 0.01, "tube")
}

// The outline of stock begins at a corner of its own: an angle on whose leg a plate lies
// stays where it is.
func TestOutlineThatBeginsElsewhere(t *testing.T) {
	angle := stock.Part{ID: "E01", Kind: "profile", Frame: stock.Frame{Axis: r3.Vec{X: 1}, Ref: r3.Vec{Y: 1}}, AreaMM2: 4e5,
		Dims: dims("length_mm", 1000.0), BoxMM: [2]r3.Vec{{X: -500}, {X: 500, Y: 100, Z: 100}}}
	for _, q := range [][2]float64{{0, 0}, {100, 0}, {100, 10}, {10, 10}, {10, 100}, {0, 100}} {
		angle.Outline = append(angle.Outline, stock.Step{To: q})
	}
	angle.Ends = []stock.End{{Kind: "square", AtMM: r3.Vec{X: -500}, Out: r3.Vec{X: -1}}, {Kind: "square", AtMM: r3.Vec{X: 500}, Out: r3.Vec{X: 1}}}
	plate := platePart("E02", 300, 80, 20, r3.Vec{Y: 60, Z: 20})
	var seam []stock.SeamAt
	for _, q := range [][2]float64{{-150, 20}, {150, 20}, {150, 100}, {-150, 100}} {
		seam = append(seam, stock.SeamAt{Run: 1, PointMM: r3.Vec{X: q[0], Y: q[1], Z: 10}, A: r3.Vec{Z: 1}, B: r3.Vec{Z: -1}})
	}
	for turn := range angle.Outline {
		sized := angle
		sized.Outline = slices.Concat(angle.Outline[turn:], angle.Outline[:turn])
		got := solved(t, []stock.Part{angle, plate}, []stock.Part{sized, plate}, []stock.Contact{{A: 0, B: 1, Kind: "plate on profile", Seam: seam}})
		closedAll(t, got)
		assert.Equal(t, "touch", got.Joints[0].Way)
		for _, m := range got.Moves {
			near(t, r3.Vec{}, m.ShiftMM, 0.01, "begins later")
		}
	}
}

// A plate that stands on the thick rim of a tube stays there where the tube of stock has
// a thin wall: its rim is made as thick as it was, or closed.
func TestThinWallMovesNothing(t *testing.T) {
	tube := tubePart("E01", 250, 75, r3.Vec{}, r3.Vec{Z: 800})
	plate := platePart("E02", 20, 20, 300, r3.Vec{X: 80, Z: 945}) // 5 mm into the rim, far inside the outside
	var seam []stock.SeamAt
	for _, q := range [][2]float64{{70, -10}, {90, -10}, {90, 10}, {70, 10}} {
		seam = append(seam, stock.SeamAt{Run: 1, PointMM: r3.Vec{X: q[0], Y: q[1], Z: 800}, A: r3.Vec{Z: 1}, B: r3.Vec{X: q[0] - 80, Y: q[1]}})
	}
	got := solved(t, []stock.Part{tube, plate}, []stock.Part{sizedTo(tube, "inside_diameter_mm", 237.0, "wall_mm", 6.5), plate}, []stock.Contact{{A: 0, B: 1, Kind: "plate on tube", GapMM: -5, Seam: seam}})
	closedAll(t, got)
	for _, m := range got.Moves {
		near(t, r3.Vec{}, m.ShiftMM, 0.01, "plate and tube")
	}
	wall, _ := got.Parts[0].Size("wall_mm")
	assert.InDelta(t, 6.5, wall, 1e-9, "the part itself is of stock")
}

// Parts that lie in each other by their contact, but whose ideal shapes are 23 mm apart
// as scanned, stay where they are; where stock is thinner they follow by as much, but
// for what parts that cross keep to their places.
func TestApartAsScanned(t *testing.T) {
	a, b := platePart("E01", 600, 400, 20, r3.Vec{Z: 10}), platePart("E02", 300, 200, 20, r3.Vec{Z: 53})
	var seam []stock.SeamAt
	for _, q := range [][2]float64{{-140, -90}, {140, -90}, {140, 90}, {-140, 90}} {
		seam = append(seam, stock.SeamAt{Run: 1, PointMM: r3.Vec{X: q[0], Y: q[1], Z: 20}, A: r3.Vec{Z: 1}, B: r3.Vec{X: q[0]}})
	}
	contacts := []stock.Contact{{A: 0, B: 1, Kind: "plate on plate", GapMM: -8, Seam: seam}}
	for thickness, down := range map[float64]float64{20: 0, 14: 3} {
		got := solved(t, []stock.Part{a, b}, []stock.Part{a, sizedTo(b, "thickness_mm", thickness)}, contacts)
		assert.Equal(t, "crossing", got.Joints[0].Way)
		assert.InDelta(t, 0, got.Joints[0].GapMM, 0.15)
		near(t, r3.Vec{Z: -down}, got.Moves[1].ShiftMM, 0.15, "the upper plate")
	}
}
