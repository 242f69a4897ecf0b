package synthetic

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func value(t *testing.T, tr Truth, key string) float64 {
	t.Helper()
	v, ok := tr.Value(key)
	require.True(t, ok, key)
	return v
}

func TestTruthKinds(t *testing.T) {
	for _, c := range []struct {
		shape         Shape
		kind, section string
		key           string
		value         float64
	}{
		{Tube{OutsideDiameterMM: 20, InsideDiameterMM: 16, LengthMM: 11}, "tube", "", "wall_mm", 2},
		{Tube{OutsideDiameterMM: 20, InsideDiameterMM: 16, LengthMM: 10}, "ring", "flat", "thickness_mm", 10},
		{Ring{20, 16, 11, nil}, "tube", "", "length_mm", 11},
		{Bar{OutsideDiameterMM: 20, LengthMM: 10}, "disc", "", "thickness_mm", 10},
		{Disc{20, 11, nil}, "bar", "", "length_mm", 11},
		{RoundRing{60, 10, 4}, "ring", "round", "section_bore_mm", 4},
		{Arc{60, 10, 0, 90}, "arc", "", "sweep_deg", 90},
		{FlatArc{80, 60, 5, 45}, "arc", "flat", "inside_diameter_mm", 60},
		{Coil{CentrelineDiameterMM: 40, SectionDiameterMM: 6, PitchMM: 12, Turns: 3}, "coil", "", "turns", 3},
		{Bent{10, 0, []Bend{{LengthMM: 20}, {RadiusMM: 15, AngleDeg: 90}, {RadiusMM: 20, AngleDeg: 80}}}, "arc", "", "centreline_diameter_mm", 40},
		{Bent{10, 6, []Bend{{LengthMM: 20}, {LengthMM: 5}}}, "tube", "", "length_mm", 25},
		{octagonPlate(), "plate", "", "hole_count", 4},
		{Profile{Section: Hexagon(20), LengthMM: 40}, "profile", "", "length_mm", 40},
		{Profile{Section: Rectangle(12, 10), LengthMM: 40}, "plate", "", "thickness_mm", 10},
		{RolledPlate{80, 4, 30, 150, nil}, "rolled_plate", "", "width_mm", 30},
		{Sphere{DiameterMM: 40}, "sphere", "", "diameter_mm", 40},
		{Cone{40, 20, 30, 2}, "cone", "", "wall_mm", 2},
		{ToothedWheel{ToothCount: 24, TipDiameterMM: 80, RootDiameterMM: 68, ThicknessMM: 6, Teeth: StraightTeeth()}, "toothed_wheel", "", "tooth_count", 24},
	} {
		tr, err := TruthOf(Piece{Name: "x", Shape: c.shape, Pose: Upright(0, 0, 0)})
		require.NoError(t, err)
		assert.Equal(t, c.kind, tr.Kind)
		assert.Equal(t, c.section, tr.Section)
		assert.InDelta(t, c.value, value(t, tr, c.key), 1e-9, "%T", c.shape)
	}
	_, ok := Truth{}.Value("length_mm")
	assert.False(t, ok)
}

// tilted are poses whose axis is already, and is not yet, the positive way.
func tilted() []Pose {
	return []Pose{
		Along(r3.Vec{X: 5, Y: -7, Z: 11}, r3.Vec{X: 1, Y: 2, Z: 3}),
		Along(r3.Vec{X: 5, Y: -7, Z: 11}, r3.Vec{X: 1, Y: -2, Z: -3}),
	}
}

// inFrame returns a scene's vertices of one piece in its element frame.
func inFrame(t *testing.T, s Shape, p Pose) (Truth, []r3.Vec) {
	t.Helper()
	piece := Piece{Shape: s, Pose: p}
	tr, err := TruthOf(piece)
	require.NoError(t, err)
	require.InDelta(t, 1, r3.Norm(tr.Axis), 1e-12)
	require.InDelta(t, 0, r3.Dot(tr.Axis, tr.Ref), 1e-12)
	f, err := p.frame()
	require.NoError(t, err)
	shell, err := Mesh(s, 1)
	require.NoError(t, err)
	shell = disturbed(shell, piece, f, 0, DefaultOptions())
	v := r3.Cross(tr.Axis, tr.Ref)
	out := make([]r3.Vec, len(shell.Points))
	for i, q := range shell.Points {
		d := r3.Sub(q, tr.OriginMM)
		out[i] = r3.Vec{X: r3.Dot(d, tr.Ref), Y: r3.Dot(d, v), Z: r3.Dot(d, tr.Axis)}
	}
	return tr, out
}

func TestTruthAxisPositive(t *testing.T) {
	for _, p := range tilted() {
		tr, _ := inFrame(t, Bar{OutsideDiameterMM: 5, LengthMM: 20}, p)
		assert.Greater(t, tr.Axis.Z, 0.5)
	}
}

// TestTruthPlate holds the element frame, outline and holes of a plate to its
// vertices, either way up.
func TestTruthPlate(t *testing.T) {
	turned := octagonPlate()
	turned.Outline = moved(turned.Outline, [2]float64{30, 4}, 0.7)
	for i, h := range turned.Holes {
		turned.Holes[i].CentreMM = moved(Polygon(h.CentreMM), [2]float64{30, 4}, 0.7)[0].To
		turned.Holes[i].AngleDeg += deg(0.7)
	}
	for _, shape := range []Plate{octagonPlate(), turned, {backwards(octagonPlate().Outline), octagonPlate().Holes, 4}} {
		for _, p := range tilted() {
			tr, pts := inFrame(t, shape, p)
			length, width := value(t, tr, "length_mm"), value(t, tr, "width_mm")
			assert.InDelta(t, 100, length, 1e-4)
			assert.InDelta(t, 40, width, 1e-4)
			outer, err := loopOf("", tr.Outline)
			require.NoError(t, err)
			area, _, _ := outer.moments()
			assert.InEpsilon(t, 3750+25*math.Pi, area, 1e-9) // positive: counter-clockwise
			loops, err := region("", outer, tr.Holes)
			require.NoError(t, err)
			on := 0
			for _, q := range pts {
				if math.Abs(q.Z) > 2+1e-9 || math.Abs(q.X) > length/2+1e-4 || math.Abs(q.Y) > width/2+1e-4 {
					require.Fail(t, "outside the box", "%v", q)
				}
				if offLoops(loops, q) < 1e-9 {
					on++
				}
			}
			sec, err := rimOf(loops, 1)
			require.NoError(t, err)
			layers := 5 // 4 mm in facets of 1 mm
			assert.Equal(t, len(sec.pts)*layers, on)
		}
	}
}

// offLoops returns the distance from q to the nearest edge of any loop.
func offLoops(loops []loop, q r3.Vec) float64 {
	least := math.Inf(1)
	for _, l := range loops {
		for _, e := range l {
			d := r3.Norm(r3.Sub(r3.Vec{X: q.X, Y: q.Y}, onSegment(r3.Vec{X: q.X, Y: q.Y}, r3.Vec{X: e.from[0], Y: e.from[1]}, r3.Vec{X: e.to[0], Y: e.to[1]})))
			if e.radius > 0 {
				a := math.Atan2(q.Y-e.centre[1], q.X-e.centre[0]) - e.start
				if e.sweep < 0 {
					a = -a
				}
				if a = math.Mod(a+4*math.Pi, 2*math.Pi); a > math.Abs(e.sweep)+1e-9 && a < 2*math.Pi-1e-9 {
					continue
				}
				d = math.Abs(math.Hypot(q.X-e.centre[0], q.Y-e.centre[1]) - e.radius)
			}
			least = min(least, d)
		}
	}
	return least
}

// TestTruthSweep holds the start of a sweep and developed holes to the vertices,
// either way up.
func TestTruthSweep(t *testing.T) {
	rolled := RolledPlate{80, 4, 30, 150, []Hole{RoundHole(40, 3, 10), LongHole("slot", 80, -5, 12, 6, 30)}}
	for _, shape := range []Shape{rolled, Arc{80, 6, 0, 150}, FlatArc{90, 80, 3, 150}} {
		for _, p := range tilted() {
			tr, pts := inFrame(t, shape, p)
			least, most := math.Inf(1), 0.0
			for _, q := range pts {
				a := math.Mod(math.Atan2(q.Y, q.X)+2*math.Pi+1e-9, 2*math.Pi)
				least, most = min(least, a), max(most, a)
			}
			assert.InDelta(t, 0, least, 1e-6, "%T", shape)
			assert.InDelta(t, rad(150), most, 1e-6, "%T", shape)
			if len(tr.Holes) == 0 {
				continue
			}
			var holes []loop
			for _, h := range tr.Holes {
				l, err := h.loop("")
				require.NoError(t, err)
				holes = append(holes, l)
			}
			sec, err := rimOf(holes, 1)
			require.NoError(t, err)
			on := 0
			for _, q := range pts {
				a := math.Mod(math.Atan2(q.Y, q.X)+2*math.Pi+1e-12, 2*math.Pi)
				if offLoops(holes, r3.Vec{X: 42 * a, Y: q.Z}) < 1e-8 {
					on++
				}
			}
			assert.Equal(t, len(sec.pts)*5, on) // 4 mm thick: five layers
		}
	}
}

// TestTruthEnds holds end planes to the vertices, either way up.
func TestTruthEnds(t *testing.T) {
	for _, p := range tilted() {
		tr, pts := inFrame(t, Bar{8, 40, [2]End{{30, 20}, {15, 100}}}, p)
		on := [2]int{}
		for i, e := range tr.Ends {
			k := math.Tan(rad(e.MitreDeg))
			for _, q := range pts {
				z := float64(2*i-1)*20 + k*(q.X*cosine(rad(e.AzimuthDeg))+q.Y*sine(rad(e.AzimuthDeg)))
				if math.Abs(q.Z-z) < 1e-9 {
					on[i]++
				}
			}
		}
		assert.Greater(t, on[0], 50)
		assert.Equal(t, on[0], on[1])
	}
}

// TestTruthBent holds that the longest arc's centreline lies in the piece.
func TestTruthBent(t *testing.T) {
	b := Bent{6, 0, []Bend{{LengthMM: 20}, {RadiusMM: 15, AngleDeg: 60}, {LengthMM: 10}, {RadiusMM: 30, AngleDeg: 80, TurnDeg: 50}, {LengthMM: 12}}}
	for _, p := range tilted() {
		tr, pts := inFrame(t, b, p)
		assert.InDelta(t, 60, value(t, tr, "centreline_diameter_mm"), 0)
		on := 0
		for _, q := range pts {
			if math.Abs(math.Hypot(rho(q)-30, q.Z)-3) < 1e-9 {
				on++
			}
		}
		assert.Greater(t, on, 16*40) // a bend of 80 degrees has 46 rows of 19
	}
}

func TestSmallestBox(t *testing.T) {
	// A right triangle 3, 4, 5: the box on either leg and on the hypotenuse has area 12.
	b := smallestBox(hull([][2]float64{{0, 0}, {4, 0}, {0, 3}}))
	assert.InDelta(t, 12, b.length*b.width, 1e-12)
	// A half disc of radius 10.
	l, err := loopOf("", []Step{Line(10, 0), ArcVia(0, 10, -10, 0)})
	require.NoError(t, err)
	b = smallestBox(hull(dense(l)))
	assert.InDelta(t, 20, b.length, 1e-4)
	assert.InDelta(t, 10, b.width, 1e-4)
}
