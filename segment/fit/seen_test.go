package fit

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// What a fit says that it saw is what the patch shows, less the share between
// neighbouring points (400 of them: some 2 %).
func TestSeen(t *testing.T) {
	axis, p := unit(r3.Vec{X: 1, Y: 2, Z: 2}), r3.Vec{X: 3, Y: -4, Z: 7}
	seen := func(name string, want Patch, a Association, err error) {
		t.Run(name, func(t *testing.T) {
			require.NoError(t, err)
			near := func(want, got float64, what string) {
				if want == 0 {
					require.Zero(t, got, what)
				} else {
					require.InEpsilon(t, want, got, 0.03, what)
				}
			}
			near(want.ArcDeg, a.ArcDeg, "arc")
			near(want.SectionArcDeg, a.SectionArcDeg, "section arc")
			near(want.LengthMM, a.LengthMM, "length")
			near(want.WidthMM, a.WidthMM, "width")
		})
	}
	patch := Patch{LengthMM: 50}
	_, a, err := FitLine(Line{p, axis}.Points(400, patch), nil)
	seen("line", patch, a, err)
	plane := Plane{p, axis}
	patch = Patch{LengthMM: 50, WidthMM: 20}
	_, a, err = FitPlane(plane.Points(400, patch), nil)
	seen("plane", patch, a, err)
	sphere := Sphere{p, 15}
	_, a, err = FitSphere(sphere.Points(400, Patch{ArcDeg: 140}), nil, sphere)
	seen("sphere", Patch{ArcDeg: 140}, a, err)
	for _, arc := range []float64{20, 90, 270, 360} {
		patch = Patch{ArcDeg: arc, LengthMM: 50}
		cylinder := Cylinder{p, axis, 12}
		_, a, err = FitCylinder(cylinder.Points(400, patch), nil, cylinder)
		seen("cylinder", patch, a, err)
	}
	cone := Cone{p, axis, 14, 20}
	patch = Patch{ArcDeg: 200, LengthMM: 30}
	_, a, err = FitCone(cone.Points(400, patch), nil, cone)
	seen("cone", patch, a, err)
	torus := Torus{p, axis, 30, 6}
	_, a, err = FitTorus(torus.Points(400, Patch{ArcDeg: 100, SectionArcDeg: 150}), nil, torus)
	seen("torus", Patch{ArcDeg: 100, SectionArcDeg: 150, LengthMM: 52.36}, a, err) // 30·100·π/180
	helix := Helix{p, axis, 12, 9, 40, 2}
	_, a, err = FitHelix(helix.Points(400, Patch{ArcDeg: 900, SectionArcDeg: 300}), nil, helix)
	seen("helix", Patch{ArcDeg: 900, SectionArcDeg: 300, LengthMM: 26.3}, a, err) // 2.5 turns of 9 and the section's height
}

// A circle in space is the circle in its plane.
func TestCircleInItsPlane(t *testing.T) {
	for _, set := range []string{"circle_ggs6", "circle_cookbook_full", "circle_cookbook_arc", "circle_arc60"} {
		t.Run(set, func(t *testing.T) {
			flat := reference(t, set)
			start2, err := StartCircle2(flatten(flat))
			require.NoError(t, err)
			want, a2, err := FitCircle2(flatten(flat), nil, start2)
			require.NoError(t, err)
			m := motionOf{1, r3.NewRotation(1.1, r3.Vec{X: 1, Y: 2, Z: -1}), r3.Vec{X: 5, Y: 6, Z: -7}}
			start, err := StartCircle(m.all(flat))
			require.NoError(t, err)
			got, a, err := FitCircle(m.all(flat), nil, start)
			require.NoError(t, err)
			require.InDelta(t, want.RadiusMM, got.RadiusMM, 1e-8)
			samePlace(t, m.at(r3.Vec{X: want.Centre.X, Y: want.Centre.Y}), got.Centre, 1e-8)
			sameAxis(t, m.dir(r3.Vec{Z: 1}), got.Axis, 1e-9)
			require.InEpsilon(t, a2.SSQ, a.SSQ, 1e-9)
			require.Equal(t, a2.DOF, a.DOF-float64(len(flat)-3)) // n residuals across the plane, three parameters of it
		})
	}
}

// Four points by hand: the line is the x axis, Σy² = 2, Σx² = 18.
func TestLineByHand(t *testing.T) {
	l, a, err := FitLine([]r3.Vec{{X: -3}, {Y: 1}, {Y: -1}, {X: 3}}, nil)
	require.NoError(t, err)
	sameAxis(t, r3.Vec{X: 1}, l.Axis, 1e-15)
	require.InDelta(t, 2, a.SSQ, 1e-14)
	require.Equal(t, 4.0, a.DOF)
	require.InDelta(t, 6, a.LengthMM, 1e-14)
	require.InDelta(t, 1./18, a.Cov[0], 1e-14) // 1/Σx²
	require.InDelta(t, 1./4, a.Cov[10], 1e-14) // 1/n
}

func TestCircle2Normal(t *testing.T) {
	c := Circle2{r2.Vec{X: 1, Y: 1}, 5}
	require.InDelta(t, 0, c.Distance(r2.Vec{X: 4, Y: 5}), 1e-15)
	require.InDelta(t, 0.8, c.Normal(r2.Vec{X: 4, Y: 5}).Y, 1e-15)
	require.Equal(t, r2.Vec{}, c.Normal(c.Centre))
}

// Directions come out upright: the component largest in magnitude is positive.
func TestUpright(t *testing.T) {
	require.Equal(t, r3.Vec{X: 0.1, Y: -0.2, Z: 0.9}, upright(r3.Vec{X: -0.1, Y: 0.2, Z: -0.9}))
	require.Positive(t, upright(r3.Vec{X: -1, Y: 1 + 1e-12}).X) // equal but for rounding: the first decides
}
