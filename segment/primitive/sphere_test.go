package primitive

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// poses are three that share no direction.
func poses() []synthetic.Pose {
	return []synthetic.Pose{
		synthetic.Upright(0, 0, 0), aslant(),
		{OriginMM: r3.Vec{X: -200, Y: 3, Z: 90}, Axis: r3.Vec{X: -0.9, Y: 0.1, Z: -0.2}, Ref: r3.Vec{Y: 1}},
	}
}

// TestSphere reads balls over noise, facets and poses. A diameter rests on some
// hundreds of vertices or more: its error stays far under the noise.
func TestSphere(t *testing.T) {
	for i, c := range []struct{ diameter, edge, noise float64 }{
		{30, 1.5, 0}, {30, 1.5, .02}, {12, 0.5, .1}, {60, 3, .05}, {8, 0.8, .02},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			t.Parallel()
			p := synthetic.Piece{Name: "ball", Shape: synthetic.Sphere{DiameterMM: c.diameter}, Pose: poses()[i%3]}
			opt := scanOptions(c.edge)
			opt.NoiseMM = c.noise
			e := recognised(t, p, opt)
			requireTruth(t, p, e, max(.3*c.noise, .001), 0)
			requireFrame(t, p, e, max(.2*c.noise, .001), 2)
			require.Greater(t, e.Coverage, 0.95)
		})
	}
}

// TestCutSphere reads balls cut flat, drilled and hollow.
func TestCutSphere(t *testing.T) {
	for i, c := range []struct {
		shape       synthetic.Sphere
		edge, noise float64
	}{
		{synthetic.Sphere{DiameterMM: 40, HeightMM: 36}, 1.2, .02},
		{synthetic.Sphere{DiameterMM: 40, HeightMM: 20}, 1.2, .05},
		{synthetic.Sphere{DiameterMM: 40, HeightMM: 13}, 1, .02},
		{synthetic.Sphere{DiameterMM: 24, BoreMM: 6}, .7, .05},
		{synthetic.Sphere{DiameterMM: 24, BoreMM: 12}, .7, .02},
		{synthetic.Sphere{DiameterMM: 24, BoreMM: 8, HeightMM: 20}, .7, .02},
		{synthetic.Sphere{DiameterMM: 60, HeightMM: 25, WallMM: 2}, 1.2, .03},
		{synthetic.Sphere{DiameterMM: 60, HeightMM: 40, WallMM: 3}, 1.5, .03},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			t.Parallel()
			p := synthetic.Piece{Name: "ball", Shape: c.shape, Pose: poses()[i%3]}
			opt := scanOptions(c.edge)
			opt.NoiseMM = c.noise
			e := recognised(t, p, opt)
			requireTruth(t, p, e, .8*c.noise, 0)
			require.Greater(t, e.Coverage, 0.9)
		})
	}
}
