package primitive

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestStanding: pieces of which what they stand on hides a face, and a fillet a
// millimetre of their walls, keep their kind and all dimensions but the one across;
// the end that nobody sees is hidden.
func TestStanding(t *testing.T) {
	for _, c := range []struct {
		name, kind, hidden string
		shape              synthetic.Shape
		lowMM              float64 // what lies lower is not seen
		want               map[string]float64
	}{
		{"plate on a plate", "plate", "thickness_mm", synthetic.Plate{Outline: synthetic.Rectangle(38.5, 28.4), ThicknessMM: 3.2, Holes: []synthetic.Hole{synthetic.RoundHole(8, 6, 5)}}, -0.6,
			map[string]float64{"length_mm": 38.5, "width_mm": 28.4, "hole_count": 1}},
		{"channel on its end", "profile", "length_mm", synthetic.Profile{Section: synthetic.Channel(20, 12, 2, 2.5), LengthMM: 40}, -19, nil},
		{"rolled plate on its edge", "rolled_plate", "width_mm", synthetic.RolledPlate{InsideDiameterMM: 60, ThicknessMM: 2.5, WidthMM: 20, SweepDeg: 100}, -9,
			map[string]float64{"inside_diameter_mm": 60, "thickness_mm": 2.5, "sweep_deg": 100, "hole_count": 0}},
		{"wheel on its face", "toothed_wheel", "thickness_mm", synthetic.ToothedWheel{ToothCount: 17, TipDiameterMM: 50, RootDiameterMM: 40, ThicknessMM: 5, Teeth: synthetic.StraightTeeth()}, -1.5,
			map[string]float64{"tooth_count": 17, "tip_diameter_mm": 50, "root_diameter_mm": 40}},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := Recognise(cutPatch(t, upright(c.shape), 0.6, func(q r3.Vec) bool { return q.Z < c.lowMM }), DefaultOptions())
			require.Equal(t, c.kind, e.Kind)
			assert.Equal(t, []string{c.hidden}, e.Hidden)
			for key, mm := range c.want {
				got, ok := e.Dim(key)
				require.True(t, ok, key)
				assert.InDelta(t, mm, got, 0.08, key)
			}
			if e.Kind == "profile" {
				for _, end := range e.Ends {
					assert.Equal(t, map[bool]string{true: "hidden", false: "square"}[end.Out.Z < 0], end.Kind)
				}
			}
		})
	}
}

// TestFaceOfAFewFacets: a few facets at the height of a hidden face do not make it one
// that is seen.
func TestFaceOfAFewFacets(t *testing.T) {
	for points, lacks := range map[int]bool{2: true, 40: false} {
		for _, s := range []solid{&toothedWheel{}, &plate{}} {
			seen := append(make([]sighting, 1400), slices.Repeat([]sighting{{S: 1}}, points)...)
			c := candidate{sol: s, fit: association{Seen: seen}}
			assert.Equal(t, lacks, c.lacksSide(), "%T with %d points", s, points)
		}
	}
}

// TestSquareUp: an end of which a small part of the rim is seen is taken for square
// where that part fits it, and gives the length; one that leans keeps its lean.
func TestSquareUp(t *testing.T) {
	opt := scanOptions(0.5)
	opt.NoiseMM = 0.08
	for mitre, seen := range map[float64]float64{0: 0.35, 12: 1.5} { // deg; rad either way
		s := synthetic.Tube{OutsideDiameterMM: 23, InsideDiameterMM: 19, LengthMM: 30, Ends: [2]synthetic.End{1: {MitreDeg: mitre}}}
		e := Recognise(cutScan(t, upright(s), opt, func(q r3.Vec) bool { return q.Z > 8 && math.Abs(math.Atan2(q.Y, q.X)) > seen }), DefaultOptions())
		require.Equal(t, "tube", e.Kind)
		require.Len(t, e.Ends, 2)
		if mitre > 0 {
			assert.Equal(t, "mitre", e.Ends[1].Kind)
			continue
		}
		assert.Equal(t, "square", e.Ends[1].Kind)
		assert.Zero(t, e.Ends[1].AngleDeg)
		l, ok := e.Dim("length_mm")
		require.True(t, ok)
		assert.InDelta(t, 30, l, 0.06)
	}
}

// TestStandingNeedsWalls: a flat face alone, and one with a wall on one side, are
// no plate: they may be a part of anything. What shows a low rim gives no number
// for its thickness.
func TestStandingNeedsWalls(t *testing.T) {
	s := synthetic.Plate{Outline: synthetic.Rectangle(40, 30), ThicknessMM: 6}
	for name, gone := range map[string]func(r3.Vec) bool{
		"face":         func(q r3.Vec) bool { return q.Z < 2.95 },
		"face, a wall": func(q r3.Vec) bool { return q.Z < 2.95 && math.Abs(q.X) < 19.9 || q.X < -19.9 || q.Z < -2 },
		"low rim":      func(q r3.Vec) bool { return q.Z < 1.8 },
	} {
		e := Recognise(cutPatch(t, upright(s), 0.6, gone), DefaultOptions())
		_, given := e.Dim("thickness_mm")
		assert.False(t, given, name)
		if name != "low rim" {
			assert.Equal(t, "freeform", e.Kind, name)
		}
	}
}

// TestStarlike: the rim of a hexagonal bar under beads of weld goes round the
// hexagon; that of an angle, which some rays from its middle leave twice, is not led
// so.
func TestStarlike(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 0))
	section := func(corners [][2]float64) wallLoop {
		var w wallLoop
		for i, a := range corners {
			b := corners[(i+1)%len(corners)]
			l := hypot(b[0]-a[0], b[1]-a[1])
			n := [2]float64{(b[1] - a[1]) / l, (a[0] - b[0]) / l}
			for range int(60 * l) {
				x, off := r.Float64(), 0.02*r.NormFloat64()
				if r.IntN(8) == 0 {
					off = 0.8 * r.Float64()
				}
				w.Point = append(w.Point, [2]float64{a[0] + x*(b[0]-a[0]) + off*n[0], a[1] + x*(b[1]-a[1]) + off*n[1]})
			}
		}
		return w
	}
	p := &Patch{OpenEdges: 9, NoiseMM: 0.02, EdgeMM: 0.5}
	var six [][2]float64
	for k := range 6 {
		sin, cos := math.Sincos(float64(k) * math.Pi / 3)
		six = append(six, [2]float64{3 + 5*cos, 5 * sin})
	}
	w := section(six)
	require.True(t, w.starlike(p))
	assert.InEpsilon(t, 1.5*math.Sqrt(3)*25, w.AreaMM2, 0.02)
	w = section([][2]float64{{0, 0}, {20, 0}, {20, 2}, {2, 2}, {2, 20}, {0, 20}})
	assert.False(t, w.starlike(p))
}
