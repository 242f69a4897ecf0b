package assembly

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
	"pointup/segment/fit"
	"pointup/segment/primitive"
	"pointup/segment/surface"
)

// faced is a field with planes that look along ±z and ±x, and sides of points on
// them.
type faced struct {
	f     surface.Field
	found []surface.Surface
}

// plane adds a plane and returns its number.
func (t *faced) plane(at, normal r3.Vec) int {
	t.found = append(t.found, surface.Surface{Ideal: fit.Plane{Point: at, Axis: normal}, Convex: true})
	return len(t.found) - 1
}

// side adds points on a plane, a millimetre apart from low to high of a box that is
// flat in one direction.
func (t *faced) side(plane int, low, high r3.Vec) side {
	s := side{surface: plane}
	for x := low.X; x <= high.X; x++ {
		for y := low.Y; y <= high.Y; y++ {
			for z := low.Z; z <= high.Z; z++ {
				s.points = append(s.points, int32(len(t.f.P)))
				t.f.P = append(t.f.P, r3.Vec{X: x, Y: y, Z: z})
			}
		}
	}
	return s
}

// TestSeveredFar: two parts of a sheet whose gap is as wide as either are one where
// a side edge of both lies in one plane too.
func TestSeveredFar(t *testing.T) {
	s := faced{f: surface.Field{SpacingMM: 1}}
	top, under, edge := s.plane(r3.Vec{Z: 3}, r3.Vec{Z: 1}), s.plane(r3.Vec{}, r3.Vec{Z: -1}), s.plane(r3.Vec{}, r3.Vec{Y: -1})
	part := func(from float64) []side {
		to := from + 12
		return []side{s.side(top, r3.Vec{X: from, Z: 3}, r3.Vec{X: to, Y: 20, Z: 3}), s.side(under, r3.Vec{X: from}, r3.Vec{X: to, Y: 20}),
			s.side(edge, r3.Vec{X: from}, r3.Vec{X: to, Z: 3})}
	}
	a, b := part(0), part(24)
	metal := func(r3.Vec) bool { return true }
	assert.True(t, inOnePiece(&s.f, s.found, a, b, 598, metal))
	assert.False(t, inOnePiece(&s.f, s.found, a[:2], b[:2], 546, metal), "faces alone")
	assert.False(t, inOnePiece(&s.f, s.found, a, b, 598, func(r3.Vec) bool { return false }), "air between")
}

// TestOverlaid: the inside of a flange that the web parts from the rest of it is of
// the piece that has the flange's outside over it.
func TestOverlaid(t *testing.T) {
	s := faced{f: surface.Field{SpacingMM: 1}}
	inside, outside := s.plane(r3.Vec{Z: 3}, r3.Vec{Z: 1}), s.plane(r3.Vec{}, r3.Vec{Z: -1})
	left := s.side(inside, r3.Vec{Z: 3}, r3.Vec{X: 8, Y: 40, Z: 3})
	right := []side{s.side(inside, r3.Vec{X: 12, Z: 3}, r3.Vec{X: 20, Y: 40, Z: 3})}
	whole := []side{left, s.side(outside, r3.Vec{}, r3.Vec{X: 20, Y: 40})}
	assert.True(t, overlaid(&s.f, s.found, whole, right, 369))
	assert.False(t, overlaid(&s.f, s.found, whole, right, 900), "little of the part is flat")
	half := []side{left, s.side(outside, r3.Vec{}, r3.Vec{X: 10, Y: 40})}
	assert.False(t, overlaid(&s.f, s.found, half, right, 369), "nothing under it")
}

// TestBacked: a bare face is of the piece that has the nearest face behind it; one with
// edges of its own is not, nor one with air or nothing behind.
func TestBacked(t *testing.T) {
	all, none := func(r3.Vec) bool { return true }, func(r3.Vec) bool { return false }
	for _, c := range []struct {
		name          string
		points        int // of the part that the face is of
		fromX, underZ float64
		metal         func(r3.Vec) bool
		tied          bool
	}{
		{"flange", 369, 0, 0, all, true},
		{"with edges", 500, 0, 0, all, false},
		{"air behind", 369, 0, 0, none, false},
		{"nothing behind", 369, 14, 0, all, false},
		{"deep", 369, 0, -20, all, false},
	} {
		s := faced{f: surface.Field{SpacingMM: 1}}
		inside, outside, other := s.plane(r3.Vec{Z: 3}, r3.Vec{Z: 1}), s.plane(r3.Vec{Z: c.underZ}, r3.Vec{Z: -1}), s.plane(r3.Vec{Z: 30}, r3.Vec{Z: 1})
		parts := [][]side{
			{s.side(inside, r3.Vec{Z: 3}, r3.Vec{X: 8, Y: 40, Z: 3})},
			{s.side(outside, r3.Vec{X: c.fromX, Z: c.underZ}, r3.Vec{X: c.fromX + 20, Y: 40, Z: c.underZ}), s.side(other, r3.Vec{Z: 30}, r3.Vec{X: 20, Y: 40, Z: 30})},
		}
		got := backed(&s.f, s.found, parts, []int32{0, 1}, []int{c.points, 1722}, []int32{0, 1}, c.metal)
		assert.Equal(t, c.tied, got[0] == got[1], c.name)
	}
}

// TestBackedByParts: the inside of a channel's web has the outside behind it in two
// parts, each of a flange, where a weld runs along the middle: all are one. A part that
// hardly reaches behind it is not.
func TestBackedByParts(t *testing.T) {
	metal := func(r3.Vec) bool { return true }
	s := faced{f: surface.Field{SpacingMM: 1}}
	inside, outside := s.plane(r3.Vec{Z: 3}, r3.Vec{Z: 1}), s.plane(r3.Vec{}, r3.Vec{Z: -1})
	parts := [][]side{
		{s.side(inside, r3.Vec{X: 2, Z: 3}, r3.Vec{X: 22, Y: 40, Z: 3})},
		{s.side(outside, r3.Vec{}, r3.Vec{X: 9, Y: 40})},
		{s.side(outside, r3.Vec{X: 15}, r3.Vec{X: 24, Y: 40})},
		{s.side(outside, r3.Vec{X: 26}, r3.Vec{X: 40, Y: 40})},
	}
	total := []int{len(parts[0][0].points), 2000, 2000, 2000}
	assert.Equal(t, []int32{0, 0, 0, 3}, backed(&s.f, s.found, parts, []int32{0, 1, 2, 3}, total, []int32{0, 1, 2, 3}, metal))
	assert.Equal(t, []int32{0, 1, 3}, backed(&s.f, s.found, [][]side{parts[0], parts[1], parts[3]}, []int32{0, 1, 2}, total, []int32{0, 1, 3}, metal), "one half alone")

	drawn := s.plane(r3.Vec{Z: 2.9}, r3.Unit(r3.Vec{X: 0.03, Z: 1}))
	parts[0] = append(parts[0], s.side(drawn, r3.Vec{X: 2, Y: 26, Z: 2.9}, r3.Vec{X: 12, Y: 40, Z: 2.9}))
	total[0] += len(parts[0][1].points)
	assert.Equal(t, []int32{0, 0, 0, 3}, backed(&s.f, s.found, parts, []int32{0, 1, 2, 3}, total, []int32{0, 1, 2, 3}, metal), "drawn by weld")
}

// TestBackedWalls: two walls of a hollow section, each with its outside behind it, are of
// it; a plate's faces have each other behind.
func TestBackedWalls(t *testing.T) {
	all := func(r3.Vec) bool { return true }
	s := faced{f: surface.Field{SpacingMM: 1}}
	low, high := r3.Vec{}, r3.Vec{X: 20, Y: 40}
	up := func(z float64) side {
		return s.side(s.plane(r3.Vec{Z: z}, r3.Vec{Z: 1}), r3.Vec{X: low.X, Y: low.Y, Z: z}, r3.Vec{X: high.X, Y: high.Y, Z: z})
	}
	down := func(z float64) side {
		return s.side(s.plane(r3.Vec{Z: z}, r3.Vec{Z: -1}), r3.Vec{X: low.X, Y: low.Y, Z: z}, r3.Vec{X: high.X, Y: high.Y, Z: z})
	}
	inner, outer := []side{up(2), down(18)}, []side{down(0), up(20)}
	n := len(inner[0].points) + len(inner[1].points)
	got := backed(&s.f, s.found, [][]side{inner, outer}, []int32{0, 1}, []int{n, n}, []int32{0, 1}, all)
	assert.Equal(t, got[0], got[1])

	plate, other := []side{up(4), down(2)}, []side{down(0), up(20)}
	got = backed(&s.f, s.found, [][]side{plate, other}, []int32{0, 1}, []int{n, 2 * n}, []int32{0, 1}, all)
	assert.NotEqual(t, got[0], got[1])
}

// TestRejoinFlat: parts of a plate on both sides of a post are one plate; with air
// between they stay two.
func TestRejoinFlat(t *testing.T) {
	pieces := []synthetic.Piece{
		{Name: "strip", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(64, 22), ThicknessMM: 4}},
		{Name: "post", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 26, LengthMM: 50}},
	}
	m, p, got := cutUp(t, pieces, 3, func(q r3.Vec) int {
		post := math.Hypot(q.X, q.Y) < 13.3
		switch {
		case post && math.Abs(q.Z) > 4:
			return 2
		case !post && q.X < 0:
			return 0
		case !post:
			return 1
		}
		return -1
	})
	require.Equal(t, []string{"plate", "plate", "bar"}, kinds(got))
	opt := primitive.DefaultOptions()
	assert.Len(t, rejoin(m, p, []Piece{got[0], got[1]}, opt), 2)
	one := rejoin(m, p, got, opt)
	require.Equal(t, []string{"plate", "bar"}, kinds(one))
	sizes(t, one[0], map[string]float64{"length_mm": 64, "width_mm": 22, "thickness_mm": 4})
}

// TestRejoinFlatOneFace: a part of a plate that lies on something and so shows one face
// is of the plate beyond the block; so is one past a weld no wider than both fillets.
func TestRejoinFlatOneFace(t *testing.T) {
	for _, c := range []struct {
		name   string
		gapMM  float64
		block  bool
		pieces int
	}{
		{"block between", 26, true, 2},
		{"weld between", 2.4, false, 1},
		{"hidden between", 8, false, 2},
	} {
		pieces := []synthetic.Piece{{Name: "strip", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(64, 22), ThicknessMM: 4}}}
		groups := 2
		if c.block {
			pieces = append(pieces, synthetic.Piece{Name: "block", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(c.gapMM, 40), ThicknessMM: 50}})
			groups = 3
		}
		m, p, got := cutUp(t, pieces, groups, func(q r3.Vec) int {
			block := c.block && math.Abs(q.X) < c.gapMM/2+0.3
			switch {
			case block && math.Abs(q.Z) > 4:
				return 2
			case !block && q.X < -c.gapMM/2:
				return 0
			case !block && q.X > c.gapMM/2 && q.Z > -1.9:
				return 1
			}
			return -1
		})
		require.Equal(t, []string{"plate", "plate"}, kinds(got[:2]), c.name)
		require.Contains(t, got[1].Element.Hidden, "thickness_mm", c.name)
		one := rejoin(m, p, got, primitive.DefaultOptions())
		require.Len(t, one, c.pieces, c.name)
		if one[0].Patch != got[0].Patch {
			sizes(t, one[0], map[string]float64{"length_mm": 64, "width_mm": 22, "thickness_mm": 4})
		}
	}
}

// TestFillsNoMore: the outline round two parts with hidden edges has hardly more inside
// than both have; round the bars of a corner of a frame it has.
func TestFillsNoMore(t *testing.T) {
	outline := func(hidden bool, q ...[2]float64) primitive.Element {
		e := primitive.Element{Kind: "plate"}
		for _, at := range q {
			e.Outline = append(e.Outline, primitive.Step{To: at})
		}
		if hidden {
			e.Hidden = []string{"length_mm"}
		}
		return e
	}
	left, right := [][2]float64{{0, 0}, {24, 0}, {20, 20}, {0, 20}}, [][2]float64{{26, 0}, {50, 0}, {50, 20}, {22, 20}}
	whole := outline(false, [2]float64{0, 0}, [2]float64{50, 0}, [2]float64{50, 20}, [2]float64{0, 20})
	assert.True(t, fillsNoMore(whole, outline(true, left...), outline(true, right...)))
	assert.False(t, fillsNoMore(whole, outline(false, left...), outline(true, right...)), "one shows all its edges")
	down, across := [][2]float64{{0, 0}, {10, 0}, {10, 40}, {0, 40}}, [][2]float64{{10, 0}, {40, 0}, {40, 10}, {10, 10}}
	gap := outline(false, [2]float64{0, 0}, [2]float64{60, 0}, [2]float64{60, 20}, [2]float64{0, 20})
	assert.True(t, fillsNoMore(gap, outline(true, left...), outline(true, right...)), "a fifth of it is hidden between")
	corner := outline(false, [2]float64{0, 0}, [2]float64{40, 0}, [2]float64{40, 10}, [2]float64{10, 40}, [2]float64{0, 40})
	assert.False(t, fillsNoMore(corner, outline(true, down...), outline(true, across...)))
}

// TestSections: the web and flange of a tee that came as two plates are one profile;
// two plates of different length that stand so stay two.
func TestSections(t *testing.T) {
	opt := primitive.DefaultOptions()
	tee := []synthetic.Piece{{Name: "tee", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Profile{Section: synthetic.Tee(20, 22, 3, 3), LengthMM: 60}}}
	under := 19 - (60*20.5+57*9.5)/117 // of the flange, from the middle of the section
	m, p, got := cutUp(t, tee, 2, func(q r3.Vec) int {
		if q.Y < under-0.3 {
			return 1
		}
		return 0
	})
	require.Equal(t, []string{"plate", "plate"}, kinds(got))
	got[0].Weld, got[1].Weld = []uint32{1}, []uint32{0}
	one := sections(m, p, got, opt)
	require.Equal(t, []string{"profile"}, kinds(one))
	sizes(t, one[0], map[string]float64{"length_mm": 60})
	assert.Equal(t, []uint32{0, 1}, one[0].Weld)

	channel := []synthetic.Piece{{Name: "channel", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Profile{Section: synthetic.Channel(24, 12, 2, 2), LengthMM: 60}}}
	left, high := 0., 0.
	cutUp(t, channel, 1, func(q r3.Vec) int { left, high = min(left, q.X), max(high, q.Y); return 0 })
	m, p, got = cutUp(t, channel, 3, func(q r3.Vec) int {
		switch {
		case q.X < left+1 || q.X < left+2.1 && math.Abs(q.Y) < high-2.3:
			return 0
		case q.X > left+2.3 && q.Y > high-2.2:
			return 1
		case q.X > left+2.3 && q.Y < 2.2-high:
			return 2
		}
		return -1
	})
	require.Equal(t, []string{"plate", "plate", "plate"}, kinds(got))
	one = sections(m, p, got, opt)
	require.Equal(t, []string{"profile"}, kinds(one))
	assert.Len(t, one[0].Element.Outline, 8)

	m, p, got = cutUp(t, channel, 3, func(q r3.Vec) int { // a channel's legs and the outside of its web
		switch {
		case q.X < left+0.05 && math.Abs(q.Y) < high-1:
			return 0
		case q.X > left+0.6 && math.Abs(q.Y) > high-2.2:
			if q.Y > 0 {
				return 1
			}
			return 2
		}
		return -1
	})
	require.Equal(t, []string{"freeform", "plate", "plate"}, kinds(got))
	assert.Len(t, sections(m, p, got[:2], opt), 2)
	one = sections(m, p, got, opt)
	require.Equal(t, []string{"profile"}, kinds(one))
	sizes(t, one[0], map[string]float64{"length_mm": 60})

	plates := []synthetic.Piece{
		{Name: "lying", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(60, 20), ThicknessMM: 3}},
		{Name: "standing", Pose: synthetic.Along(r3.Vec{Z: 11.5}, r3.Vec{Y: 1}), Shape: synthetic.Plate{Outline: synthetic.Rectangle(45, 20), ThicknessMM: 3}},
	}
	m, p, got = cutUp(t, plates, 2, func(q r3.Vec) int {
		switch {
		case q.Z > 2:
			return 1
		case math.Abs(q.Y) > 2 || q.Z < -1:
			return 0
		}
		return -1
	})
	require.Equal(t, []string{"plate", "plate"}, kinds(got))
	assert.Len(t, sections(m, p, got, opt), 2)
}

// TestSectionOfHiddenEnd: where weld hides a quarter of a tee's web, down from one end, it
// is a tee; a plate that ends there, flush with a longer one at the other end, is a plate.
func TestSectionOfHiddenEnd(t *testing.T) {
	opt := primitive.DefaultOptions()
	tee := []synthetic.Piece{{Name: "tee", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Profile{Section: synthetic.Tee(20, 22, 3, 3), LengthMM: 60}}}
	under := 19 - (60*20.5+57*9.5)/117 // of the flange, from the middle of the section
	m, p, got := cutUp(t, tee, 2, func(q r3.Vec) int {
		switch {
		case q.Y >= under-0.3:
			return 0
		case q.Z < 15:
			return 1
		}
		return -1
	})
	require.Equal(t, []string{"plate", "plate"}, kinds(got))
	one := sections(m, p, got, opt)
	require.Equal(t, []string{"profile"}, kinds(one))
	sizes(t, one[0], map[string]float64{"length_mm": 60})

	plates := []synthetic.Piece{
		{Name: "lying", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(60, 20), ThicknessMM: 3}},
		{Name: "standing", Pose: synthetic.Along(r3.Vec{X: -7.5, Z: 11.5}, r3.Vec{Y: 1}), Shape: synthetic.Plate{Outline: synthetic.Rectangle(45, 20), ThicknessMM: 3}},
	}
	m, p, got = cutUp(t, plates, 2, func(q r3.Vec) int {
		switch {
		case q.Z > 2:
			return 1
		case math.Abs(q.Y) > 2 || q.Z < -1:
			return 0
		}
		return -1
	})
	require.Equal(t, []string{"plate", "plate"}, kinds(got))
	assert.Len(t, sections(m, p, got, opt), 2)
}

// TestSectionOfBareFlange: of a tee, a flange that shows no end, and by itself is nothing
// known, goes with its web.
func TestSectionOfBareFlange(t *testing.T) {
	tee := []synthetic.Piece{{Name: "tee", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Profile{Section: synthetic.Tee(20, 22, 3, 3), LengthMM: 60}}}
	under := 19 - (60*20.5+57*9.5)/117 // of the flange, from the middle of the section
	m, p, got := cutUp(t, tee, 2, func(q r3.Vec) int {
		switch {
		case q.Z < -26:
			return -1
		case q.Y < under-0.3:
			return 1
		case q.Z > 26:
			return -1
		case q.Y > under+2.9 || math.Abs(q.X) > 1.8:
			return 0
		}
		return -1
	})
	require.Equal(t, []string{"freeform", "plate"}, kinds(got))
	require.Equal(t, []string{"profile"}, kinds(sections(m, p, got, primitive.DefaultOptions())))
}

// TestRejoinFlatArc: of a flat arc that a post crosses near its end, what shows beyond looks
// like a plate; it is one arc where the post is there, or weld beside it.
func TestRejoinFlatArc(t *testing.T) {
	at := math.Pi / 6
	pieces := []synthetic.Piece{
		{Name: "arc", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.FlatArc{OutsideDiameterMM: 60, InsideDiameterMM: 44, ThicknessMM: 5, SweepDeg: 110}},
		{Name: "post", Pose: synthetic.Upright(26*math.Cos(at), 26*math.Sin(at), 0), Shape: synthetic.Bar{OutsideDiameterMM: 12, LengthMM: 50}},
	}
	m, p, got := cutUp(t, pieces, 3, func(q r3.Vec) int {
		post := math.Hypot(q.X-26*math.Cos(at), q.Y-26*math.Sin(at)) < 6.3
		switch phi := math.Atan2(q.Y, q.X); {
		case post && math.Abs(q.Z) > 4:
			return 2
		case !post && phi > at+0.02:
			return 0
		case !post && phi < at-0.02 && math.Hypot(q.X, q.Y) < 28:
			return 1
		}
		return -1
	})
	require.Equal(t, []string{"arc", "plate", "bar"}, kinds(got))
	opt := primitive.DefaultOptions()
	assert.Equal(t, 2, len(rejoin(m, p, []Piece{got[0], got[1]}, opt)))
	one := rejoin(m, p, got, opt)
	require.Equal(t, []string{"arc", "bar"}, kinds(one))
	sizes(t, one[0], map[string]float64{"outside_diameter_mm": 60, "inside_diameter_mm": 44, "thickness_mm": 5})
}

// TestWeldedGap: of eight points in a post, a plate across it fills six; the other two may
// be weld, but not air, and not four of eight.
func TestWeldedGap(t *testing.T) {
	pieces := []synthetic.Piece{
		{Name: "post", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 30}},
		{Name: "plate", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Plate{Outline: synthetic.Rectangle(40, 30), ThicknessMM: 4}},
	}
	_, p, got := cutUp(t, pieces, 2, func(q r3.Vec) int {
		switch post := math.Hypot(q.X, q.Y) < 5.3; {
		case post && math.Abs(q.Z) > 3:
			return 0
		case !post && math.Abs(q.Z) < 2.5:
			return 1
		}
		return -1
	})
	require.Equal(t, "plate", got[1].Element.Kind)
	along := func(x float64, z ...float64) (out []r3.Vec) {
		for _, h := range z {
			out = append(out, r3.Vec{X: x, Z: h})
		}
		return out
	}
	plate := along(0, -2, -1, 0, 1, 2, 3)
	assert.True(t, weldedGap(p, append(slices.Clone(plate), along(0, 5, 6)...), got[1:]))
	assert.False(t, weldedGap(p, append(slices.Clone(plate), along(9, 5, 6)...), got[1:]), "air")
	assert.False(t, weldedGap(p, along(0, 0, 1, 2, 3, 5, 6, 7, 8), got[1:]), "half of it")
	assert.False(t, weldedGap(p, along(0, 5, 6), got[1:]), "nothing crosses")
	assert.False(t, weldedGap(p, nil, got[1:]), "no gap is known")
}
