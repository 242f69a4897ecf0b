package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// TestNear holds the fits of a search to a twentieth of the standard deviation of
// what the full fit finds, from a start that is off by some noises.
func TestNear(t *testing.T) {
	const noise, points = 0.02, 800
	rng := rand.New(rand.NewPCG(5, 1))
	axis := r3.Unit(r3.Vec{X: 0.3, Y: -0.2, Z: 0.9})
	e, f := Frame(axis)
	at := r3.Vec{X: 12, Y: -7, Z: 31}
	scan := func(place func(u, v float64) r3.Vec) []r3.Vec {
		p := make([]r3.Vec, points)
		for i := range p {
			q := place(rng.Float64(), rng.Float64())
			p[i] = r3.Add(q, r3.Vec{X: noise * rng.NormFloat64(), Y: noise * rng.NormFloat64(), Z: noise * rng.NormFloat64()})
		}
		return p
	}
	round := func(u, r, h float64) r3.Vec {
		sin, cos := math.Sincos(4 * u)
		return r3.Add(at, r3.Add(r3.Scale(h, axis), r3.Add(r3.Scale(r*cos, e), r3.Scale(r*sin, f))))
	}
	off := r3.Vec{X: 0.1, Y: -0.1, Z: 0.05}
	lean := r3.Unit(r3.Add(axis, r3.Scale(0.01, e)))

	p := scan(func(u, v float64) r3.Vec { return round(u, 9, 20*v) })
	c := Cylinder{r3.Add(at, off), lean, 9.1}
	want, full, err := FitCylinder(p, nil, c)
	require.NoError(t, err)
	got, err := NearCylinder(p, c)
	require.NoError(t, err)
	require.InDelta(t, want.RadiusMM, got.RadiusMM, full.StdDev(4, noise)/20)

	p = scan(func(u, v float64) r3.Vec { return round(u, 9+6*v, 20*v) })
	k := Cone{Point: r3.Add(at, off), Axis: lean, RadiusMM: 9.1, HalfAngleDeg: 16}
	wantCone, fullCone, err := FitCone(p, nil, k)
	require.NoError(t, err)
	gotCone, err := NearCone(p, k)
	require.NoError(t, err)
	for _, q := range []r3.Vec{p[3], p[400], p[777]} {
		require.InDelta(t, wantCone.Distance(q), gotCone.Distance(q), noise/20, "%v", fullCone.Parameters)
	}

	p = scan(func(u, v float64) r3.Vec { return round(u, 15*math.Sin(2*v), 15*math.Cos(2*v)) })
	s := Sphere{r3.Add(at, off), 15.1}
	wantSphere, fullSphere, err := FitSphere(p, nil, s)
	require.NoError(t, err)
	gotSphere, err := NearSphere(p, s)
	require.NoError(t, err)
	require.InDelta(t, wantSphere.RadiusMM, gotSphere.RadiusMM, fullSphere.StdDev(3, noise)/20)

	p = scan(func(u, v float64) r3.Vec { return round(u, 30+5*math.Cos(5*v), 5*math.Sin(5*v)) })
	o := Torus{r3.Add(at, off), lean, 30.1, 4.9}
	wantTorus, _, err := FitTorus(p, nil, o)
	require.NoError(t, err)
	gotTorus, err := NearTorus(p, o)
	require.NoError(t, err)
	for _, q := range []r3.Vec{p[3], p[400], p[777]} {
		require.InDelta(t, wantTorus.Distance(q), gotTorus.Distance(q), noise/20)
	}
}

func TestNearRefusals(t *testing.T) {
	_, err := NearSphere(nil, Sphere{RadiusMM: 1})
	require.ErrorIs(t, err, ErrTooFew)
	_, err = NearCylinder([]r3.Vec{{X: math.NaN()}}, Cylinder{Axis: r3.Vec{Z: 1}, RadiusMM: 1})
	require.ErrorIs(t, err, ErrInput)
}
