package fit

import (
	"math"
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// numbersOf gathers every float of a struct.
func numbersOf(v any) (all []float64) {
	var walk func(reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Float64:
			all = append(all, v.Float())
		case reflect.Struct:
			for i := range v.NumField() {
				walk(v.Field(i))
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		}
	}
	walk(reflect.ValueOf(v))
	return all
}

// answers runs every entry of the package on points and returns what came
// without an error, by name.
func answers(points []r3.Vec) map[string]any {
	out := map[string]any{}
	put := func(name string, f any, a Association, err error) {
		if err == nil {
			out[name] = []any{f, a}
		}
	}
	l, a, err := FitLine(points, nil)
	put("FitLine", l, a, err)
	l, a, _, err = RobustLine(points, nil)
	put("RobustLine", l, a, err)
	c, a, _, err := RobustCircle(points, nil)
	put("RobustCircle", c, a, err)
	c, a, err = FitCircle(points, nil, Circle{Axis: r3.Vec{Z: 1}, RadiusMM: 1})
	put("FitCircle", c, a, err)
	flat := make([]r2.Vec, len(points))
	for i, p := range points {
		flat[i] = r2.Vec{X: p.X, Y: p.Y}
	}
	c2, a, _, err := RobustCircle2(flat, nil)
	put("RobustCircle2", c2, a, err)
	for _, tr := range trials() {
		f, a, err := tr.fit(points, nil, tr.exact)
		put("Fit "+tr.name, f, a, err)
		f, a, _, err = tr.robust(points, nil)
		put("Robust "+tr.name, f, a, err)
		f, a, _, err = tr.robust(points, make([]r3.Vec, len(points)))
		put("Robust with normals of length 0 "+tr.name, f, a, err)
	}
	return out
}

func TestHostilePoints(t *testing.T) {
	row := func(n int, at func(i int) r3.Vec) []r3.Vec {
		p := make([]r3.Vec, n)
		for i := range p {
			p[i] = at(i)
		}
		return p
	}
	line := func(i int) r3.Vec { return r3.Vec{X: 1 + float64(i), Y: 2 - 3*float64(i), Z: 0.5 * float64(i)} }
	for _, c := range []struct {
		name   string
		points []r3.Vec
		may    []string // the only features that such points determine
	}{
		{"none", nil, nil},
		{"one", row(1, line), nil},
		{"two", row(2, line), []string{"FitLine", "RobustLine"}},
		{"coincident", row(50, func(int) r3.Vec { return r3.Vec{X: 3, Y: 0.1, Z: 7} }), nil},
		{"collinear", row(50, line), []string{"FitLine", "RobustLine"}},
		{"one NaN", append(row(50, line), r3.Vec{X: math.NaN()}), nil},
		{"one infinite", append(row(50, line), r3.Vec{Y: math.Inf(1)}), nil},
		{"out of reach", append(row(50, line), r3.Vec{Y: 1e300}), nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			for name, v := range answers(c.points) {
				require.Contains(t, c.may, name, "%+v", v)
			}
		})
	}
	_, _, err := FitPlane(row(3, line), []float64{1, 1})
	require.ErrorIs(t, err, ErrInput)
	_, _, err = FitPlane(row(3, line), []float64{1, -1, 1})
	require.ErrorIs(t, err, ErrInput)
	_, _, err = FitPlane(row(3, line), []float64{0, 0, 0})
	require.ErrorIs(t, err, ErrTooFew)
	_, _, err = FitPlane(row(2, line), nil)
	require.ErrorIs(t, err, ErrTooFew)
	_, _, err = FitCylinder(row(9, line), nil, Cylinder{})
	require.ErrorIs(t, err, ErrDiverged)
	_, err = StartCylinder(row(9, line), make([]r3.Vec, 3))
	require.ErrorIs(t, err, ErrInput)
	_, err = StartTorus(row(6, line), nil)
	require.ErrorIs(t, err, ErrTooFew)
}

// Whatever the points, an answer holds finite numbers only.
func TestAnyPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := math.Pow(10, rapid.Float64Range(-20, 20).Draw(t, "size"))
		n := rapid.IntRange(0, 14).Draw(t, "n")
		coordinate := rapid.IntRange(-2, 2) // small integers coincide, line up and make planes
		points := make([]r3.Vec, n)
		for i := range points {
			points[i] = r3.Scale(size, r3.Vec{
				X: float64(coordinate.Draw(t, "x")), Y: float64(coordinate.Draw(t, "y")), Z: float64(coordinate.Draw(t, "z")),
			})
		}
		for name, v := range answers(points) {
			for _, pair := range v.([]any) {
				for _, x := range numbersOf(pair) {
					require.True(t, finite(x), "%s: %+v", name, v)
				}
			}
		}
	})
}
