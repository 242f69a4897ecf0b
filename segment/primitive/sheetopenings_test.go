package primitive

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// perforation is 3 × 8 holes about the origin, 9 mm apart.
func perforation(shape func(at [2]float64) synthetic.Hole) []synthetic.Hole {
	var out []synthetic.Hole
	for i := range 8 {
		for j := range 3 {
			out = append(out, shape([2]float64{9 * (float64(i) - 3.5), 9 * (float64(j) - 1)}))
		}
	}
	return out
}

// TestPerforatedSheetInWeld: a sheet with holes of which a piece in front hides
// one wholly with all about it, another piece half of one face, and weld half of
// the walls. All are counted; the hidden one by the pattern, and a note says so.
func TestPerforatedSheetInWeld(t *testing.T) {
	hole := map[string]func([2]float64) synthetic.Hole{
		"round": func(at [2]float64) synthetic.Hole {
			return synthetic.Hole{Shape: "round", CentreMM: at, DiameterMM: 4}
		},
		"diamond": func(at [2]float64) synthetic.Hole {
			return synthetic.Hole{Shape: "diamond", CentreMM: at, AcrossMM: [2]float64{5, 3.5}}
		},
	}
	for name, shape := range hole {
		sheet := map[string]synthetic.Piece{
			"plate": upright(synthetic.Plate{Outline: synthetic.Rectangle(90, 34), ThicknessMM: 3, Holes: perforation(shape)}),
		}
		for kind, p := range sheet {
			t.Run(kind+" "+name, func(t *testing.T) {
				e := Recognise(cutPatch(t, p, 0.7, func(q r3.Vec) bool {
					covered := r3.Norm(r3.Vec{X: q.X - 4.5, Y: q.Y}) < 4
					behind := q.Z < -1.4 && q.X > 12
					bead := q.Z > -1.4 && q.Z < 1.4 && math.Abs(q.Y) < 15 && math.Mod(math.Abs(q.X*7.3+q.Y*5.1), 2) < 1
					return covered || behind || bead
				}), DefaultOptions())
				require.Equal(t, kind, e.Kind)
				n, _ := e.Dim("hole_count")
				require.EqualValues(t, 24, n)
				assert.Contains(t, fmt.Sprint(e.Notes), "1 of 24 holes")
				requireOnPattern(t, e.Holes, 9, 0.35)
			})
		}
	}
}

// requireOnPattern holds that every hole's centre lies on the lattice of holes
// pitch apart with an even number of columns and an odd one of rows.
func requireOnPattern(t *testing.T, holes []Hole, pitch, mm float64) {
	t.Helper()
	seen := map[[2]int]bool{}
	for _, h := range holes {
		i, j := math.Round(h.CentreMM[0]/pitch-0.5), math.Round(h.CentreMM[1]/pitch)
		assert.InDelta(t, (i+0.5)*pitch, h.CentreMM[0], mm)
		assert.InDelta(t, j*pitch, h.CentreMM[1], mm)
		seen[[2]int{int(i), int(j)}] = true
	}
	assert.Len(t, seen, len(holes))
}

// TestHoleMissingInWeld: where metal was seen at a place of the pattern, there is
// no hole, however the sheet is broken.
func TestHoleMissingInWeld(t *testing.T) {
	all := perforation(func(at [2]float64) synthetic.Hole {
		return synthetic.Hole{Shape: "round", CentreMM: at, DiameterMM: 4}
	})
	p := upright(synthetic.Plate{Outline: synthetic.Rectangle(90, 34), ThicknessMM: 3, Holes: append(all[:10:10], all[11:]...)})
	e := Recognise(cutPatch(t, p, 0.7, func(q r3.Vec) bool { return q.Z < -1.4 && q.X > 20 }), DefaultOptions())
	require.Equal(t, "plate", e.Kind)
	n, _ := e.Dim("hole_count")
	require.EqualValues(t, 23, n)
}

// TestRolledSheetInWeld: the same on a rolled plate, 1 of 8 places hidden.
func TestRolledSheetInWeld(t *testing.T) {
	const mid = 34.0 // of the mid-surface, mm
	var holes []synthetic.Hole
	for i := range 8 {
		holes = append(holes, synthetic.Hole{Shape: "diamond", CentreMM: [2]float64{9 * (float64(i) + 1), 0}, AcrossMM: [2]float64{5, 3.5}})
	}
	p := upright(synthetic.RolledPlate{InsideDiameterMM: 2*mid - 2.6, ThicknessMM: 2.6, WidthMM: 22, SweepDeg: 81 / mid * 180 / math.Pi, Holes: holes})
	whole := Recognise(cutPatch(t, p, 0.7, func(r3.Vec) bool { return false }), DefaultOptions())
	require.Equal(t, "rolled_plate", whole.Kind)
	require.Len(t, whole.Holes, 8)
	at := func(i int) r3.Vec { // on the piece, of the hole that lies i-th along the sweep
		h := whole.Holes[i]
		sin, cos := math.Sincos(h.CentreMM[0] / mid)
		v := r3.Cross(whole.Frame.Axis, whole.Frame.Ref)
		return r3.Add(whole.Frame.OriginMM, r3.Add(r3.Scale(mid*cos, whole.Frame.Ref), r3.Scale(mid*sin, v)))
	}
	e := Recognise(cutPatch(t, p, 0.7, func(q r3.Vec) bool {
		bead := math.Mod(math.Abs(q.X*7.3+q.Z*5.1), 2) < 0.8 && math.Abs(math.Hypot(q.X, q.Y)-mid) < 1.2 && math.Abs(q.Z) < 9
		return r3.Norm(r3.Sub(q, at(4))) < 4.5 || bead
	}), DefaultOptions())
	require.Equal(t, "rolled_plate", e.Kind)
	n, _ := e.Dim("hole_count")
	require.EqualValues(t, 8, n)
	assert.Contains(t, fmt.Sprint(e.Notes), "1 of 8 holes")
}

// TestEndOfRow: the last hole of a row, under a foot, is there where the row would
// not lie about the sheet's middle without it; where the metal at its place is
// seen, or the row lies about the middle as it is, there is none.
func TestEndOfRow(t *testing.T) {
	for _, c := range []struct {
		holes, want float64
		footMM      float64 // where it stands
	}{{8, 8, 31.5}, {7, 7, 0}, {6, 6, 31.5}} {
		var holes []synthetic.Hole
		for i := range int(c.holes) {
			at := 9 * (float64(i) - 3.5)
			if c.holes == 6 { // about the middle
				at += 9
			}
			holes = append(holes, synthetic.RoundHole(at, 0, 4))
		}
		foot := func(q r3.Vec) bool { return math.Abs(q.X-c.footMM) < 4.4 && math.Abs(q.Y) < 6 }
		p := upright(synthetic.Plate{Outline: synthetic.Rectangle(80, 20), ThicknessMM: 3, Holes: holes})
		e := Recognise(cutPatch(t, p, 0.7, foot), DefaultOptions())
		require.Equal(t, "plate", e.Kind)
		got, _ := e.Dim("hole_count")
		assert.Equal(t, c.want, got, "%+v", c)
	}
}

// TestGapInRow: of a row of five holes one is hidden by a foot, and of eight the last
// three by a sleeve round the strip: the rest say where they are, the three only where
// none of their places shows metal.
func TestGapInRow(t *testing.T) {
	for _, c := range []struct {
		name        string
		holes, want int
		hidden      func(q r3.Vec) bool
	}{
		{"foot", 5, 5, func(q r3.Vec) bool { return math.Abs(q.X-9) < 4.4 && math.Abs(q.Y) < 6 }},
		{"sleeve", 8, 8, func(q r3.Vec) bool { return q.X > 9 && q.X < 36 }},
		{"short sleeve", 8, 5, func(q r3.Vec) bool { return q.X > 9 && q.X < 27 }},
	} {
		var holes []synthetic.Hole
		for i := range c.holes {
			if at := 9 * (float64(i) - float64(c.holes-1)/2); c.name != "short sleeve" || at < 10 {
				holes = append(holes, synthetic.RoundHole(at, 0, 4))
			}
		}
		p := upright(synthetic.Plate{Outline: synthetic.Rectangle(80, 20), ThicknessMM: 3, Holes: holes})
		e := Recognise(cutPatch(t, p, 0.7, c.hidden), DefaultOptions())
		require.Equal(t, "plate", e.Kind, c.name)
		got, _ := e.Dim("hole_count")
		assert.EqualValues(t, c.want, got, c.name)
	}
}

// TestFourthCorner: three corners of a rectangle of holes about the middle of a
// plate say where the fourth is, under a foot that hides it; two holes say nothing.
func TestFourthCorner(t *testing.T) {
	corner := func(n int) []synthetic.Hole {
		all := []synthetic.Hole{synthetic.RoundHole(20, 12, 6), synthetic.RoundHole(-20, 12, 6), synthetic.RoundHole(-20, -12, 6), synthetic.RoundHole(20, -12, 6)}
		return all[:n]
	}
	foot := func(q r3.Vec) bool { return r3.Norm(r3.Vec{X: q.X - 20, Y: q.Y + 12}) < 6 }
	for n, want := range map[int]float64{4: 4, 2: 2} {
		p := upright(synthetic.Plate{Outline: synthetic.Rectangle(60, 40), ThicknessMM: 4, Holes: corner(n)})
		e := Recognise(cutPatch(t, p, 0.8, foot), DefaultOptions())
		require.Equal(t, "plate", e.Kind)
		got, _ := e.Dim("hole_count")
		assert.Equal(t, want, got)
	}
}

// TestGapsAreNoHoles: weld that bridges the gaps of a wheel's teeth makes no holes
// of them.
func TestGapsAreNoHoles(t *testing.T) {
	p := upright(synthetic.ToothedWheel{ToothCount: 24, TipDiameterMM: 80, RootDiameterMM: 68, BoreDiameterMM: 20, ThicknessMM: 5, Teeth: synthetic.StraightTeeth()})
	e := Recognise(cutPatch(t, p, 0.7, func(q r3.Vec) bool { return math.Hypot(q.X, q.Y) > 38.5 && q.X > 25 }), DefaultOptions())
	require.Equal(t, "toothed_wheel", e.Kind)
	assert.Empty(t, e.Holes)
	n, _ := e.Dim("tooth_count")
	assert.EqualValues(t, 24, n)
}

// TestWheelCutByWeld: a wheel of which crossing pieces hide a sector of one face
// and some teeth, so that its rim comes in parts, keeps its teeth.
func TestWheelCutByWeld(t *testing.T) {
	p := upright(synthetic.ToothedWheel{ToothCount: 22, TipDiameterMM: 53.2, RootDiameterMM: 44.8, BoreDiameterMM: 21.4, ThicknessMM: 3.8, Teeth: synthetic.StraightTeeth()})
	e := Recognise(cutPatch(t, p, 0.55, func(q r3.Vec) bool {
		phi := math.Mod(math.Atan2(q.Y, q.X)*180/math.Pi+360, 360)
		strip := q.Z < 0 && math.Abs(0.3*q.X+q.Y+22) < 4
		bead := math.Hypot(q.X, q.Y) > 22 && math.Mod(phi, 45) < 3
		return phi > 40 && phi < 70 || strip || bead
	}), DefaultOptions())
	require.Equal(t, "toothed_wheel", e.Kind)
	for key, want := range map[string]float64{"tooth_count": 22, "tip_diameter_mm": 53.2, "root_diameter_mm": 44.8, "bore_diameter_mm": 21.4, "thickness_mm": 3.8} {
		got, ok := e.Dim(key)
		require.True(t, ok, key)
		assert.InDelta(t, want, got, 0.06, key)
	}
}

// TestCrosses: an opening that lies across the edge is a nick, and no hole; one
// within it, and one beyond an edge that weld has hidden, may be.
func TestCrosses(t *testing.T) {
	outline := newContourLine([][2]float64{{-20, -10}, {20, -10}, {20, 10}, {-20, 10}})
	for x, want := range map[float64]bool{0: false, 18: false, 19.5: true, 20.5: true, 23: false} {
		var ring [][2]float64
		for k := range 24 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 24)
			ring = append(ring, [2]float64{x + 1.5*cos, 1.5 * sin})
		}
		assert.Equal(t, want, crosses(ring, outline), x)
	}
}

// TestBoxInWeld: the outer wall of a box section is as near to the inner as its metal
// is thick, and is none of its parts: where weld hides a place, the box stays one.
func TestBoxInWeld(t *testing.T) {
	s := synthetic.Box(24, 24, 1.9, 50)
	e := Recognise(cutPatch(t, upright(s), 0.6, func(q r3.Vec) bool { return r3.Norm(r3.Sub(q, r3.Vec{X: 12, Y: 3, Z: 8})) < 4 }), DefaultOptions())
	require.Equal(t, "profile", e.Kind)
	l, ok := e.Dim("length_mm")
	require.True(t, ok)
	assert.InDelta(t, 50, l, 0.03)
	require.Len(t, e.Holes, 1)
	assert.Equal(t, "rectangle", e.Holes[0].Shape)
}
