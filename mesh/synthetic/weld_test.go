package synthetic

import (
	"crypto/sha256"
	"fmt"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// weldable is one shape of each kind that can be welded.
func weldable() []Shape {
	return []Shape{
		Tube{OutsideDiameterMM: 16, InsideDiameterMM: 11, LengthMM: 30, Ends: [2]End{{30, 40}, {}}},
		Bar{OutsideDiameterMM: 8, LengthMM: 30},
		Disc{OutsideDiameterMM: 30, ThicknessMM: 4, Holes: BoltCircle(3, 18, 5)},
		Ring{OutsideDiameterMM: 30, InsideDiameterMM: 12, ThicknessMM: 4},
		RoundRing{CentrelineDiameterMM: 40, SectionDiameterMM: 6},
		Arc{CentrelineDiameterMM: 60, SectionDiameterMM: 8, SectionBoreMM: 5, SweepDeg: 140},
		FlatArc{OutsideDiameterMM: 60, InsideDiameterMM: 40, ThicknessMM: 4, SweepDeg: 200},
		Coil{CentrelineDiameterMM: 20, SectionDiameterMM: 3, PitchMM: 7, Turns: 2.5, LeftHand: true},
		Bent{SectionDiameterMM: 6, Legs: []Bend{{LengthMM: 20}, {RadiusMM: 18, AngleDeg: 80}, {LengthMM: 15}, {RadiusMM: 14, AngleDeg: 60, TurnDeg: 50}}},
		Sphere{DiameterMM: 20},
		Cone{LargeDiameterMM: 24, SmallDiameterMM: 12, HeightMM: 20, WallMM: 2},
		Plate{Outline: Polygon([2]float64{0, 0}, [2]float64{40, 0}, [2]float64{40, 10}, [2]float64{15, 10}, [2]float64{15, 30}, [2]float64{0, 30}), ThicknessMM: 3, Holes: []Hole{RoundHole(8, 8, 6), LongHole("slot", 28, 5, 8, 4, 20)}},
		Profile{Section: Channel(20, 12, 2, 2.5), LengthMM: 40},
		ToothedWheel{ToothCount: 17, TipDiameterMM: 50, RootDiameterMM: 40, BoreDiameterMM: 12, ThicknessMM: 5, Teeth: RollerTeeth(4)},
		RolledPlate{InsideDiameterMM: 60, ThicknessMM: 3, WidthMM: 20, SweepDeg: 120, Holes: []Hole{RoundHole(20, 2, 6)}},
	}
}

// TestDepth holds each signed distance against the shape's own mesh, whose
// vertices are on the ideal surface: it is 0 there, and as large as a step along
// the normal of a face.
func TestDepth(t *testing.T) {
	const step = 0.2
	for _, s := range weldable() {
		t.Run(fmt.Sprintf("%T", s), func(t *testing.T) {
			d, err := depthOf(s, 0)
			require.NoError(t, err)
			m, err := Mesh(s, 1)
			require.NoError(t, err)
			for _, p := range m.Points {
				require.InDelta(t, 0, d(p), 1e-6, "%v", p)
			}
			edge := severalPatches(m)
			for v, n := range m.Normals() {
				if edge[v] {
					continue
				}
				// 0.01: facets of 1 mm tell normals of round surfaces to 0.1 rad at worst, a hole's walls are nearer together inside.
				require.InDelta(t, step, d(r3.Add(m.Points[v], r3.Scale(step, n))), 0.02, "outside %v", m.Points[v])
				require.InDelta(t, -step, d(r3.Sub(m.Points[v], r3.Scale(step, n))), 0.02, "inside %v", m.Points[v])
			}
		})
	}
}

func TestDepthRefusals(t *testing.T) {
	for _, s := range []Shape{Sphere{DiameterMM: 10, HeightMM: 4}, RolledCone{}, nil} {
		_, err := depthOf(s, 0)
		require.Error(t, err)
	}
}

// post is a bar on a plate, through a ring.
func post() Scene {
	return Scene{Name: "post", Pieces: []Piece{
		{Name: "plate", Shape: Plate{Outline: Rectangle(40, 30), ThicknessMM: 4}, Pose: Upright(0, 0, -2)},
		{Name: "bar", Shape: Bar{OutsideDiameterMM: 10, LengthMM: 30}, Pose: Upright(0, 0, 14.9)},
		{Name: "ring", Shape: Ring{OutsideDiameterMM: 24, InsideDiameterMM: 9.8, ThicknessMM: 4}, Pose: Along(r3.Vec{Z: 18}, r3.Vec{X: 0.1, Z: 1})},
	}}
}

func TestScanWelded(t *testing.T) {
	o := DefaultWeldOptions()
	o.NoiseMM, o.RoughMM, o.Spatter = 0, 0.05, 6
	scene := post()
	s, err := ScanWelded(scene, o)
	require.NoError(t, err)

	var pieces []weldPiece
	for _, p := range scene.Pieces {
		w, err := placed(p, o.RoundingMM)
		require.NoError(t, err)
		pieces = append(pieces, w)
	}
	type side [2][3]float32
	sides := map[side]int{}
	metal, sum := 0, 0.0
	for i, f := range s.Triangles {
		for k := range 3 {
			sides[side{f[k], f[(k+1)%3]}]++
		}
		if s.Patch[i] < 0 {
			continue
		}
		metal++
		off := pieces[s.Piece[i]].distance(centre(f))
		require.InDelta(t, 0, off, 0.25, "facets cut edges off by under half a cell")
		sum += math.Abs(off)
	}
	for e, n := range sides {
		require.Equal(t, 1, n)
		require.Equal(t, 1, sides[side{e[1], e[0]}], "the surface is closed and wound one way")
	}
	// Chords of 0.6 mm stray by 0.009 mm from a bar of 10 at most.
	assert.Less(t, sum/float64(metal), 0.012)
	assert.Greater(t, metal*10, 8*len(s.Triangles))
	assert.Less(t, metal, len(s.Triangles), "some is weld")
	assert.Less(t, s.Seen[1].End[0], 0.1, "the bar's foot")
	assert.Greater(t, s.Seen[1].End[1], 0.95, "its head")
	assert.Less(t, s.Seen[2].Bore, 0.1, "what the bar fills")
	assert.Greater(t, s.Seen[0].Whole, 0.85)
}

func TestScanWeldedSameBytes(t *testing.T) {
	o := DefaultWeldOptions()
	o.EdgeMM, o.CorrelatedMM, o.SmoothMM, o.Spatter, o.TackShare, o.Views, o.Gaps = 1, 0.02, 1, 5, 0.5, 12, 2
	take := func() [32]byte {
		s, err := ScanWelded(post(), o)
		require.NoError(t, err)
		return sha256.Sum256(s.STL())
	}
	want := take()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	assert.Equal(t, want, take(), "on one core")
	o.Seed++
	assert.NotEqual(t, want, take())
}

// TestVisible holds that a scanner which looks from outside sees no bore's
// middle, and all of a ball.
func TestVisible(t *testing.T) {
	tube, err := Mesh(Tube{OutsideDiameterMM: 10, InsideDiameterMM: 5, LengthMM: 60}, 0.6)
	require.NoError(t, err)
	seen := visible(tube, 30, 1)
	for i, f := range tube.Faces {
		p := tube.Points[f[0]]
		if deep := math.Hypot(p.X, p.Y) < 2.6 && math.Abs(p.Z) < 15; deep {
			require.False(t, seen[i])
		}
	}
	ball, err := Mesh(Sphere{DiameterMM: 20}, 0.6)
	require.NoError(t, err)
	assert.NotContains(t, visible(ball, 30, 1), false)
}

func TestRandomWeld(t *testing.T) {
	for seed := range uint64(6) {
		n := 2 + int(seed)*3
		s, err := RandomWeld(seed, n)
		require.NoError(t, err)
		require.Len(t, s.Pieces, n)
		again, err := RandomWeld(seed, n)
		require.NoError(t, err)
		require.Equal(t, s, again)
	}
	_, err := RandomWeld(1, 19)
	require.Error(t, err)
}

func TestWeldOptionsRefusals(t *testing.T) {
	for name, change := range map[string]func(*WeldOptions){
		"no fillet":     func(o *WeldOptions) { o.FilletMinMM = 0 },
		"fillet order":  func(o *WeldOptions) { o.FilletMinMM, o.FilletMaxMM = 2, 1 },
		"rough":         func(o *WeldOptions) { o.RoughMM = math.NaN() },
		"too many":      func(o *WeldOptions) { o.Views = 1000 },
		"scan's own":    func(o *WeldOptions) { o.NoiseMM = -1 },
		"facets of nil": func(o *WeldOptions) { o.EdgeMM = 0 },
	} {
		t.Run(name, func(t *testing.T) {
			o := DefaultWeldOptions()
			change(&o)
			_, err := ScanWelded(post(), o)
			require.Error(t, err)
		})
	}
}
