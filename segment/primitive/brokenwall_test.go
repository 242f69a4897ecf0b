package primitive

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/synthetic"
)

// cutPatch is a scan of a piece at the origin without the facets that gone
// tells, as weld hides them.
func cutPatch(t *testing.T, p synthetic.Piece, edgeMM float64, gone func(r3.Vec) bool) *Patch {
	t.Helper()
	return cutScan(t, p, scanOptions(edgeMM), gone)
}

func cutScan(t *testing.T, p synthetic.Piece, opt synthetic.Options, gone func(r3.Vec) bool) *Patch {
	t.Helper()
	soup := soupOf(t, p, opt)
	m, report, err := mesh.Check(context.Background(), soup, mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	var faces []uint32
	for f := range m.Faces {
		c := r3.Vec{}
		for _, v := range m.Faces[f] {
			c = r3.Add(c, r3.Scale(1./3, m.At(v)))
		}
		if !gone(c) {
			faces = append(faces, uint32(f))
		}
	}
	return NewPatch(m, faces, report.NoiseMM)
}

func upright(s synthetic.Shape) synthetic.Piece {
	return synthetic.Piece{Name: "cut", Shape: s, Pose: synthetic.Upright(0, 0, 0)}
}

// TestWheelOfBrokenRim: beads across the rim part it into four and cover some
// teeth; count and circles are those of the wheel.
func TestWheelOfBrokenRim(t *testing.T) {
	s := synthetic.ToothedWheel{ToothCount: 32, TipDiameterMM: 90, RootDiameterMM: 80, BoreDiameterMM: 24, ThicknessMM: 5,
		Teeth: synthetic.Teeth{TipShare: 0.3, BottomShare: 0.35}}
	p := upright(s)
	e := Recognise(cutPatch(t, p, 0.8, func(q r3.Vec) bool {
		for _, at := range []r3.Vec{{X: 42}, {X: -10, Y: 41}, {X: -32, Y: -27}, {X: 20, Y: -38}} {
			if r3.Norm(r3.Sub(q, at)) < 6 {
				return true
			}
		}
		return false
	}), DefaultOptions())
	require.Equal(t, "toothed_wheel", e.Kind)
	for key, want := range map[string]float64{"tooth_count": 32, "tip_diameter_mm": 90, "root_diameter_mm": 80, "bore_diameter_mm": 24, "thickness_mm": 5} {
		got, ok := e.Dim(key)
		require.True(t, ok, key)
		assert.InDelta(t, want, got, 0.05, key)
	}
}

// TestTubeOnItsEnd: a tube that stands on a plate shows one end; the plate that
// is seen through its bore is no end of it.
func TestTubeOnItsEnd(t *testing.T) {
	p := upright(synthetic.Tube{OutsideDiameterMM: 19, InsideDiameterMM: 14, LengthMM: 90})
	e := Recognise(cutPatch(t, p, 1, func(q r3.Vec) bool { return q.Z < -43 }), DefaultOptions())
	require.Equal(t, "tube", e.Kind)
	assert.Equal(t, []string{"length_mm"}, e.Hidden)
	wall, _ := e.Dim("wall_mm")
	assert.InDelta(t, 2.5, wall, 0.02)
}

// TestPlateWithCoveredEdges: weld along two sides hides what they end; the
// thickness stays.
func TestPlateWithCoveredEdges(t *testing.T) {
	p := upright(synthetic.Plate{Outline: synthetic.Rectangle(24, 18), ThicknessMM: 4})
	e := Recognise(cutPatch(t, p, 0.7, func(q r3.Vec) bool { return q.X < -10.5 || q.Y < -7.5 }), DefaultOptions())
	require.Equal(t, "plate", e.Kind)
	assert.ElementsMatch(t, []string{"length_mm", "width_mm"}, e.Hidden)
	thickness, _ := e.Dim("thickness_mm")
	assert.InDelta(t, 4, thickness, 0.03)
}

// TestLongFacets: facets as long as the bar, as CAD programs write them; a prism
// of 32 sides about a circle of 2 mm, 8 mm long.
func TestLongFacets(t *testing.T) {
	const n = 32
	var soup mesh.Soup
	for k := 0; k < n; k++ {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / n)
		soup.Points = append(soup.Points, [3]float32{float32(cos), float32(sin), -4}, [3]float32{float32(cos), float32(sin), 4})
	}
	for k := uint32(0); k < n; k++ {
		a, b := 2*k, 2*((k+1)%n)
		soup.Corners = append(soup.Corners, [3]uint32{a, b, b + 1}, [3]uint32{a, b + 1, a + 1})
		if k > 0 && k < n-1 {
			soup.Corners = append(soup.Corners, [3]uint32{0, b, a}, [3]uint32{1, a + 1, b + 1})
		}
	}
	e := Recognise(patchOf(t, soup), DefaultOptions())
	require.Equal(t, "bar", e.Kind)
	for key, want := range map[string]float64{"outside_diameter_mm": 2, "length_mm": 8} {
		got, ok := e.Dim(key)
		require.True(t, ok, key)
		assert.InDelta(t, want, got, 1e-3, key)
	}
}

// TestPlateInTwo: a plate of which another piece hides a band right across, so
// that its wall comes in two parts of three sides, is one plate.
func TestPlateInTwo(t *testing.T) {
	for _, at := range []float64{0, 6} {
		p := upright(synthetic.Plate{Outline: synthetic.Rectangle(46, 14), ThicknessMM: 2.8})
		e := Recognise(cutPatch(t, p, 0.7, func(q r3.Vec) bool { return math.Abs(q.X-at) < 2.2 }), DefaultOptions())
		require.Equal(t, "plate", e.Kind)
		for key, want := range map[string]float64{"thickness_mm": 2.8, "length_mm": 46, "width_mm": 14, "hole_count": 0} {
			got, ok := e.Dim(key)
			require.True(t, ok, key)
			assert.InDelta(t, want, got, 0.05, key)
		}
	}
}

// TestSplinter: a strip of slanting rim is no hole, a drilled hole is; facets of
// 0.6 mm, a sheet of 5 mm.
func TestSplinter(t *testing.T) {
	p, c := &Patch{EdgeMM: 0.6}, &slab{z: [2]float64{0, 5}}
	loop := func(halfU, halfV, wallMM2 float64, points int) *wallLoop {
		w := &wallLoop{Hole: true, WallMM2: wallMM2, Point: make([][2]float64, points)}
		for k := range 24 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 24)
			w.Chain = append(w.Chain, [2]float64{halfU * cos, halfV * sin})
		}
		w.AreaMM2 = polygonAreaMM2(w.Chain)
		return w
	}
	assert.False(t, loop(3, 3, 90, 200).splinter(p, c), "a hole of 6 mm")
	assert.True(t, loop(3, 3, 20, 200).splinter(p, c), "a quarter of its wall")
	assert.True(t, loop(3, 3, 90, 0).splinter(p, c), "all of it at the rims")
	assert.True(t, loop(3, 0.1, 60, 200).splinter(p, c), "narrower than a facet")
}

// TestChainedFromTheMiddle: two walls of three sides each, whose chains begin in
// the middle of a side and come back there, go round a rectangle of 46 by 14.
func TestChainedFromTheMiddle(t *testing.T) {
	half := func(sign float64) wallLoop {
		var w wallLoop
		for _, q := range dense([][2]float64{{23, 0}, {23, 7}, {2, 7}, {2, -7}, {23, -7}}, 1) {
			if q[0] > 2 || math.Abs(q[1]) == 7 {
				w.Chain = append(w.Chain, [2]float64{sign * q[0], sign * q[1]})
			}
		}
		return w
	}
	assert.InDelta(t, 46*14, chained([]wallLoop{half(1), half(-1)}, [2]float64{}).AreaMM2, 1e-9)
}

// TestFollowJumps: of a plate's end a stretch stands between two welds, apart from the
// wall that goes round all the rest, whose rim was led across: it tells where the end is.
// What looks another way, or lies elsewhere, tells nothing.
func TestFollowJumps(t *testing.T) {
	p := &Patch{EdgeMM: 0.6, OpenEdges: 20}
	rim := dense([][2]float64{{-16.2, -7.6}, {17.3, -7.6}, {17.3, 7.6}, {-17.3, 7.6}, {-17.3, 5}}, 0.6)
	for rim[len(rim)-1] != [2]float64{-17.3, 5} { // straight across the end
		rim = rim[:len(rim)-1]
	}
	end := func(x float64, n [2]float64) wallLoop {
		o := wallLoop{WallMM2: 13}
		for k := range 40 {
			o.Point, o.Normal = append(o.Point, [2]float64{x, -6 + float64(k)*0.125}), append(o.Normal, n)
		}
		return o
	}
	for name, c := range map[string]struct {
		part wallLoop
		area float64
	}{
		"the end":       {end(-17.3, [2]float64{-1, 0}), 34.6*15.2 - 0.5*1.1*1.6}, // but for the corner
		"looks back":    {end(-17.3, [2]float64{1, 0}), 34.6*15.2 - 0.5*1.1*12.6},
		"another piece": {end(-27.3, [2]float64{-1, 0}), 34.6*15.2 - 0.5*1.1*12.6},
		"there is none": {wallLoop{}, 34.6*15.2 - 0.5*1.1*12.6},
	} {
		w := wallLoop{Chain: rim, Point: make([][2]float64, 9), Normal: make([][2]float64, 9)}
		w.followJumps(p, []wallLoop{c.part})
		assert.InDelta(t, c.area, w.AreaMM2, 0.1, name)
		taken := 0
		if name == "the end" {
			taken = len(c.part.Point)
		}
		assert.Equal(t, 9+taken, len(w.Point), name)
		assert.Equal(t, len(w.Point), len(w.Normal), name)
	}

	// So it does where walls are put together, wherever the rim begins.
	p.FacetS, p.FacetC, p.FacetMM2 = []r3.Vec{{Z: 1}, {Z: -1}}, []r3.Vec{{Z: 1}, {Z: -1}}, []float64{520, 520}
	begin := len(rim) / 3
	walls := []wallLoop{{Chain: slices.Concat(rim[begin:], rim[:begin]), AreaMM2: polygonAreaMM2(rim)}, end(-17.3, [2]float64{-1, 0})}
	walls[1].Chain = walls[1].Point
	outer, _, ok := sortWalls(joinWalls(p, &slab{f: newFrame(r3.Vec{}, r3.Vec{Z: 1}), z: [2]float64{-1, 1}}, walls))
	require.True(t, ok)
	assert.InDelta(t, 34.6*15.2-0.5*1.1*1.6, outer.AreaMM2, 0.1)
}
