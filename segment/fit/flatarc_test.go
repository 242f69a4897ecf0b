package fit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Arcs of 2° and 5° of a radius of 100 rise 0.015 and 0.1 over their chord, and
// the radius and the axis' place are all but one parameter. Bare points still
// find the cylinder, within 4 standard deviations of a radius known to 0.01 %
// (noise 1e-6) and to a third (noise 0.01 on 2°: there a long tail, so only
// the deviation is held).
func TestFlatArcs(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for _, arc := range []float64{2, 5} {
		for _, sigma := range []float64{1e-6, 1e-4, 1e-2} {
			t.Run(fmt.Sprintf("%g deg, noise %g", arc, sigma), func(t *testing.T) {
				axis := unit(r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()})
				exact := Cylinder{r3.Vec{X: 3}, axis, 100}
				points := exact.Points(400, Patch{ArcDeg: arc, LengthMM: 20})
				for i, p := range points {
					points[i] = along(p, sigma*rng.NormFloat64(), exact.Normal(p))
				}
				start, err := StartCylinder(points, nil)
				require.NoError(t, err)
				got, a, err := FitCylinder(points, nil, start)
				require.NoError(t, err)
				require.InEpsilon(t, sigma, a.NoiseMM, 0.15)
				if u := a.StdDev(4, sigma); u < 10 {
					require.Less(t, math.Abs(got.RadiusMM-100), 4*u)
				}
			})
		}
	}
}
