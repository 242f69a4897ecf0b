package synthetic

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestFillAnyOutline meshes star-shaped outlines of any spikiness with a round
// hole, coarse and fine: what the facets cover is what the outline encloses.
func TestFillAnyOutline(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 40).Draw(t, "corners")
		corners := make([][2]float64, n)
		for i := range corners {
			r := rapid.Float64Range(6, 40).Draw(t, "radius")
			a := 2 * math.Pi * (float64(i) + rapid.Float64Range(0, 0.9).Draw(t, "turn")) / float64(n)
			corners[i] = [2]float64{r * math.Cos(a), r * math.Sin(a)}
		}
		outer, err := loopOf("", Polygon(corners...))
		if err != nil {
			t.Skip("a step too short")
		}
		edge := rapid.Float64Range(0.7, 30).Draw(t, "edge")
		loops, err := region("", outer, []Hole{RoundHole(0, 0, 2)})
		require.NoError(t, err)
		s, err := rimOf(loops, edge)
		require.NoError(t, err)
		if err := s.fill(edge); err != nil {
			if n > 4 { // five corners or more go round the middle, clear of the hole
				assert.GreaterOrEqual(t, 1.2, clearOfMiddle(corners), "%v", err)
			}
			return
		}
		var want, got float64
		for i, j := range s.next {
			want += cross2([2]float64{}, s.pts[i], s.pts[j]) / 2
		}
		for _, f := range s.tris {
			a := cross2(s.pts[f[0]], s.pts[f[1]], s.pts[f[2]]) / 2
			require.Greater(t, a, -1e-5)
			got += a
		}
		assert.InEpsilon(t, want, got, 1e-9)
	})
}

// clearOfMiddle returns how near a polygon's edges come to the origin; 0 where
// it does not go round it.
func clearOfMiddle(corners [][2]float64) float64 {
	least := math.Inf(1)
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		if cross2([2]float64{}, p, q) <= 0 {
			return 0
		}
		least = min(least, cross2([2]float64{}, p, q)/math.Hypot(q[0]-p[0], q[1]-p[1]))
	}
	return least
}

// TestFillThin meshes walls far thinner than the facets, where rim edges have
// to be forced through.
func TestFillThin(t *testing.T) {
	for _, wall := range []float64{1, 0.1, 0.01, 0.002} {
		for _, edge := range []float64{0.3, 1, 2.7} {
			loops, err := pipe("", "", 20, "", 20-2*wall)
			require.NoError(t, err)
			s, err := rimOf(loops, edge)
			require.NoError(t, err)
			err = s.fill(edge)
			chord := 2 * 10 * math.Sin(math.Pi/float64(s.rim[1]))
			if sag := 10 - math.Sqrt(100-chord*chord/4); sag > 0.9*wall {
				continue // the outer polygon may cut the inner one
			}
			require.NoError(t, err, "wall %g, edge %g", wall, edge)
		}
	}
}

func TestHilbertVisitsAll(t *testing.T) {
	seen := make(map[uint64]bool)
	for x := range uint32(64) {
		for y := range uint32(64) {
			seen[hilbert(x, y)] = true
		}
	}
	assert.Len(t, seen, 64*64)
}

func BenchmarkFill(b *testing.B) {
	loops, err := pipe("", "", 200, "", 50)
	require.NoError(b, err)
	n := 0
	for b.Loop() {
		s, err := rimOf(loops, 0.6)
		require.NoError(b, err)
		require.NoError(b, s.fill(0.6))
		n += len(s.tris)
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "facets/s")
}

// TestFillLargeFacets has so few points that edges to the outer triangle cross
// the rim; found by TestFillAnyOutline.
func TestFillLargeFacets(t *testing.T) {
	at := func(r, turns float64) [2]float64 {
		return [2]float64{r * math.Cos(2*math.Pi*turns), r * math.Sin(2*math.Pi*turns)}
	}
	outer, err := loopOf("", Polygon(at(9.5, 0.25/3), at(11.5, 1.0625/3), at(6, 2.015625/3)))
	require.NoError(t, err)
	loops, err := region("", outer, []Hole{RoundHole(0, 0, 2)})
	require.NoError(t, err)
	s, err := rimOf(loops, 14.9375)
	require.NoError(t, err)
	require.NoError(t, s.fill(14.9375))
}

// TestAnyShapeCloses draws sizes at random, sensible or not: a shape is refused
// or watertight.
func TestAnyShapeCloses(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		size := func(name string) float64 { return rapid.Float64Range(0.5, 60).Draw(r, name) }
		angle := func(name string) float64 { return rapid.Float64Range(0, 360).Draw(r, name) }
		ends := func() [2]End {
			return [2]End{{angle("mitre") / 5, angle("azimuth")}, {angle("mitre") / 5, angle("azimuth")}}
		}
		hole := RoundHole(size("x")/4, size("y")/4, size("hole")/3)
		teeth := StraightTeeth()
		if rapid.Bool().Draw(r, "seats") {
			teeth = RollerTeeth(size("roller") / 4)
		}
		root := size("root")
		wheel := ToothedWheel{ToothCount: rapid.IntRange(3, 40).Draw(r, "teeth"), TipDiameterMM: root + size("tooth")/5, RootDiameterMM: root,
			BoreDiameterMM: size("bore") / 3, ThicknessMM: size("thick"), Teeth: teeth,
			Faults: []ToothFault{{Tooth: 1, WornMM: size("worn") / 20, LeanMM: size("lean") / 20}, {Tooth: 2, Missing: true}}}
		shape := rapid.SampledFrom([]Shape{
			Tube{size("od"), size("id"), size("length"), ends()}, Bar{size("od"), size("length"), ends()},
			Disc{size("od"), size("t"), []Hole{hole}}, Ring{size("od"), size("id"), size("t"), []Hole{hole}},
			Arc{size("c"), size("s"), size("b") / 2, angle("sweep")}, FlatArc{size("od"), size("id"), size("t"), angle("sweep")},
			Coil{size("c"), size("s"), size("b") / 2, size("pitch"), size("turns") / 10, true},
			Bent{size("s") / 3, 0, []Bend{{LengthMM: size("l")}, {RadiusMM: size("r"), AngleDeg: angle("bend") / 2}, {RadiusMM: size("r"), AngleDeg: angle("bend") / 2, TurnDeg: angle("turn")}}},
			Sphere{size("d"), size("d"), size("w") / 10, 0}, Sphere{DiameterMM: size("d"), BoreMM: size("b") / 2}, Cone{size("l"), size("s"), size("h"), size("w") / 10},
			RolledPlate{size("id"), size("t"), size("w"), angle("sweep"), []Hole{hole}},
			Box(size("w"), size("h"), size("t")/6, size("l")), Profile{Section: Channel(size("h"), size("b"), size("w")/4, size("f")/4), LengthMM: size("l"), Ends: ends()},
			wheel,
		}).Draw(r, "shape")
		s, err := Mesh(shape, rapid.Float64Range(0.7, 20).Draw(r, "edge"))
		if err != nil {
			return
		}
		assert.Positive(r, s.VolumeMM3())
		if says := leak(s); says != "" {
			r.Fatalf("%#v: %s", shape, says)
		}
	})
}
