package rig

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// block is a box with its least corner at a place.
func block(id string, at r3.Vec, l, w, h, kg float64) Body {
	b := Body{ID: id, MassKG: kg, MassLowKG: kg, MassHighKG: kg, CentreMM: r3.Add(at, r3.Vec{X: l / 2, Y: w / 2, Z: h / 2})}
	for i := range 8 {
		b.Points = append(b.Points, r3.Add(at, r3.Vec{X: l * float64(i&1), Y: w * float64(i>>1&1), Z: h * float64(i>>2)}))
	}
	for _, f := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		b.Triangles = append(b.Triangles, [3]uint32{f[0], f[1], f[2]}, [3]uint32{f[0], f[2], f[3]})
	}
	return b
}

func spread(b Body, low, high float64) Body {
	b.MassLowKG, b.MassHighKG = b.MassKG*low, b.MassKG*high
	return b
}

// moved turns a body about an axis through the origin and shifts it.
func moved(b Body, axis r3.Vec, rad float64, by r3.Vec) Body {
	turn := r3.NewRotation(rad, axis)
	out := b
	out.CentreMM = r3.Add(turn.Rotate(b.CentreMM), by)
	out.Points = make([]r3.Vec, len(b.Points))
	for i, p := range b.Points {
		out.Points[i] = r3.Add(turn.Rotate(p), by)
	}
	return out
}

func near(t *testing.T, want, got r3.Vec, within float64) {
	t.Helper()
	assert.InDelta(t, 0, r3.Norm(r3.Sub(want, got)), within, "%v, not %v", got, want)
}

// TestMeasureClosedForms: a box has l²/12 along each side; a tetrahedron of three
// unit edges at right angles has volume 1/6, centre 1/4, and variances 3/80,
// covariances -1/80 (by integration by hand).
func TestMeasureClosedForms(t *testing.T) {
	b := block("E01", r3.Vec{X: 1e5, Y: -3e4, Z: 10}, 300, 200, 50, 1)
	m, err := Measure(b.Points, b.Triangles)
	require.NoError(t, err)
	assert.InEpsilon(t, 3e6, m.VolumeMM3, 1e-12)
	near(t, b.CentreMM, m.CentreMM, 1e-9)
	for i, want := range []float64{7500, 40000. / 12, 2500. / 12, 0, 0, 0} {
		assert.InDelta(t, want, m.SpreadMM2[i], 1e-7)
	}
	points := []r3.Vec{{}, {X: 1}, {Y: 1}, {Z: 1}}
	m, err = Measure(points, [][3]uint32{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {0, 3, 2}})
	require.NoError(t, err)
	assert.InEpsilon(t, 1./6, m.VolumeMM3, 1e-12)
	near(t, r3.Vec{X: 0.25, Y: 0.25, Z: 0.25}, m.CentreMM, 1e-12)
	for i, want := range []float64{3. / 80, 3. / 80, 3. / 80, -1. / 80, -1. / 80, -1. / 80} {
		assert.InDelta(t, want, m.SpreadMM2[i], 1e-12)
	}
}

// TestMeasureTurned: the spread turns with the mesh.
func TestMeasureTurned(t *testing.T) {
	a := block("E01", r3.Vec{X: 20}, 300, 200, 50, 1)
	axis := r3.Unit(r3.Vec{X: 1, Y: 2, Z: -0.5})
	b := moved(a, axis, 0.7, r3.Vec{X: 900, Y: -20, Z: 4})
	m, err := Measure(a.Points, a.Triangles)
	require.NoError(t, err)
	n, err := Measure(b.Points, b.Triangles)
	require.NoError(t, err)
	near(t, b.CentreMM, n.CentreMM, 1e-9)
	turn := r3.NewRotation(0.7, axis)
	for _, v := range []r3.Vec{{X: 1}, {Y: 1}, {X: 0.6, Z: 0.8}} {
		assert.InEpsilon(t, along(m.SpreadMM2, v), along(n.SpreadMM2, turn.Rotate(v)), 1e-9)
	}
}

func along(t Tensor, v r3.Vec) float64 {
	return t[0]*v.X*v.X + t[1]*v.Y*v.Y + t[2]*v.Z*v.Z + 2*(t[3]*v.X*v.Y+t[4]*v.Y*v.Z+t[5]*v.Z*v.X)
}

// TestMassOfHalves: two halves of a box have the mass, centre and inertia of the
// whole: m(w²+h²)/12.
func TestMassOfHalves(t *testing.T) {
	m, err := MassOf([]Body{block("E01", r3.Vec{}, 1000, 400, 200, 30), block("E02", r3.Vec{X: 1000}, 1000, 400, 200, 30)})
	require.NoError(t, err)
	assert.InDelta(t, 60, m.MassKG, 1e-12)
	near(t, r3.Vec{X: 1000, Y: 200, Z: 100}, m.CentreMM, 1e-9)
	assert.InDelta(t, 0, r3.Norm(r3.Sub(m.BoxMM[1], m.BoxMM[0])), 1e-9)
	for i, want := range []float64{60 * (0.16 + 0.04) / 12, 60 * (4 + 0.04) / 12, 60 * (4 + 0.16) / 12, 0, 0, 0} {
		assert.InDelta(t, want, m.InertiaKGM2[i], 1e-9)
	}
}

// TestBoxByHand: 10 kg ± 1 kg at 0 and at 1 m: the centre lies between 9/20 and
// 11/20 of a metre.
func TestBoxByHand(t *testing.T) {
	m, err := MassOf([]Body{spread(block("E01", r3.Vec{X: -5}, 10, 10, 10, 10), 0.9, 1.1), spread(block("E02", r3.Vec{X: 995}, 10, 10, 10, 10), 0.9, 1.1)})
	require.NoError(t, err)
	near(t, r3.Vec{X: 450, Y: 5, Z: 5}, m.BoxMM[0], 1e-9)
	near(t, r3.Vec{X: 550, Y: 5, Z: 5}, m.BoxMM[1], 1e-9)
}

// TestBoxAgainstAllVertices: the box equals that of all 2^n choices of least and
// greatest masses.
func TestBoxAgainstAllVertices(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "n")
		bodies := make([]Body, n)
		for i := range bodies {
			x := func(name string) float64 { return rapid.Float64Range(-3000, 3000).Draw(t, name) }
			b := block(fmt.Sprint("E", i), r3.Vec{X: x("x"), Y: x("y"), Z: x("z")}, 100, 100, 100, rapid.Float64Range(1, 900).Draw(t, "kg"))
			bodies[i] = spread(b, rapid.Float64Range(0.5, 1).Draw(t, "low"), rapid.Float64Range(1, 1.5).Draw(t, "high"))
		}
		m, err := MassOf(bodies)
		require.NoError(t, err)
		lo, hi := math.Inf(1), math.Inf(-1)
		for set := range 1 << n {
			mass, moment := 0.0, 0.0
			for i, b := range bodies {
				kg := b.MassLowKG
				if set>>i&1 == 1 {
					kg = b.MassHighKG
				}
				mass, moment = mass+kg, moment+kg*b.CentreMM.Y
			}
			lo, hi = min(lo, moment/mass), max(hi, moment/mass)
		}
		require.InDelta(t, lo, m.BoxMM[0].Y, 1e-8)
		require.InDelta(t, hi, m.BoxMM[1].Y, 1e-8)
	})
}

func TestAllowance(t *testing.T) {
	low, likely, high, err := DefaultAllowance().Range(1000)
	require.NoError(t, err)
	assert.InDelta(t, 927, low, 1e-9) // 900 × 1.03
	assert.InDelta(t, 1040, likely, 1e-9)
	assert.InDelta(t, 1155, high, 1e-9) // 1100 × 1.05
	for _, a := range []Allowance{{Stock: -0.1}, {Stock: 1}, {WeldLow: 0.05, WeldHigh: 0.03}, {Stock: math.NaN()}} {
		_, _, _, err = a.Range(1000)
		assert.ErrorContains(t, err, "give shares")
	}
	for _, kg := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		_, _, _, err = DefaultAllowance().Range(kg)
		assert.ErrorContains(t, err, "give one over 0")
	}
}

func TestMassRefusals(t *testing.T) {
	good := block("E01", r3.Vec{}, 10, 10, 10, 5)
	for name, c := range map[string]struct {
		spoil func(*Body)
		says  string
	}{
		"no mass":   {func(b *Body) { b.MassLowKG = 0 }, "range over 0"},
		"disorder":  {func(b *Body) { b.MassHighKG = 4 }, "range over 0"},
		"NaN":       {func(b *Body) { b.MassKG = math.NaN() }, "range over 0"},
		"no centre": {func(b *Body) { b.CentreMM.X = math.Inf(1) }, "finite"},
		"no mesh":   {func(b *Body) { b.Triangles = nil }, "at least 4"},
		"open":      {func(b *Body) { b.Triangles = b.Triangles[1:] }, "open at 3 edges"},
		"inwards": {func(b *Body) {
			b.Triangles = append([][3]uint32(nil), b.Triangles...)
			for i, t := range b.Triangles {
				b.Triangles[i] = [3]uint32{t[0], t[2], t[1]}
			}
		}, "inwards"},
		"beyond": {func(b *Body) { b.Triangles = append([][3]uint32{{0, 1, 99}}, b.Triangles...) }, "beyond"},
	} {
		t.Run(name, func(t *testing.T) {
			b := good
			c.spoil(&b)
			_, err := MassOf([]Body{b})
			assert.ErrorContains(t, err, c.says)
			assert.ErrorContains(t, err, "E01")
		})
	}
	_, err := MassOf(nil)
	assert.ErrorIs(t, err, errNoBodies)
	_, err = MassOf([]Body{good, good})
	assert.ErrorContains(t, err, "twice")
}
