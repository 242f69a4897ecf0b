package primitive

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
)

// bentShape is a middle surface over s, v in [0, 1], its unit normal, and where it
// lies when it is laid flat, by its closed form.
type bentShape struct {
	at   func(s, v float64) (place, normal r3.Vec)
	flat func(s, v float64) [2]float64
}

// sheetOf is the scan of a sheet about a middle surface: two skins and a rim, with
// a round hole of holeMM about the middle of s and v, noise along the normals.
func sheetOf(b bentShape, thickMM, noiseMM float64) mesh.Soup {
	const n, m = 64, 40
	r := rand.New(rand.NewPCG(5, 6))
	var skin [2][n + 1][m + 1]r3.Vec
	for i := range n + 1 {
		for j := range m + 1 {
			q, d := b.at(float64(i)/n, float64(j)/m)
			for k := range skin {
				h := (float64(k)-0.5)*thickMM + noiseMM*r.NormFloat64()
				skin[k][i][j] = r3.Add(q, r3.Scale(h, d))
			}
		}
	}
	s := mesh.Soup{File: "sheet.stl"}
	o := skin[0][0][0]
	along, across := r3.Sub(skin[0][1][0], o), r3.Sub(skin[0][0][1], o)
	left := r3.Dot(r3.Cross(along, across), r3.Sub(skin[1][0][0], o)) < 0 // s, v and normal of a left hand
	quad := func(a, b, c, d r3.Vec) {
		if left {
			b, d = d, b
		}
		addFacet(&s, a, b, c)
		addFacet(&s, a, c, d)
	}
	for i := range n {
		for j := range m {
			quad(skin[1][i][j], skin[1][i+1][j], skin[1][i+1][j+1], skin[1][i][j+1])
			quad(skin[0][i][j], skin[0][i][j+1], skin[0][i+1][j+1], skin[0][i+1][j])
		}
	}
	for i := range n {
		quad(skin[0][i][0], skin[0][i+1][0], skin[1][i+1][0], skin[1][i][0])
		quad(skin[0][i+1][m], skin[0][i][m], skin[1][i][m], skin[1][i+1][m])
	}
	for j := range m {
		quad(skin[0][0][j+1], skin[0][0][j], skin[1][0][j], skin[1][0][j+1])
		quad(skin[0][n][j], skin[0][n][j+1], skin[1][n][j+1], skin[1][n][j])
	}
	return s
}

// border is the outline of the closed form.
func (b bentShape) border() (line [][2]float64) {
	const n = 400
	for i := range n {
		line = append(line, b.flat(float64(i)/n, 0))
	}
	for i := range n {
		line = append(line, b.flat(1, float64(i)/n))
	}
	for i := range n {
		line = append(line, b.flat(1-float64(i)/n, 1))
	}
	for i := range n {
		line = append(line, b.flat(0, 1-float64(i)/n))
	}
	return line
}

func widest(line [][2]float64) (most float64) {
	for _, p := range line {
		for _, q := range line {
			most = max(most, hypot(p[0]-q[0], p[1]-q[1]))
		}
	}
	return most
}

func cylinderSheet() bentShape {
	const r, sweep, width = 25.0, 140 * math.Pi / 180, 40.0
	return bentShape{func(s, v float64) (r3.Vec, r3.Vec) {
		sin, cos := math.Sincos(s * sweep)
		return r3.Vec{X: r * cos, Y: r * sin, Z: v * width}, r3.Vec{X: cos, Y: sin}
	}, func(s, v float64) [2]float64 { return [2]float64{r * s * sweep, v * width} }}
}

// coneSheet develops to a sector: a turn about the axis shrinks by the sine of the
// half angle.
func coneSheet() bentShape {
	const half, from, to, turn = 28 * math.Pi / 180, 30.0, 68.0, 150 * math.Pi / 180
	return bentShape{func(s, v float64) (r3.Vec, r3.Vec) {
		l := from + (1-v)*(to-from)
		sin, cos := math.Sincos(s * turn)
		return r3.Vec{X: l * math.Sin(half) * cos, Y: l * math.Sin(half) * sin, Z: -l * math.Cos(half)},
			r3.Vec{X: math.Cos(half) * cos, Y: math.Cos(half) * sin, Z: math.Sin(half)}
	}, func(s, v float64) [2]float64 {
		l := from + (1-v)*(to-from)
		sin, cos := math.Sincos(s * turn * math.Sin(half))
		return [2]float64{l * cos, l * sin}
	}}
}

// catenarySheet is a general cylinder over y = a cosh(x/a), as long as a sinh(x/a),
// with skew ends.
func catenarySheet() bentShape {
	const a, wide, width = 30.0, 50.0, 45.0
	x := func(s float64) float64 { return wide * (s - 0.4) }
	up := func(s, v float64) float64 { return v*width + 0.3*x(s) }
	return bentShape{func(s, v float64) (r3.Vec, r3.Vec) {
		sinh := math.Sinh(x(s) / a)
		return r3.Vec{X: x(s), Y: a * math.Cosh(x(s)/a), Z: up(s, v)}, r3.Unit(r3.Vec{X: sinh, Y: -1})
	}, func(s, v float64) [2]float64 { return [2]float64{a * math.Sinh(x(s)/a), up(s, v)} }}
}

// tangentSheet is swept by the tangents of a helix: the helix becomes an arc of its
// own curvature, its tangents stay tangents (Struik, Lectures on Classical
// Differential Geometry, 2nd ed., 2-4).
func tangentSheet() bentShape {
	const a, b, long = 20.0, 15.0, 35.0
	c := math.Hypot(a, b)
	reach := func(v float64) float64 { return 18 + 32*(1-v) }
	return bentShape{func(s, v float64) (r3.Vec, r3.Vec) {
		sin, cos := math.Sincos(s * long / c)
		at := r3.Vec{X: a * cos, Y: a * sin, Z: b * s * long / c}
		tangent := r3.Vec{X: -a * sin / c, Y: a * cos / c, Z: b / c}
		return r3.Add(at, r3.Scale(reach(v), tangent)), r3.Vec{X: b * sin / c, Y: -b * cos / c, Z: a / c}
	}, func(s, v float64) [2]float64 {
		r := c * c / a
		sin, cos := math.Sincos(s * long / r)
		return [2]float64{r*cos - reach(v)*sin, r*sin + reach(v)*cos}
	}}
}

// TestUnroll: cylinder, cone, general cylinder and tangent developable come out
// with the area, girth and greatest width of their closed forms, and with straight
// lines of bending where these are known.
func TestUnroll(t *testing.T) {
	for name, b := range map[string]bentShape{"cylinder": cylinderSheet(), "cone": coneSheet(), "general cylinder": catenarySheet(), "tangent developable": tangentSheet()} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := patchOf(t, sheetOf(b, 1.5, 0.01))
			u, err := Unroll(p, 1.5)
			require.NoError(t, err)
			want := b.border()

			assert.InEpsilon(t, math.Abs(polygonAreaMM2(want)), polygonAreaMM2(u.Outer), 0.003)
			assert.InEpsilon(t, chainLength(want), chainLength(u.Outer), 0.006)
			assert.InEpsilon(t, widest(want), widest(u.Outer), 0.002)
			assert.Less(t, u.Strain, 0.003)
			assert.NotEmpty(t, u.Rulings)
		})
	}
}

// TestUnrollRulings: those of a cylinder are parallel and as long as it is wide,
// those of a cone meet in its apex.
func TestUnrollRulings(t *testing.T) {
	u, err := Unroll(patchOf(t, sheetOf(cylinderSheet(), 1.5, 0.01)), 1.5)
	require.NoError(t, err)
	require.Greater(t, len(u.Rulings), 6)
	for _, r := range u.Rulings {
		assert.InDelta(t, 40, hypot(r.A[0]-r.B[0], r.A[1]-r.B[1]), 0.2)
		assert.InDelta(t, 25, math.Abs(r.RadiusMM), 2)
	}
	u, err = Unroll(patchOf(t, sheetOf(coneSheet(), 1.5, 0.01)), 1.5)
	require.NoError(t, err)
	whole := 0
	for _, r := range u.Rulings {
		if math.Abs(hypot(r.A[0]-r.B[0], r.A[1]-r.B[1])-38) < 0.6 {
			whole++
		}
	}
	assert.GreaterOrEqual(t, whole, 5) // those at the ends may cut a corner off
}

// TestUnrollRefuses what is curved both ways, and what is no sheet.
func TestUnrollRefuses(t *testing.T) {
	const r = 60.0
	dome := bentShape{at: func(s, v float64) (r3.Vec, r3.Vec) {
		x, y := 60*(s-0.5), 45*(v-0.5)
		n := r3.Unit(r3.Vec{X: x, Y: y, Z: r})
		return r3.Scale(r, n), n
	}}
	_, err := Unroll(patchOf(t, sheetOf(dome, 1.5, 0.01)), 1.5)
	require.ErrorIs(t, err, ErrUnroll)
	assert.ErrorContains(t, err, "curved both ways")
	_, err = Unroll(patchOf(t, egg(20, 15, 12, 0.01, 1, false)), 1.5)
	require.ErrorIs(t, err, ErrUnroll)
	assert.ErrorContains(t, err, "no sheet")
}
