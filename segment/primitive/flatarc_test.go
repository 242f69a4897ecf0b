package primitive

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestFlatArc reads parts of flat rings over sweep, facets, noise and pose. Of a
// short arc the radius is known poorly, its sweep alike: bounds are twice the
// stated interval, which must hold both.
func TestFlatArc(t *testing.T) {
	for i, c := range []struct {
		outer, inner, thick, sweep float64
		edge, noise                float64
	}{
		{80, 60, 5, 90, 1, .02}, {80, 60, 9.5, 90, 1.2, .05}, {120, 100, 3, 200, .8, .1},
		{60, 40, 3, 30, 1, .02}, {200, 180, 4, 20, 1, .02}, {100, 80, 3, 330, 1, .02},
		{100, 80, 3, 350, 1.2, .05}, {50, 20, 3, 120, 2, .03}, {150, 140, 4.5, 60, .6, .1},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			t.Parallel()
			p := synthetic.Piece{Name: "arc", Shape: synthetic.FlatArc{OutsideDiameterMM: c.outer, InsideDiameterMM: c.inner, ThicknessMM: c.thick, SweepDeg: c.sweep}, Pose: poses()[i%3]}
			opt := scanOptions(c.edge)
			opt.NoiseMM, opt.Seed = c.noise, uint64(i)
			e := recognised(t, p, opt)
			require.Equal(t, "arc", e.Kind)
			require.Equal(t, "flat", e.Section)
			requireWithin(t, p, e, 2)
			require.Len(t, e.Ends, 2)
			require.Less(t, e.Ends[0].AngleDeg, max(1, 30*c.noise))
		})
	}
}

// requireWithin holds that every dimension of the truth is given, within k times
// its stated interval.
func requireWithin(t *testing.T, p synthetic.Piece, e Element, k float64) {
	want, err := synthetic.TruthOf(p)
	require.NoError(t, err)
	for _, d := range want.Dimensions {
		u := -1.0
		for _, g := range e.Dims {
			if g.Key == d.Key {
				u = g.U95
				require.InDelta(t, d.Value, g.Value, k*u+1e-9, d.Key)
			}
		}
		require.GreaterOrEqual(t, u, 0.0, "%s is missing", d.Key)
	}
}

// lens is a plate whose two curved edges are not about one centre.
func lens() []synthetic.Step {
	return []synthetic.Step{synthetic.Line(30, 0), synthetic.ArcVia(0, 22, -30, 0), synthetic.Line(-20, 0), synthetic.ArcVia(0, 4, 20, 0)}
}

// TestArcOrPlate holds parts of rings, plates and rolled plates apart.
func TestArcOrPlate(t *testing.T) {
	for i, c := range []struct {
		name, kind string
		shape      synthetic.Shape
	}{
		{"a cut annulus is an arc", "arc", synthetic.FlatArc{OutsideDiameterMM: 90, InsideDiameterMM: 60, ThicknessMM: 4, SweepDeg: 180}},
		{"a rectangle is a plate", "plate", synthetic.Plate{Outline: synthetic.Rectangle(60, 12), ThicknessMM: 4}},
		{"curved edges about two centres: a plate", "plate", synthetic.Plate{Outline: lens(), ThicknessMM: 3}},
		{"one curved edge: a plate", "plate", synthetic.Plate{Outline: []synthetic.Step{synthetic.Line(30, 0), synthetic.ArcVia(0, 20, -30, 0)}, ThicknessMM: 3}},
		{"a pierced square is a plate", "plate", synthetic.Plate{Outline: synthetic.Rectangle(40, 40), Holes: []synthetic.Hole{synthetic.RoundHole(0, 0, 30)}, ThicknessMM: 3}},
		{"a shallow round arc is an arc", "arc", synthetic.Arc{CentrelineDiameterMM: 300, SectionDiameterMM: 8, SweepDeg: 20}},
		{"a straight round bar is a bar", "bar", synthetic.Bar{OutsideDiameterMM: 8, LengthMM: 52}},
		{"wider along the axis than thick: rolled", "rolled_plate", synthetic.FlatArc{OutsideDiameterMM: 80, InsideDiameterMM: 68, ThicknessMM: 7, SweepDeg: 100}},
		{"thicker than wide along the axis: an arc", "arc", synthetic.FlatArc{OutsideDiameterMM: 80, InsideDiameterMM: 68, ThicknessMM: 5, SweepDeg: 100}},
		{"rolled plate, half round", "rolled_plate", synthetic.RolledPlate{InsideDiameterMM: 60, ThicknessMM: 3, WidthMM: 25, SweepDeg: 170}},
		{"a whole ring is a ring", "ring", synthetic.Ring{OutsideDiameterMM: 90, InsideDiameterMM: 60, ThicknessMM: 4}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := synthetic.Piece{Name: c.name, Shape: c.shape, Pose: poses()[i%3]}
			opt := scanOptions(1.2 + .2*float64(i%2))
			opt.NoiseMM = []float64{.02, .06}[i%2]
			e := recognised(t, p, opt)
			require.Equal(t, c.kind, e.Kind, "%v", e.Dims)
		})
	}
}

// TestArcOrPlateCut does so where weld hides one end.
func TestArcOrPlateCut(t *testing.T) {
	pierced := synthetic.RolledPlate{InsideDiameterMM: 74, ThicknessMM: 1.9, WidthMM: 24, SweepDeg: 120}
	for k := range 20 {
		pierced.Holes = append(pierced.Holes, synthetic.RoundHole(8+7*float64(k/2), 8*float64(k%2)-4, 4))
	}
	for name, c := range map[string]struct {
		kind  string
		shape synthetic.Shape
	}{
		"a cut annulus": {"arc", synthetic.FlatArc{OutsideDiameterMM: 62, InsideDiameterMM: 41, ThicknessMM: 2.7, SweepDeg: 130}},
		"a rectangle":   {"plate", synthetic.Plate{Outline: synthetic.Rectangle(60, 12), ThicknessMM: 3}},
		"two centres":   {"plate", synthetic.Plate{Outline: lens(), ThicknessMM: 3}},
	} {
		for _, cut := range []float64{4, 8} {
			p := cutPatch(t, synthetic.Piece{Name: name, Shape: c.shape, Pose: synthetic.Upright(0, 0, 0)}, 0.5, func(q r3.Vec) bool {
				if c.kind != "plate" { // it begins on x
					return math.Abs(q.Y) < cut && q.X > 0
				}
				return q.X > 30-cut
			})
			e := Recognise(p, DefaultOptions())
			require.Equal(t, c.kind, e.Kind, "%s without %v mm: %v", name, cut, e.Dims)
		}
	}
}

// TestNearlyWholeTurn reads round arcs that lack little of a ring.
func TestNearlyWholeTurn(t *testing.T) {
	for i, c := range []struct{ centreline, section, bore, sweep, edge, noise float64 }{
		{60, 8, 0, 330, 1, .02}, {60, 8, 0, 345, 1, .05}, {60, 8, 5, 350, 1, .02}, {100, 6, 0, 352, .8, .1}, {40, 8, 0, 335, 1.5, .05},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			t.Parallel()
			p := synthetic.Piece{Name: "arc", Shape: synthetic.Arc{CentrelineDiameterMM: c.centreline, SectionDiameterMM: c.section, SectionBoreMM: c.bore, SweepDeg: c.sweep}, Pose: poses()[i%3]}
			opt := scanOptions(c.edge)
			opt.NoiseMM = c.noise
			e := recognised(t, p, opt)
			requireTruth(t, p, e, max(.5*c.noise, .02), .4)
		})
	}
}

// TestPiercedRolledOpen: a rolled plate with two rows of holes is an extrusion too,
// of a crescent whose larger gate takes in the walls of holes. It stays a rolled
// plate where a scan that is open makes it try every kind, and a patch of one face
// that nobody saw is no hole.
func TestPiercedRolledOpen(t *testing.T) {
	shape := synthetic.RolledPlate{InsideDiameterMM: 46.1, ThicknessMM: 3, WidthMM: 24.7, SweepDeg: 146.5}
	for k := range 14 {
		shape.Holes = append(shape.Holes, synthetic.RoundHole(10.4+7*float64(k/2), 7*float64(k%2)-3.5, 3.6))
	}
	opt := scanOptions(0.6)
	opt.NoiseMM, opt.RoundingMM = 0.044, 0.15
	s, err := synthetic.Scan(synthetic.Scene{Name: "test", Pieces: []synthetic.Piece{{Name: "rolled", Shape: shape, Pose: synthetic.Upright(0, 0, 0)}}}, opt)
	require.NoError(t, err)
	s.Triangles = slices.DeleteFunc(s.Triangles, func(q [3][3]float32) bool {
		return math.Hypot(float64(q[0][1])-26, float64(q[0][2])) < 2.5
	})
	e := Recognise(patchOf(t, s.Soup("test.stl")), DefaultOptions())
	require.Equal(t, "rolled_plate", e.Kind)
	n, _ := e.Dim("hole_count")
	require.Equal(t, 14.0, n)
}
