package site

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

func ledges(pieces ...Piece) []Ledge {
	f := flood(columnsOver(pieces, nil))
	return f.ledgesOf(pieces)
}

// Steps of 1.0 m can be climbed, a step of 1.2 m (over 45 in, CPSC pub. 362) cannot, and
// neither a metre 1.5 m aside.
func TestClimb(t *testing.T) {
	shelf := func(id string, x, z float64) Piece {
		return block(id, r3.Vec{X: x, Z: z - 20}, r3.Vec{X: x + 200, Y: 300, Z: z})
	}
	for _, r := range []struct {
		pieces []Piece
		want   []bool
	}{
		{[]Piece{shelf("E01", 0, 1000), shelf("E02", 300, 2000), shelf("E03", 0, 3000)}, []bool{true, true, true}},
		{[]Piece{shelf("E01", 0, 1000), shelf("E02", 300, 2200)}, []bool{true, false}},
		{[]Piece{shelf("E01", 0, 1200)}, []bool{false}},
		{[]Piece{shelf("E01", 0, 1000), shelf("E02", 1700, 2000)}, []bool{true, false}},
	} {
		var got []bool
		for _, l := range ledges(r.pieces...) {
			got = append(got, l.Reached)
			require.True(t, l.Stands)
			require.InDelta(t, 300, l.LongMM, 10)
			require.InDelta(t, 200, l.WideMM, 10)
		}
		require.Equal(t, r.want, got)
	}
}

// Of slopes one under 30 degrees is stood on, one over is not (CPSC pub. 325, 1.8); a rail
// of 40 mm is 20 mm wide where it leans by less: a foothold, nothing to stand on. Heights
// and their limits: 30 and 48 in (table 4), 0.6 and 3 m (EN 1177, EN 1176-1).
func TestStandingSurfaces(t *testing.T) {
	tilted := func(deg float64) []Ledge {
		plate := block("E01", r3.Vec{}, r3.Vec{X: 600, Y: 400, Z: 10})
		return ledges(rotatedAll([]Piece{plate}, r3.Vec{Y: 1}, -deg*math.Pi/180, 500)...)
	}
	require.Len(t, tilted(29), 1)
	require.Empty(t, tilted(31))
	on := ledges(rail("E01", 0, 900, 0, 700))
	require.Len(t, on, 1)
	require.False(t, on[0].Stands)
	require.InDelta(t, 720, on[0].HeightMM, 0.5)
	for height, want := range map[float64]string{590: "", 610: "0.6 m", 770: "30 in", 1230: "48 in", 3010: "3 m"} {
		l := ledges(block("E01", r3.Vec{}, r3.Vec{X: 300, Y: 300, Z: height}))
		require.Contains(t, l[0].Falls, want)
		require.Equal(t, want == "", l[0].Falls == "", "%g mm", height)
	}
	require.Empty(t, ledges(block("E01", r3.Vec{}, r3.Vec{X: 12, Y: 900, Z: 500})), "too thin for a foot")
	low := []Piece{block("E01", r3.Vec{}, r3.Vec{X: 300, Y: 300, Z: 500}), block("E02", r3.Vec{X: -50, Y: -50, Z: 560}, r3.Vec{X: 350, Y: 350, Z: 570})}
	require.Equal(t, []string{"E02"}, []string{ledges(low...)[0].ID}, "no foot goes into 60 mm")
}

func TestGrasp(t *testing.T) {
	l := ledges(block("E01", r3.Vec{}, r3.Vec{X: 500, Y: 500, Z: 1000}))
	r := grasp{2000, l}
	require.True(t, r.touches(5000, 0, 1900))
	require.True(t, r.touches(1400, 0, 3400), "0.9 m beside a block of 1 m, 2.4 m over it")
	require.False(t, r.touches(1700, 0, 3400))
	require.False(t, r.touches(200, 0, 3600))
	require.InDelta(t, 3500, r.topMM(), 1e-6)
}

// A block has 12 edges and 8 corners; those under the limit of reach count. A bar has the
// two rims of its ends; inside corners are none.
func TestSharpEdges(t *testing.T) {
	all, ok := block("E01", r3.Vec{Z: 100}, r3.Vec{X: 300, Y: 200, Z: 200}).sharpEdges(grasp{groundMM: 3000})
	require.True(t, ok)
	require.InDelta(t, 4*(0.3+0.2+0.1), all.EdgeM, 1e-12)
	require.Equal(t, 8, all.Corners)
	half, _ := block("E01", r3.Vec{Z: 2900}, r3.Vec{X: 300, Y: 200, Z: 3200}).sharpEdges(grasp{groundMM: 3000})
	require.InDelta(t, 2*(0.3+0.2), half.EdgeM, 1e-12, "uprights count by their middle")
	bar, _ := rail("E01", 0, 900, 0, 700).sharpEdges(grasp{groundMM: 3000})
	require.InDelta(t, 2*math.Pi*0.040, bar.EdgeM, 0.001)
	require.Zero(t, bar.Corners)
	cup := Piece{}
	cup.PointsMM, cup.Triangles = turnedSolid([]float64{1e-3, 100, 100, 90, 90, 1e-3}, []float64{0, 0, 200, 200, 10, 10}, r3.Vec{})
	rims, _ := cup.sharpEdges(grasp{groundMM: 3000})
	require.InDelta(t, 2*math.Pi*(0.1+0.1+0.09), rims.EdgeM, 0.002, "not its foot inside")
	_, ok = block("E01", r3.Vec{Z: 4000}, r3.Vec{X: 300, Y: 200, Z: 4100}).sharpEdges(grasp{groundMM: 3000})
	require.False(t, ok)
}

func TestProtrusions(t *testing.T) {
	free := stock.End{Kind: "square", Out: r3.Vec{X: 1}, AtMM: r3.Vec{X: 400, Z: 1500}}
	of := func(kind string, d ...any) []Protrusion {
		return Piece{Part: stock.Part{ID: "E01", Kind: kind, Ends: []stock.End{free, {Kind: "square", Met: true}}, Dims: dims(d...)}}.protrusions(grasp{groundMM: 2000})
	}
	got := of("bar", "outside_diameter_mm", 25.0, "length_mm", 400.0)
	require.Len(t, got, 1)
	require.Equal(t, Protrusion{ID: "E01", What: "free end", Count: 1, AtMM: [3]float64{400, 0, 1500}, SizeMM: 25, OutMM: 200, GaugeMM: 25.4}, got[0])
	require.Empty(t, of("bar", "outside_diameter_mm", 40.0, "length_mm", 400.0), "no ring goes over it")
	require.Empty(t, of("bar", "outside_diameter_mm", 12.0, "length_mm", 12.0), "it stands out by 6 mm, the ring is 6.35 thick")
	teeth := of("toothed_wheel", "tooth_count", 20.0, "tooth_width_mm", 15.0, "thickness_mm", 20.0, "tip_diameter_mm", 300.0, "root_diameter_mm", 240.0)
	require.Equal(t, 20, teeth[0].Count)
	require.Equal(t, 25.0, teeth[0].SizeMM, "the diagonal of 15 by 20")
}

// The whole: a ladder of two posts and two rungs 150 mm clear, on it an upper rung that
// only a climber reaches.
func TestAccessOfALadder(t *testing.T) {
	pieces := []Piece{postAt("E01", 0), postAt("E02", 700), rail("E03", 0, 700, 0, 900), rail("E04", 0, 700, 0, 1090)}
	w, a := Outdoors(pieces, nil, WeatherOptions{AirC: &[2]float64{-10, 30}}, 1000)
	require.Equal(t, w.Metal, a.Metal)
	require.Len(t, a.Openings, 1)
	o := a.Openings[0]
	require.Equal(t, []string{"E03", "E04", "all round", "head"}, []string{o.ID, o.With, o.Bounded, o.Traps})
	require.InDelta(t, 150, o.AcrossMM, 0.5)
	require.Equal(t, 1, a.Trapping)
	require.InDelta(t, 1800, a.ClimbMM, 1, "the posts end within a step of the upper rung")
	require.Contains(t, a.Code, "borrowed from playgrounds")
	for _, p := range [][]Piece{nil, {{}}} {
		_, none := Outdoors(p, nil, WeatherOptions{}, 1000)
		require.Zero(t, none.Trapping)
		require.Contains(t, none.NotCovered, "hot metal: site.air is not given")
	}
}
