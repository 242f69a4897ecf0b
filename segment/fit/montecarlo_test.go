package fit

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// studied holds the ratio of observed to predicted scatter within 0.1 of 1
// over 800 trials, four standard deviations of the ratio (1/√1600 = 0.025).
func studied[F Estimate[F]](t *testing.T, name string, f F, points []r3.Vec, fit func([]r3.Vec, []float64, F) (F, Association, error)) {
	t.Run(name, func(t *testing.T) {
		t.Parallel()
		s, err := CramerRao(f, points, 0.01, 800, 1, fit)
		require.NoError(t, err)
		require.Zero(t, s.Failed)
		for i, p := range s.Parameters {
			require.InDelta(t, 1, s.Ratio(i), 0.1, p)
			require.InDelta(t, 0, s.Bias[i]/s.Predicted[i], 0.15, p) // 4/√800
		}
	})
}

func TestCovariancePredictsTheScatter(t *testing.T) {
	axis, p := unit(r3.Vec{X: 1, Y: 2, Z: 2}), r3.Vec{X: 3, Y: -4, Z: 7}
	line := Line{p, axis}
	studied(t, "line", line, line.Points(60, Patch{LengthMM: 60}),
		func(q []r3.Vec, w []float64, _ Line) (Line, Association, error) { return FitLine(q, w) })
	plane := Plane{p, axis}
	studied(t, "plane", plane, plane.Points(60, Patch{LengthMM: 60, WidthMM: 20}), fitPlane)
	circle := Circle{p, axis, 20}
	studied(t, "circle", circle, circle.Points(60, Patch{ArcDeg: 120}), FitCircle)
	sphere := Sphere{p, 15}
	studied(t, "sphere", sphere, sphere.Points(80, Patch{ArcDeg: 120}), FitSphere)
	cylinder := Cylinder{p, axis, 12}
	studied(t, "cylinder", cylinder, cylinder.Points(80, Patch{ArcDeg: 120, LengthMM: 40}), FitCylinder)
	cone := Cone{p, axis, 14, -20}
	studied(t, "cone", cone, cone.Points(80, Patch{ArcDeg: 200, LengthMM: 30}), FitCone)
	torus := Torus{p, axis, 30, 6}
	studied(t, "torus", torus, torus.Points(100, Patch{ArcDeg: 120, SectionArcDeg: 360}), FitTorus)
	helix := Helix{p, axis, 12, 9, 40, 2}
	studied(t, "helix", helix, helix.Points(150, Patch{ArcDeg: 900, SectionArcDeg: 300}), FitHelix)
}

// Area weights: residuals of equal variance, points of weight 1 and 4.
func TestCovarianceOfAWeightedFit(t *testing.T) {
	c := Cylinder{r3.Vec{X: 3, Y: -4, Z: 7}, unit(r3.Vec{X: 1, Y: 2, Z: 2}), 12}
	points := c.Points(80, Patch{ArcDeg: 120, LengthMM: 40})
	w := make([]float64, len(points))
	for i := range w {
		w[i] = 1 + 3*float64(i%2)
	}
	studied(t, "cylinder", c, points, func(p []r3.Vec, _ []float64, s Cylinder) (Cylinder, Association, error) {
		return FitCylinder(p, w, s)
	})
}

func TestCramerRaoRefuses(t *testing.T) {
	s := Sphere{RadiusMM: 5}
	_, err := CramerRao(s, s.Points(20, Patch{ArcDeg: 360}), 0, 5, 1, FitSphere)
	require.ErrorIs(t, err, ErrInput)
	_, err = CramerRao(s, nil, 1, 5, 1, FitSphere)
	require.ErrorIs(t, err, ErrTooFew)
}
