package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
	"pointup/segment/fit"
)

// rectangleWall is the wall of a plate of 60 by 30 mm, seen where shown says so, and
// its chain, led off by bulge where the wall is not seen.
func rectangleWall(shown func(q [2]float64) bool, bulge func(q [2]float64) [2]float64) wallLoop {
	var w wallLoop
	corners := [][2]float64{{-30, -15}, {30, -15}, {30, 15}, {-30, 15}}
	for i, a := range corners {
		b := corners[(i+1)%4]
		l := hypot(b[0]-a[0], b[1]-a[1])
		n := [2]float64{(b[1] - a[1]) / l, (a[0] - b[0]) / l}
		for s := 0.25; s < l; s += 0.5 {
			q := [2]float64{a[0] + s/l*(b[0]-a[0]), a[1] + s/l*(b[1]-a[1])}
			if shown(q) {
				w.Point, w.Normal = append(w.Point, q), append(w.Normal, n)
				w.Chain = append(w.Chain, q)
			} else if bulge != nil {
				w.Chain = append(w.Chain, bulge(q))
			}
		}
	}
	w.AreaMM2 = polygonAreaMM2(w.Chain)
	return w
}

// TestTrimToWalls: weld that runs on from a face over the middle of an edge adds
// nothing to the plate; where the wall itself goes on out there, it is metal.
func TestTrimToWalls(t *testing.T) {
	p := &Patch{NoiseMM: 0.03, EdgeMM: 0.5, OpenEdges: 9}
	weld := func(q [2]float64) bool { return math.Abs(q[0]) < 9 && q[1] < -14 }
	shown := func(q [2]float64) bool { return !weld(q) }
	out := func(q [2]float64) [2]float64 { return [2]float64{q[0], q[1] - 3*math.Cos(q[0]/9*math.Pi/2)} }
	w := rectangleWall(shown, out)
	require.Greater(t, w.AreaMM2, 1800.+20)
	w.trimToWalls(p)
	assert.InDelta(t, 1800, w.AreaMM2, 3)

	w = rectangleWall(shown, out)
	for _, q := range w.Chain { // a tongue, whose wall is seen
		if weld(q) || q[1] < -15.1 {
			w.Point, w.Normal = append(w.Point, q), append(w.Normal, [2]float64{0, -1})
		}
	}
	before := w.AreaMM2
	w.trimToWalls(p)
	assert.Equal(t, before, w.AreaMM2)
}

// TestMeetSides: a corner under weld, outer or inner, is where the sides cross.
func TestMeetSides(t *testing.T) {
	l := synthetic.Polygon([2]float64{-25, -15}, [2]float64{25, -15}, [2]float64{25, 0}, [2]float64{0, 0}, [2]float64{0, 15}, [2]float64{-25, 15})
	for _, c := range []struct {
		name    string
		outline []synthetic.Step
		at      r3.Vec
		areaMM2 float64
	}{
		{"outer", synthetic.Rectangle(50, 30), r3.Vec{X: 25, Y: 15}, 1500},
		{"inner", l, r3.Vec{}, 1125},
	} {
		p := upright(synthetic.Plate{Outline: c.outline, ThicknessMM: 4})
		e := Recognise(cutPatch(t, p, 0.6, func(q r3.Vec) bool { return hypot(q.X-c.at.X, q.Y-c.at.Y) < 8 }), DefaultOptions())
		require.Equal(t, "plate", e.Kind, c.name)
		var chain [][2]float64
		for _, s := range e.Outline {
			chain = append(chain, s.To)
		}
		assert.InDelta(t, c.areaMM2, polygonAreaMM2(chain), 5, c.name)
		length, _ := e.Dim("length_mm")
		assert.InDelta(t, 50, length, 0.05, c.name)
	}
}

// TestEndUnderWeld: weld hides the whole end of a plate, a little of its faces too: the
// length is hidden, not the smaller one that shows.
func TestEndUnderWeld(t *testing.T) {
	p := upright(synthetic.Plate{Outline: synthetic.Rectangle(48, 16), ThicknessMM: 2.7})
	e := Recognise(cutPatch(t, p, 0.4, func(q r3.Vec) bool { return q.X > 23.6 }), DefaultOptions())
	require.Equal(t, "plate", e.Kind)
	assert.Equal(t, []string{"length_mm"}, e.Hidden)
	width, _ := e.Dim("width_mm")
	assert.InDelta(t, 16, width, 0.03)
}

// TestLegAcrossGap: another piece hides nearly three radii of a leg, crossing it; beyond
// that the rod is of the bend.
func TestLegAcrossGap(t *testing.T) {
	p := upright(synthetic.Bent{SectionDiameterMM: 6, Legs: []synthetic.Bend{{LengthMM: 30}, {RadiusMM: 24, AngleDeg: 100}, {LengthMM: 26}}})
	scan := cutPatch(t, p, 0.6, func(r3.Vec) bool { return false })
	e := Recognise(scan, DefaultOptions())
	require.Len(t, e.Segments, 3)
	end := e.Ends[1]
	mid := r3.Sub(end.AtMM, r3.Scale(14, end.Out))
	e = Recognise(cutPatch(t, p, 0.6, func(q r3.Vec) bool {
		return math.Abs(r3.Dot(r3.Sub(q, mid), end.Out)) < 4.2 && r3.Norm(r3.Sub(q, mid)) < 7
	}), DefaultOptions())
	require.Equal(t, "arc", e.Kind)
	sweep, _ := e.Dim("sweep_deg")
	assert.InDelta(t, 100, sweep, 0.3)
	require.Len(t, e.Segments, 3)
}

// TestProfileHiddenAlong: weld along a toe of an angle and over half of one end leaves
// borders all along its wall; the other end shows the section.
func TestProfileHiddenAlong(t *testing.T) {
	p := upright(synthetic.Profile{Section: synthetic.Angle(20, 20, 2.8), LengthMM: 38})
	lowX, lowY := math.Inf(1), math.Inf(1)
	whole := func(q r3.Vec) bool { lowX, lowY = min(lowX, q.X), min(lowY, q.Y); return false }
	cutPatch(t, p, 0.7, whole)
	e := Recognise(cutPatch(t, p, 0.7, func(q r3.Vec) bool {
		x, y := q.X-lowX, q.Y-lowY
		return x < 1 && y > 6 && y < 15 && q.Z > -17 || y < 1 && x > 14 && q.Z > -17 || q.Z > 17.5 && x > 8
	}), DefaultOptions())
	require.Equal(t, "profile", e.Kind)
	length, _ := e.Dim("length_mm")
	assert.InDelta(t, 38, length, 0.05)
	assert.Len(t, e.Outline, 6)
}

// TestRasterOfFaces: weld that is seen down in a hole is no metal of the sheet.
func TestRasterOfFaces(t *testing.T) {
	at := func(z float64) bool {
		p := &Patch{P: []r3.Vec{{X: -5, Y: -5, Z: z}, {X: 5, Y: -5, Z: z}, {Y: 5, Z: z}}, Facet: [][3]int32{{0, 1, 2}}, EdgeMM: 1}
		p.FacetC, p.FacetS = []r3.Vec{{Z: z}}, []r3.Vec{{Z: 1}}
		r := rasterOf(p, &slab{f: frame{E1: r3.Vec{X: 1}, E2: r3.Vec{Y: 1}, D: r3.Vec{Z: 1}}, z: [2]float64{-1, 1}})
		return r.at([2]float64{})
	}
	assert.True(t, at(1))
	assert.True(t, at(-0.95))
	assert.False(t, at(0.3))
	assert.False(t, at(1.6))
}

// TestFaceFirst: a flat bar stands between its broad faces, though it is as well one
// between its edges.
func TestFaceFirst(t *testing.T) {
	p := patchOf(t, soupOf(t, upright(synthetic.Plate{Outline: synthetic.Rectangle(60, 20), ThicknessMM: 5}), scanOptions(0.8)))
	var list []candidate
	for _, d := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		for _, c := range proposeSlab(p.thin(scoutVertices), unlocated([]r3.Vec{d})) {
			require.True(t, c.settle(p, DefaultOptions(), scouting))
			list = append(list, c)
		}
	}
	require.Len(t, list, 3)
	for _, order := range [][]int{{0, 1, 2}, {1, 2, 0}, {2, 0, 1}} {
		turned := []candidate{list[order[0]], list[order[1]], list[order[2]]}
		faceFirst(turned, p)
		assert.InDelta(t, 5, turned[0].sol.(*plate).thicknessMM(), 0.05)
	}
	e := Recognise(p, DefaultOptions())
	assert.InDelta(t, 1, math.Abs(e.Frame.Axis.Z), 1e-3)
}

// TestHoleOnBlank: an arc of weld at the edge of a sheet is no hole of it.
func TestHoleOnBlank(t *testing.T) {
	blank := &Patch{P: []r3.Vec{{X: 0, Y: -11}, {X: 70, Y: -11}, {X: 70, Y: 11}, {X: 0, Y: 11}}}
	at := func(u, v, d float64) bool {
		return (&fittedHole{hole: fit.Hole{Shape: "round", CentreMM: [2]float64{u, v}, DiameterMM: d}, line: newContourLine([][2]float64{{u, v}, {u + 1, v}, {u, v + 1}})}).within(blank)
	}
	assert.True(t, at(10, 3.5, 3.6))
	assert.False(t, at(56, 14, 26))
	assert.False(t, at(69, 0, 3.6))
}
