package fitup

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// Parts by hand, full size, mm.

func dims(kv ...any) []stock.Dim {
	var out []stock.Dim
	for i := 0; i < len(kv); i += 2 {
		out = append(out, stock.Dim{Key: kv[i].(string), Value: kv[i+1].(float64), U95: 0.1})
	}
	return out
}

func boxed(p stock.Part) stock.Part {
	s := shapesOf(p)[0]
	at := poseOf(p)
	for i, q := range s.edges {
		v := at.point(q)
		if i == 0 {
			p.BoxMM = [2]r3.Vec{v, v}
		}
		p.BoxMM[0] = r3.Vec{X: min(p.BoxMM[0].X, v.X), Y: min(p.BoxMM[0].Y, v.Y), Z: min(p.BoxMM[0].Z, v.Z)}
		p.BoxMM[1] = r3.Vec{X: max(p.BoxMM[1].X, v.X), Y: max(p.BoxMM[1].Y, v.Y), Z: max(p.BoxMM[1].Z, v.Z)}
	}
	return p
}

func tubePart(id string, od, wall float64, from, to r3.Vec) stock.Part {
	d := unit(r3.Sub(to, from))
	l := r3.Norm(r3.Sub(to, from))
	e, _ := square(d)
	return boxed(stock.Part{ID: id, Kind: "tube", Dims: dims("outside_diameter_mm", od, "inside_diameter_mm", od-2*wall, "wall_mm", wall, "length_mm", l),
		Frame: stock.Frame{OriginMM: r3.Scale(0.5, r3.Add(from, to)), Axis: d, Ref: e}, AreaMM2: math.Pi * od * l,
		Ends: []stock.End{{Kind: "square", AtMM: from, Out: r3.Scale(-1, d)}, {Kind: "square", AtMM: to, Out: d}}})
}

func platePart(id string, l, w, t float64, at r3.Vec) stock.Part {
	a, b := l/2, w/2
	return boxed(stock.Part{ID: id, Kind: "plate", Dims: dims("thickness_mm", t, "length_mm", l, "width_mm", w), AreaMM2: 2 * l * w,
		Frame:   stock.Frame{OriginMM: at, Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}},
		Outline: []stock.Step{{To: [2]float64{a, -b}}, {To: [2]float64{a, b}}, {To: [2]float64{-a, b}}, {To: [2]float64{-a, -b}}}})
}

// sizedTo is a part with other sizes.
func sizedTo(p stock.Part, kv ...any) stock.Part {
	p.Dims = append([]stock.Dim(nil), p.Dims...)
	for i := 0; i < len(kv); i += 2 {
		for k := range p.Dims {
			if p.Dims[k].Key == kv[i].(string) {
				p.Dims[k].Value = kv[i+1].(float64)
			}
		}
	}
	return p
}

// ringSeam is a circle of a seam; normal tells those of A and B from the place and
// the way out from the middle.
func ringSeam(at, axis r3.Vec, radius float64, normal func(out r3.Vec) (a, b r3.Vec)) []stock.SeamAt {
	e, f := square(unit(axis))
	var out []stock.SeamAt
	for i := range 36 {
		y, x := math.Sincos(float64(i) * math.Pi / 18)
		o := r3.Add(r3.Scale(x, e), r3.Scale(y, f))
		a, b := normal(o)
		out = append(out, stock.SeamAt{Run: 1, PointMM: r3.Add(at, r3.Scale(radius, o)), A: a, B: b})
	}
	return out
}

func up(o r3.Vec) (a, b r3.Vec) { return r3.Vec{Z: 1}, o }

func solved(t testing.TB, scan, sized []stock.Part, contacts []stock.Contact, relations ...stock.Relation) Assembly {
	t.Helper()
	got, err := Solve(context.Background(), scan, sized, contacts, relations, DefaultOptions())
	require.NoError(t, err)
	require.Len(t, got.Parts, len(scan))
	assert.True(t, got.Settled)
	return got
}

func near(t testing.TB, want, got r3.Vec, within float64, msg string) {
	t.Helper()
	assert.InDelta(t, 0, r3.Norm(r3.Sub(want, got)), within, "%s: want %v, got %v", msg, want, got)
}

// A post of 168 mm on a base 20 mm thick becomes 168.3 (NPS 6, ASME B36.10M) on
// 25.4 mm: the base stands on the ground, so its top is at 25.4, and the post,
// whose free end stays at 2020, is 5.4 mm shorter.
func TestPostOnBase(t *testing.T) {
	base := platePart("E01", 800, 600, 20, r3.Vec{Z: 10})
	post := tubePart("E02", 168, 8, r3.Vec{Z: 20}, r3.Vec{Z: 2020})
	sized := []stock.Part{sizedTo(base, "thickness_mm", 25.4), sizedTo(post, "outside_diameter_mm", 168.3, "inside_diameter_mm", 154.1)}
	c := stock.Contact{A: 0, B: 1, Kind: "tube on plate", Seam: ringSeam(r3.Vec{Z: 20}, r3.Vec{Z: 1}, 84, up)}
	got := solved(t, []stock.Part{base, post}, sized, []stock.Contact{c})
	require.Equal(t, 0, got.Datum)
	near(t, r3.Vec{Z: 12.7}, got.Parts[0].Frame.OriginMM, 1e-6, "base")
	near(t, r3.Vec{Z: (25.4 + 2020) / 2}, got.Parts[1].Frame.OriginMM, 0.01, "post")
	l, _ := got.Parts[1].Size("length_mm")
	assert.InDelta(t, 2020-25.4, l, 0.01)
	require.Len(t, got.Joints, 1)
	assert.Equal(t, "touch", got.Joints[0].Way)
	assert.InDelta(t, -5.4, got.Joints[0].BeforeMM, 1e-6)
	assert.InDelta(t, 0, got.Joints[0].GapMM, 0.001)
	assert.InDelta(t, 25.4, got.Parts[1].BoxMM[0].Z, 0.01)
	assert.Empty(t, got.Conflicts)
	require.Len(t, got.Trims, 1)
	assert.InDelta(t, -5.4, got.Trims[0].ByMM, 0.01)
}
