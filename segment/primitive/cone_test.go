package primitive

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestCone reads frusta, solid and with a wall, over noise, facets and poses.
func TestCone(t *testing.T) {
	for i, c := range []struct {
		shape       synthetic.Cone
		edge, noise float64
	}{
		{synthetic.Cone{LargeDiameterMM: 40, SmallDiameterMM: 20, HeightMM: 30}, 1.5, .001},
		{synthetic.Cone{LargeDiameterMM: 40, SmallDiameterMM: 20, HeightMM: 30}, 1.5, .05},
		{synthetic.Cone{LargeDiameterMM: 60, SmallDiameterMM: 30, HeightMM: 60, WallMM: 3}, 1.5, .02},
		{synthetic.Cone{LargeDiameterMM: 30, SmallDiameterMM: 24, HeightMM: 80, WallMM: 2}, 1.2, .05},
		{synthetic.Cone{LargeDiameterMM: 80, SmallDiameterMM: 20, HeightMM: 12, WallMM: 2}, 1.2, .05},
		{synthetic.Cone{LargeDiameterMM: 20, SmallDiameterMM: 3, HeightMM: 40}, 0.6, .1},
		{synthetic.Cone{LargeDiameterMM: 50, SmallDiameterMM: 40, HeightMM: 10}, 1, .02},
		{synthetic.Cone{LargeDiameterMM: 20, HeightMM: 40}, 0.8, .02},
		{synthetic.Cone{LargeDiameterMM: 50, HeightMM: 20}, 1.2, .05},
		{synthetic.Cone{LargeDiameterMM: 50, HeightMM: 40, WallMM: 2}, 1.2, .03},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			t.Parallel()
			p := synthetic.Piece{Name: "cone", Shape: c.shape, Pose: poses()[i%3]}
			opt := scanOptions(c.edge)
			opt.NoiseMM = c.noise
			e := recognised(t, p, opt)
			requireTruth(t, p, e, max(1.5*c.noise, .002), 0)
			requireFrame(t, p, e, max(c.noise, .001), 0.005)
			require.Greater(t, e.Coverage, 0.93)
		})
	}
}

// TestConeOneSide: half of a long cone's side and of its small end, the large one
// hidden, is a cone; of a collar as wide and low as a fillet that is too little.
func TestConeOneSide(t *testing.T) {
	for _, c := range []struct {
		heightMM float64
		want     string
	}{{30, "cone"}, {3, "freeform"}} {
		piece := synthetic.Piece{Name: "cone", Shape: synthetic.Cone{LargeDiameterMM: 22, SmallDiameterMM: 13, HeightMM: c.heightMM}, Pose: synthetic.Upright(0, 0, 0)}
		p := cutPatch(t, piece, 0.4, func(q r3.Vec) bool {
			return q.Z < -c.heightMM/2+0.3 || math.Atan2(q.Y, q.X) > 0
		})
		e := Recognise(p, DefaultOptions())
		require.Equal(t, c.want, e.Kind, "%g mm high", c.heightMM)
		if c.want == "cone" {
			require.Less(t, e.Coverage, openCone)
			got, ok := e.Dim("small_diameter_mm")
			require.True(t, ok)
			require.InDelta(t, 13, got, 0.1)
		}
	}
}

// TestPartCone: most of a cone's side and a sliver of its large end, as weld leaves
// it, still tell the axis: the principal directions of what is seen do not.
func TestPartCone(t *testing.T) {
	piece := synthetic.Piece{Name: "cone", Shape: synthetic.Cone{LargeDiameterMM: 24, SmallDiameterMM: 13, HeightMM: 15}, Pose: synthetic.Upright(0, 0, 0)}
	p := cutPatch(t, piece, 0.4, func(q r3.Vec) bool {
		return q.X < -7 || q.Z < -7.3 && q.X < 7
	})
	for _, d := range principalDirections(p) {
		require.Less(t, math.Abs(d.Z), math.Cos(5*math.Pi/180))
	}
	d, ok := slantDirection(p)
	require.True(t, ok)
	require.Greater(t, math.Abs(d.Z), math.Cos(2*math.Pi/180))
	e := Recognise(p, DefaultOptions())
	require.Equal(t, "cone", e.Kind)
	for key, want := range map[string]float64{"large_diameter_mm": 24, "small_diameter_mm": 13, "height_mm": 15} {
		got, ok := e.Dim(key)
		require.True(t, ok, key)
		require.InDelta(t, want, got, 0.1, key)
	}
}

// TestNearlyConeAndSphere holds the nearest relatives of cone and sphere apart
// from them.
func TestNearlyConeAndSphere(t *testing.T) {
	for _, c := range []specimen{
		{"tube, not cone: out of round", synthetic.Tube{OutsideDiameterMM: 24, InsideDiameterMM: 20, LengthMM: 50}, 1.2, .05, 0},
		{"bar, not cone: mitred", synthetic.Bar{OutsideDiameterMM: 12, LengthMM: 30, Ends: [2]synthetic.End{{MitreDeg: 45}, {MitreDeg: 30, AzimuthDeg: 90}}}, 1, .05, 0},
		{"ring, not sphere: tight torus", synthetic.RoundRing{CentrelineDiameterMM: 13, SectionDiameterMM: 12}, .7, .05, 0},
		{"bar, not sphere: as long as wide", synthetic.Bar{OutsideDiameterMM: 20, LengthMM: 20}, 1, .05, 0},
		{"plate, not sphere: a block", synthetic.Plate{Outline: synthetic.Rectangle(30, 20), ThicknessMM: 12}, 1, .1, 0},
		{"profile, not cone or sphere: hexagon", synthetic.Profile{Section: synthetic.Hexagon(20), LengthMM: 40}, 1, .1, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := synthetic.Piece{Name: c.name, Shape: c.shape, Pose: aslant()}
			opt := scanOptions(c.edgeMM)
			opt.WavinessMM, opt.WavelengthMM = .02, 30
			e := recognised(t, p, opt)
			want, err := synthetic.TruthOf(p)
			require.NoError(t, err)
			require.Equal(t, want.Kind, e.Kind, "%v", e.Dims)
		})
	}
}
