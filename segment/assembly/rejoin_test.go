package assembly

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
	"pointup/segment/fit"
	"pointup/segment/primitive"
	"pointup/segment/surface"
)

// cutUp scans pieces apart and returns the mesh, a patch of all, and a piece of
// each group of facets that group tells by their first vertex, -1 for none.
func cutUp(t *testing.T, pieces []synthetic.Piece, groups int, group func(r3.Vec) int) (*mesh.Mesh, *primitive.Patch, []Piece) {
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = 0.7, 0.02
	scan, err := synthetic.Scan(synthetic.Scene{Name: "cut", Pieces: pieces}, opt)
	require.NoError(t, err)
	m, report, err := mesh.Check(context.Background(), scan.Soup("cut.stl"), mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	faces, all := make([][]uint32, groups), []uint32{}
	for f, v := range m.Faces {
		all = append(all, uint32(f))
		if k := group(m.At(v[0])); k >= 0 {
			faces[k] = append(faces[k], uint32(f))
		}
	}
	var out []Piece
	for _, list := range faces {
		q := primitive.NewPatch(m, list, report.NoiseMM)
		out = append(out, Piece{Element: primitive.Recognise(q, primitive.DefaultOptions()), Faces: list, Patch: q})
	}
	return m, primitive.NewPatch(m, all, report.NoiseMM), out
}

// through tells apart a rod along z up to r from its axis, above (0) and below (1) height
// z by more than clear, and the plate (2) that it runs through there.
func through(r, z, clear float64) func(q r3.Vec) int {
	return func(q r3.Vec) int {
		switch on := math.Hypot(q.X, q.Y) < r; {
		case on && q.Z > z+clear:
			return 0
		case on && q.Z < z-clear:
			return 1
		case !on && math.Abs(q.Z-z) < clear-0.1:
			return 2
		}
		return -1
	}
}

// TestRejoinBeside: halves of a bar on both sides of a plate are one bar too where one has
// a few facets beyond the plate.
func TestRejoinBeside(t *testing.T) {
	pieces := []synthetic.Piece{
		{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 80}},
		{Name: "plate", Pose: synthetic.Upright(0, 0, 20), Shape: synthetic.Plate{Outline: synthetic.Rectangle(50, 40), ThicknessMM: 5}},
	}
	m, p, got := cutUp(t, pieces, 3, func(q r3.Vec) int {
		switch on := math.Hypot(q.X, q.Y) < 5.5; {
		case on && (q.Z < 16.5 || q.X > 4 && q.Z > 22.6 && q.Z < 23.8):
			return 0
		case on && q.Z > 22.8:
			return 1
		case !on && math.Abs(q.Z-20) < 3:
			return 2
		}
		return -1
	})
	require.Equal(t, []string{"bar", "bar", "plate"}, kinds(got))
	one := rejoin(m, p, got, primitive.DefaultOptions())
	require.Equal(t, []string{"bar", "plate"}, kinds(one))
	sizes(t, one[0], map[string]float64{"length_mm": 80})
}

// TestRejoinOverlap: parts of a bar that both show 4 mm of its length, on either side, are
// one; where one ends as the other begins they may be two, end to end.
func TestRejoinOverlap(t *testing.T) {
	for overlap, want := range map[float64]int{4: 1, 0.3: 2} {
		m, p, got := cutUp(t, []synthetic.Piece{{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 80}}}, 2, func(q r3.Vec) int {
			if q.Z < 5 || q.X > 1 && q.Z < 5+overlap {
				return 0
			}
			return 1
		})
		require.Equal(t, []string{"bar", "bar"}, kinds(got))
		assert.Equal(t, want, len(rejoin(m, p, got, primitive.DefaultOptions())), "%v mm", overlap)
	}
}

// TestRejoinThick: halves of a short bar on both sides of a plate that is 0.6 of their
// length thick are one; of one that is as thick as they are long nobody knows.
func TestRejoinThick(t *testing.T) {
	for thick, want := range map[float64]int{6: 2, 11: 3} {
		pieces := []synthetic.Piece{
			{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: thick + 24}},
			{Name: "plate", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(50, 40), ThicknessMM: thick}},
		}
		m, p, got := cutUp(t, pieces, 3, through(5.5, 0, thick/2+0.6))
		require.Equal(t, []string{"bar", "bar", "plate"}, kinds(got))
		assert.Equal(t, want, len(rejoin(m, p, got, primitive.DefaultOptions())), "%v mm", thick)
	}
}

// TestRejoinProfile: halves of a hexagonal bar on both sides of a plate are one; without
// the plate, and of two sections in line, they stay two.
func TestRejoinProfile(t *testing.T) {
	hexagon := func(r float64) (out []synthetic.Step) {
		for k := range 6 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 3)
			out = append(out, synthetic.Line(r*cos, r*sin))
		}
		return out
	}
	half := func(z, r float64) synthetic.Piece {
		return synthetic.Piece{Name: "bar", Pose: synthetic.Upright(0, 0, z), Shape: synthetic.Profile{Section: hexagon(r), LengthMM: 40}}
	}
	plate := synthetic.Piece{Name: "plate", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(50, 40), ThicknessMM: 5}}
	for name, c := range map[string]struct {
		pieces []synthetic.Piece
		want   []string
	}{
		"one bar":      {[]synthetic.Piece{{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Profile{Section: hexagon(6), LengthMM: 80}}, plate}, []string{"profile", "plate"}},
		"two sections": {[]synthetic.Piece{half(20, 6), half(-20, 8), plate}, []string{"profile", "profile", "plate"}},
	} {
		m, p, got := cutUp(t, c.pieces, 3, through(8.5, 0, 4))
		require.Equal(t, []string{"profile", "profile", "plate"}, kinds(got), name)
		opt := primitive.DefaultOptions()
		assert.Equal(t, 2, len(rejoin(m, p, []Piece{got[0], got[1]}, opt)), name)
		one := rejoin(m, p, got, opt)
		require.Equal(t, c.want, kinds(one), name)
		if len(one) == 2 {
			sizes(t, one[0], map[string]float64{"length_mm": 80})
		}
	}
}

// TestRejoin: halves of a bar on both sides of a plate are one bar; the same
// halves with air between stay two.
func TestRejoin(t *testing.T) {
	pieces := []synthetic.Piece{
		{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 80}},
		{Name: "plate", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(50, 40), ThicknessMM: 5}},
	}
	m, p, got := cutUp(t, pieces, 3, through(5.5, 0, 4))
	require.Equal(t, []string{"bar", "bar", "plate"}, []string{got[0].Element.Kind, got[1].Element.Kind, got[2].Element.Kind})
	opt := primitive.DefaultOptions()
	assert.Len(t, rejoin(m, p, []Piece{got[0], got[1]}, opt), 2)
	one := rejoin(m, p, got, opt)
	require.Len(t, one, 2)
	require.Equal(t, "bar", one[0].Element.Kind)
	l, ok := one[0].Element.Dim("length_mm")
	require.True(t, ok)
	assert.InDelta(t, 80, l, 0.05)
}

// TestRejoinStub: of a bar that passes through a post, so little shows beyond it that
// it is a disc nobody knows the thickness of: it is the bar's end all the same.
func TestRejoinStub(t *testing.T) {
	pieces := []synthetic.Piece{
		{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 60}},
		{Name: "plate", Pose: synthetic.Upright(0, 0, 25), Shape: synthetic.Plate{Outline: synthetic.Rectangle(40, 30), ThicknessMM: 5}},
	}
	m, p, got := cutUp(t, pieces, 3, func(q r3.Vec) int {
		switch on := math.Hypot(q.X, q.Y) < 5.5; {
		case on && q.Z < 21:
			return 0
		case on && q.Z > 29.2:
			return 1
		case !on && math.Abs(q.Z-25) < 3:
			return 2
		}
		return -1
	})
	require.Equal(t, []string{"bar", "disc", "plate"}, []string{got[0].Element.Kind, got[1].Element.Kind, got[2].Element.Kind})
	opt := primitive.DefaultOptions()
	assert.Len(t, rejoin(m, p, []Piece{got[0], got[1]}, opt), 2, "with air between")
	one := rejoin(m, p, got, opt)
	require.Len(t, one, 2)
	require.Equal(t, "bar", one[0].Element.Kind)
	sizes(t, one[0], map[string]float64{"outside_diameter_mm": 10, "length_mm": 60})
}

// TestRejoinCone: the end of a cone on the other side of a plate is of the cone.
func TestRejoinCone(t *testing.T) {
	pieces := []synthetic.Piece{
		{Name: "cone", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Cone{LargeDiameterMM: 24, SmallDiameterMM: 12, HeightMM: 40}},
		{Name: "plate", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(60, 50), ThicknessMM: 4}},
	}
	low, high, wide := 0., 0., 0.
	cutUp(t, pieces[:1], 1, func(q r3.Vec) int {
		if low, high = min(low, q.Z), max(high, q.Z); q.Z < low+0.1 {
			wide = math.Hypot(q.X, q.Y)
		}
		return 0
	})
	end := high - 3 // the end that shows no more than itself
	if wide > 10 {
		end = low + 3
	}
	pieces[1].Pose = synthetic.Upright(0, 0, end)
	m, p, got := cutUp(t, pieces, 3, func(q r3.Vec) int {
		switch on, past := math.Hypot(q.X, q.Y) < 13, (q.Z-end)*math.Copysign(1, end); {
		case on && past > 2.6:
			return 1
		case on && past < -2.6:
			return 0
		case !on:
			return 2
		}
		return -1
	})
	require.Equal(t, []string{"cone", "disc", "plate"}, kinds(got))
	got[1].Element.Hidden = append(got[1].Element.Hidden, "thickness_mm")
	one := rejoin(m, p, got, primitive.DefaultOptions())
	require.Equal(t, []string{"cone", "plate"}, kinds(one))
	sizes(t, one[0], map[string]float64{"large_diameter_mm": 24, "small_diameter_mm": 12, "height_mm": 40})
}

// TestRejoinBent: a bent rod whose leg a post crosses comes as a bend and a bar; it is
// one arc again, and stays two where there is no post.
func TestRejoinBent(t *testing.T) {
	legs := []synthetic.Bend{{LengthMM: 60}, {RadiusMM: 20, AngleDeg: 90}, {LengthMM: 20}}
	pieces := []synthetic.Piece{
		{Name: "bend", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bent{SectionDiameterMM: 6, Legs: legs}},
		{Name: "post", Pose: synthetic.Along(r3.Vec{Z: 30}, r3.Vec{Y: 1}), Shape: synthetic.Bar{OutsideDiameterMM: 16, LengthMM: 60}},
	}
	m, p, got := cutUp(t, pieces, 3, func(q r3.Vec) int {
		post := math.Hypot(q.X, q.Z-30) < 8.2
		switch on := math.Hypot(q.X, q.Y) < 3.3; {
		case post && math.Abs(q.Y) > 4:
			return 2
		case on && !post && q.Z < 21.3:
			return 1
		case !post && q.Z > 38.7:
			return 0
		}
		return -1
	})
	require.Equal(t, []string{"arc", "bar", "bar"}, kinds(got))
	opt := primitive.DefaultOptions()
	assert.Len(t, kinds(rejoin(m, p, slices.Clone(got[:2]), opt)), 2)
	one := rejoin(m, p, got, opt)
	require.Equal(t, []string{"arc", "bar"}, kinds(one))
	d, _ := one[0].Element.Dim("centreline_diameter_mm")
	assert.InDelta(t, 40, d, 0.1)
	assert.Len(t, one[0].Element.Segments, 3)

	m, p, got = cutUp(t, pieces[:1], 2, func(q r3.Vec) int { // a bead round the rod
		switch {
		case q.Z < 44:
			return 1
		case q.Z > 44.8:
			return 0
		}
		return -1
	})
	require.Equal(t, []string{"arc", "bar"}, kinds(got))
	assert.Equal(t, []string{"arc"}, kinds(rejoin(m, p, got, opt)))
}

// TestRejoinCoil: a post hides a part of every turn of a coil, which comes as two
// bends and a longer coil or as three bends; it is one coil again. Where the first
// turn is sawn off a millimetre before the second goes on, they stay two.
func TestRejoinCoil(t *testing.T) {
	const pitch, radius, turns = 9.0, 15.0, 2.7
	coil := func(turns, at float64) synthetic.Piece {
		p := synthetic.Upright(0, 0, pitch*(at+turns/2))
		sin, cos := math.Sincos(2 * math.Pi * at)
		p.Ref = r3.Vec{X: cos, Y: sin}
		return synthetic.Piece{Name: "coil", Pose: p, Shape: synthetic.Coil{CentrelineDiameterMM: 2 * radius, SectionDiameterMM: 4, PitchMM: pitch, Turns: turns}}
	}
	post := synthetic.Piece{Name: "post", Pose: synthetic.Upright(radius, 0, pitch*turns/2), Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 60}}
	// the turn that a point lies on, counted from where the coil starts
	turn := func(q r3.Vec) float64 {
		return math.Round(q.Z/pitch-math.Atan2(q.Y, q.X)/(2*math.Pi)) + math.Atan2(q.Y, q.X)/(2*math.Pi)
	}
	m, p, got := cutUp(t, []synthetic.Piece{coil(turns, 0.1), post}, 4, func(q r3.Vec) int {
		on := math.Hypot(q.X-radius, q.Y) < 6
		switch at := turn(q); {
		case on && math.Abs(q.Z-pitch*turns/2) > 20:
			return 3
		case on:
			return -1
		default:
			return min(int(at), 2)
		}
	})
	opt := primitive.DefaultOptions()
	require.Equal(t, []string{"arc", "arc", "arc", "bar"}, kinds(got))
	one := rejoin(m, p, got, opt)
	require.Equal(t, []string{"coil", "bar"}, kinds(one))
	l, _ := one[0].Element.Dim("pitch_mm")
	assert.InDelta(t, pitch, l, 0.02)
	n, ok := one[0].Element.Dim("turns")
	require.True(t, ok)
	assert.InDelta(t, turns, n, 0.01)

	m, p, got = cutUp(t, []synthetic.Piece{coil(2.4, 0)}, 2, func(q r3.Vec) int { return min(int(turn(q)/1.2), 1) })
	require.Equal(t, []string{"coil", "coil"}, kinds(got))
	assert.Len(t, rejoin(m, p, got, opt), 1, "parts that touch, without an end")

	m, p, got = cutUp(t, []synthetic.Piece{coil(1.2, 0), coil(1.2, 1.22)}, 2, func(q r3.Vec) int {
		if turn(q) > 1.21 {
			return 1
		}
		return 0
	})
	require.Equal(t, []string{"coil", "coil"}, kinds(got))
	assert.Len(t, rejoin(m, p, got, opt), 2)

	m, p, got = cutUp(t, []synthetic.Piece{coil(2.4, 0)}, 2, func(q r3.Vec) int {
		switch n := turn(q); {
		case n < 1.25:
			return 0
		case n > 2.1:
			return 1
		}
		return -1
	})
	require.Equal(t, []string{"coil", "arc"}, kinds(got))
	assert.Len(t, rejoin(m, p, got, opt), 1, "on the helix of the other, more than half of its length off")
}

// TestCloseRings: a hoop of which a post hides a part is a ring, also where nobody
// made the post out but there is metal; with nothing there it is an arc.
func TestCloseRings(t *testing.T) {
	pieces := []synthetic.Piece{
		{Name: "hoop", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.RoundRing{CentrelineDiameterMM: 60, SectionDiameterMM: 6}},
		{Name: "post", Pose: synthetic.Upright(30, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 44, LengthMM: 60}},
	}
	_, p, got := cutUp(t, pieces, 2, func(q r3.Vec) int {
		switch d := math.Hypot(q.X-30, q.Y); {
		case d > 23 && math.Abs(q.Z) < 4:
			return 0
		case d < 23 && math.Abs(q.Z) > 4:
			return 1
		}
		return -1
	})
	require.Equal(t, "bar", got[1].Element.Kind)
	air := func(r3.Vec) bool { return false }
	metal := func(q r3.Vec) bool { return within(p, r3.Sub(q, p.OriginMM)) }
	for _, c := range []struct {
		pieces []Piece
		metal  func(r3.Vec) bool
		kind   string
	}{{got[:1], air, "arc"}, {got, air, "ring"}, {got[:1], metal, "ring"}} {
		list := slices.Clone(c.pieces)
		require.Equal(t, "arc", list[0].Element.Kind)
		closeRings(list, primitive.DefaultOptions(), c.metal)
		require.Equal(t, c.kind, list[0].Element.Kind)
		if c.kind == "ring" {
			d, _ := list[0].Element.Dim("centreline_diameter_mm")
			assert.InDelta(t, 60, d, 0.05)
		}
	}
}

// TestRejoinSides: the inner and the outer side of a bend that came apart, which
// both show a half of its sweep, are one arc though nothing crosses it; two bends
// that butt are two.
func TestRejoinSides(t *testing.T) {
	flat := synthetic.FlatArc{OutsideDiameterMM: 60, InsideDiameterMM: 44, ThicknessMM: 5, SweepDeg: 150}
	for name, c := range map[string]struct {
		overlap float64 // of the two parts, rad
		want    int
	}{"sides": {0.6, 1}, "butting": {0, 2}} {
		m, p, got := cutUp(t, []synthetic.Piece{{Name: "arc", Pose: synthetic.Upright(0, 0, 0), Shape: flat}}, 2, func(q r3.Vec) int {
			at := math.Atan2(q.Y, q.X)
			if at < -1 {
				at += 2 * math.Pi
			}
			at -= 75 * math.Pi / 180
			if math.Abs(at) < c.overlap/2 {
				at = q.Z
			}
			if at > 0 {
				return 1
			}
			return 0
		})
		require.Equal(t, []string{"arc", "arc"}, kinds(got), name)
		assert.Len(t, rejoin(m, p, got, primitive.DefaultOptions()), c.want, name)
	}
}

// TestRejoinStrip: a strip of a tube's side with the bore behind it is a rolled plate by
// itself, and the rest of the side a bar: both are one tube.
func TestRejoinStrip(t *testing.T) {
	m, p, got := cutUp(t, []synthetic.Piece{{Name: "tube", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 14, LengthMM: 40}}}, 2, func(q r3.Vec) int {
		switch r := math.Hypot(q.X, q.Y); {
		case q.X < 3 && r > 9.5:
			return 0
		case q.X > 4 && q.Y > 0.5 && math.Abs(q.Z) < 19 && (r > 9.5 || r < 7.5):
			return 1
		}
		return -1
	})
	require.Equal(t, []string{"bar", "rolled_plate"}, kinds(got))
	one := rejoin(m, p, got, primitive.DefaultOptions())
	require.Equal(t, []string{"tube"}, kinds(one))
	sizes(t, one[0], map[string]float64{"outside_diameter_mm": 20, "inside_diameter_mm": 14, "length_mm": 40})
}

// TestRejoinRolled: short lengths of a rolled plate on both sides of what crosses it are
// of the plate, whatever they were taken for; with air between they are not, nor is a
// plate that lies across.
func TestRejoinRolled(t *testing.T) {
	rolled := synthetic.RolledPlate{InsideDiameterMM: 78, ThicknessMM: 3, WidthMM: 26, SweepDeg: 90}
	turn := func(q r3.Vec) float64 { return math.Atan2(q.Y, q.X) * 180 / math.Pi }
	scene := []synthetic.Piece{{Name: "rolled", Pose: synthetic.Upright(0, 0, 0), Shape: rolled}}
	low := 360.
	cutUp(t, scene, 1, func(q r3.Vec) int { low = min(low, turn(q)); return 0 })
	at := (low + 66) * math.Pi / 180 // where a rod runs along the plate's middle
	through := synthetic.Along(r3.Vec{X: 40.5 * math.Cos(at), Y: 40.5 * math.Sin(at)}, r3.Vec{Z: 1})
	scene = append(scene,
		synthetic.Piece{Name: "rod", Pose: through, Shape: synthetic.Bar{OutsideDiameterMM: 8, LengthMM: 60}},
		synthetic.Piece{Name: "plate", Pose: synthetic.Upright(0, 0, 40), Shape: synthetic.Plate{Outline: synthetic.Rectangle(50, 40), ThicknessMM: 3}})
	m, p, got := cutUp(t, scene, 4, func(q r3.Vec) int {
		on := math.Hypot(q.X-through.OriginMM.X, q.Y-through.OriginMM.Y) < 4.2
		switch a := turn(q) - low; {
		case q.Z > 35 && !on:
			return 3
		case on && math.Abs(q.Z) > 14:
			return 2
		case math.Abs(q.Z) < 14 && a < 59:
			return 0
		case math.Abs(q.Z) < 14 && a > 73:
			return 1
		}
		return -1
	})
	require.Equal(t, "rolled_plate", got[0].Element.Kind)
	require.Equal(t, "bar", got[2].Element.Kind)
	opt := primitive.DefaultOptions()
	got[1].Element.Kind = "freeform"
	x, ok := wholeRolled(m, p, got, 1, 0, opt)
	require.True(t, ok)
	sizes(t, x, map[string]float64{"inside_diameter_mm": 78, "thickness_mm": 3, "width_mm": 26, "sweep_deg": 90})
	_, ok = wholeRolled(m, p, got, 0, 3, opt)
	assert.False(t, ok, "not on its faces")

	rolled.SweepDeg = 40
	two := []synthetic.Piece{{Name: "a", Pose: synthetic.Upright(0, 0, 0), Shape: rolled},
		{Name: "b", Pose: synthetic.Pose{Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1, Y: 1}}, Shape: rolled}}
	m, p, got = cutUp(t, two, 2, func(q r3.Vec) int {
		if turn(q) > 42.5 {
			return 1
		}
		return 0
	})
	require.Equal(t, []string{"rolled_plate", "rolled_plate"}, kinds(got))
	_, ok = wholeRolled(m, p, got, 0, 1, opt)
	assert.False(t, ok, "air between")
}

// TestTurnGap: where two parts of a turn meet, that is their gap, not the way round.
func TestTurnGap(t *testing.T) {
	_, _, got := cutUp(t, []synthetic.Piece{{Name: "arc", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Arc{CentrelineDiameterMM: 60, SectionDiameterMM: 6, SweepDeg: 120}}}, 3, func(q r3.Vec) int {
		switch turn := math.Atan2(q.Y, q.X) * 180 / math.Pi; {
		case turn < 50:
			return 0
		case turn < 64:
			return 1
		}
		return 2
	})
	require.Equal(t, "arc", got[0].Element.Kind)
	meet := turnGap(got[0].Element, got[0].Patch, got[1].Patch)
	require.NotEmpty(t, meet)
	assert.Less(t, r3.Norm(r3.Sub(meet[0], meet[len(meet)-1])), 2.)
	across := turnGap(got[0].Element, got[0].Patch, got[2].Patch)
	require.NotEmpty(t, across)
	assert.InDelta(t, 7, r3.Norm(r3.Sub(across[0], across[len(across)-1])), 1)
}

// TestHideBores: a disc with a rod through its middle is a ring; off its middle, or up to
// its face, it says nothing of a bore.
func TestHideBores(t *testing.T) {
	disc := synthetic.Piece{Name: "disc", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Disc{OutsideDiameterMM: 40, ThicknessMM: 4}}
	for _, c := range []struct {
		x, low, high float64
		want         string
	}{{0, -20, 20, "ring"}, {9, -20, 20, "disc"}, {0, 2.2, 40, "disc"}} {
		rod := synthetic.Piece{Name: "rod", Pose: synthetic.Upright(c.x, 0, (c.low+c.high)/2), Shape: synthetic.Bar{OutsideDiameterMM: 8, LengthMM: c.high - c.low}}
		_, _, got := cutUp(t, []synthetic.Piece{disc, rod}, 2, func(q r3.Vec) int {
			switch r := math.Hypot(q.X-c.x, q.Y); {
			case r < 4.3 && q.Z > c.low-0.5 && math.Abs(q.Z) > 2.1:
				return 1
			case r > 5:
				return 0
			}
			return -1
		})
		got[0].Element.Kind = "disc" // in cutting it up the rod's hole came off
		hideBores(got)
		assert.Equal(t, c.want, got[0].Element.Kind, "at %v from %v", c.x, c.low)
	}
}

// TestFilletTurn: a rod that is hollow along its length by less than its noise is no
// fillet; the inside corner round its foot is.
func TestFilletTurn(t *testing.T) {
	around := func(h fit.Torus, low, high float64) (*surface.Field, surface.Surface) { // heights along the axis
		f, s := &surface.Field{SpacingMM: 0.5, NoiseMM: 0.02}, surface.Surface{Ideal: h}
		for k := range 400 {
			z := low + (high-low)*float64(k%20)/19
			rho := h.RadiusMM - math.Sqrt(h.SectionRadiusMM*h.SectionRadiusMM-z*z)
			sin, cos := math.Sincos(float64(k/20) * math.Pi / 10)
			s.Points = append(s.Points, int32(k))
			f.P = append(f.P, r3.Vec{X: rho * cos, Y: rho * sin, Z: z})
		}
		return f, s
	}
	assert.False(t, blend(around(fit.Torus{Axis: r3.Vec{Z: 1}, RadiusMM: 1185, SectionRadiusMM: 1181.7}, -7, 7)))
	assert.True(t, blend(around(fit.Torus{Axis: r3.Vec{Z: 1}, RadiusMM: 5, SectionRadiusMM: 1.7}, 0, 1.6)))
}
