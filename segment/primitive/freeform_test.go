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

// egg is a soup of an ellipsoid of semi-axes a, b, c in a turned frame, noise
// along the normal; open leaves out what lies over 0.6 of c.
func egg(a, b, c, noise float64, seed uint64, open bool) mesh.Soup {
	const n, m = 60, 120
	r := rand.New(rand.NewPCG(seed, 3))
	at := make([][m]r3.Vec, n+1)
	u, v, w := r3.Unit(r3.Vec{X: 1, Y: 0.5, Z: -0.2}), r3.Vec{}, r3.Vec{}
	v = r3.Unit(r3.Cross(u, r3.Vec{X: 0.3, Y: -1, Z: 0.7}))
	w = r3.Cross(u, v)
	for i := range at {
		for j := range m {
			lat, lon := math.Pi*float64(i)/n, 2*math.Pi*float64(j)/m
			if (i == 0 || i == n) && j > 0 {
				at[i][j] = at[i][0]
				continue
			}
			x, y, z := math.Sin(lat)*math.Cos(lon), math.Sin(lat)*math.Sin(lon), math.Cos(lat)
			k := noise * r.NormFloat64()
			g := math.Sqrt(x*x/a/a + y*y/b/b + z*z/c/c)
			x, y, z = a*x+k*x/a/g, b*y+k*y/b/g, c*z+k*z/c/g
			at[i][j] = r3.Add(r3.Scale(x, u), r3.Add(r3.Scale(y, v), r3.Scale(z, w)))
		}
	}
	s := mesh.Soup{File: "egg.stl"}
	add := func(p, q, t r3.Vec) {
		if p != q && q != t && t != p {
			addFacet(&s, p, q, t)
		}
	}
	for i := range n {
		for j := range m {
			if open && math.Cos(math.Pi*(float64(i)+0.5)/n) > 0.6 {
				continue
			}
			k := (j + 1) % m
			add(at[i][j], at[i+1][j], at[i+1][k])
			add(at[i][j], at[i+1][k], at[i][k])
		}
	}
	return s
}

// addFacet adds three corners; checking welds equal ones.
func addFacet(s *mesh.Soup, corners ...r3.Vec) {
	n := uint32(len(s.Points))
	for _, q := range corners {
		s.Points = append(s.Points, [3]float32{float32(q.X), float32(q.Y), float32(q.Z)})
	}
	s.Corners = append(s.Corners, [3]uint32{n, n + 1, n + 2})
}

func surveyed(t *testing.T, s mesh.Soup) Element {
	p := patchOf(t, s)
	e := freeform(p)
	e.Survey(p, DefaultOptions())
	return e
}

// TestSurvey measures an ellipsoid, which is no kind: volume 4/3 π a b c; sections
// at height x have the area π b c (1 − x²/a²).
func TestSurvey(t *testing.T) {
	const a, b, c = 40.0, 25.0, 15.0
	for _, noise := range []float64{0.05} {
		s := egg(a, b, c, noise, 1, false)
		require.Equal(t, "freeform", Recognise(patchOf(t, s), DefaultOptions()).Kind)
		e := surveyed(t, s)
		v := e.dimension("volume_mm3")
		assert.InEpsilon(t, 4./3*math.Pi*a*b*c, v.Value, 0.005) // chords of 3 degrees lack 0.3 %
		assert.Less(t, v.U95, 0.01*v.Value)
		assert.Positive(t, v.U95)
		// Knud Thomsen's formula for the area, right to 1.1 % (from memory).
		const p = 1.6075
		area := 4 * math.Pi * math.Pow((math.Pow(a*b, p)+math.Pow(a*c, p)+math.Pow(b*c, p))/3, 1/p)
		assert.InEpsilon(t, area, e.dimension("surface_area_mm2").Value, 0.02)
		med, low, high := e.dimension("thickness_median_mm"), e.dimension("thickness_p5_mm"), e.dimension("thickness_p95_mm")
		assert.True(t, low.Value < med.Value && med.Value < high.Value)
		assert.InDelta(t, 2*c, med.Value, 4) // most of an egg this flat is seen through its height
		assert.Less(t, high.Value, 2*a)
		require.Len(t, e.Sections, 9)
		for _, q := range e.Sections {
			require.Len(t, q.Loops, 1)
			l := q.Loops[0]
			assert.Equal(t, l[0], l[len(l)-1])
			assert.LessOrEqual(t, len(l), 121)
			want := math.Pi * b * c * (1 - q.StationMM*q.StationMM/a/a)
			assert.InEpsilon(t, want, loopArea(l[:len(l)-1]), 0.02, "station %g", q.StationMM)
		}
		require.NotEmpty(t, e.Notes)
		assert.Contains(t, e.Notes[len(e.Notes)-1], "no known kind: ")
	}
}

// TestSurveyOfSheet measures a saddle-shaped sheet 2 mm thick.
func TestSurveyOfSheet(t *testing.T) {
	for seed := range uint64(2) {
		e := surveyed(t, saddle(2, 0.03, seed))
		med := e.dimension("thickness_median_mm")
		assert.InDelta(t, 2, med.Value, 0.01+2*med.U95)
		assert.Greater(t, e.dimension("thickness_p95_mm").Value, 2.0) // its edges, 6 % of the surface, are seen through its width
		assert.InDelta(t, 2, e.dimension("thickness_p5_mm").Value, 0.15)
	}
}

// saddle is a closed sheet about z = x y/60, 60 mm square, thick along its normal.
func saddle(thick, noise float64, seed uint64) mesh.Soup {
	const n = 50
	r := rand.New(rand.NewPCG(seed, 8))
	var top, bottom [n + 1][n + 1]r3.Vec
	for i := range top {
		for j := range top[i] {
			x, y := 60*float64(i)/n-30, 60*float64(j)/n-30
			g := r3.Unit(r3.Vec{X: -y / 60, Y: -x / 60, Z: 1})
			at := r3.Vec{X: x, Y: y, Z: x * y / 60}
			top[i][j] = r3.Add(at, r3.Scale(thick/2+noise*r.NormFloat64(), g))
			bottom[i][j] = r3.Sub(at, r3.Scale(thick/2+noise*r.NormFloat64(), g))
		}
	}
	s := mesh.Soup{File: "saddle.stl"}
	quad := func(a, b, c, d r3.Vec) {
		for _, t := range [2][3]r3.Vec{{a, b, c}, {a, c, d}} {
			addFacet(&s, t[0], t[1], t[2])
		}
	}
	for i := range n {
		for j := range n {
			quad(top[i][j], top[i+1][j], top[i+1][j+1], top[i][j+1])
			quad(bottom[i][j], bottom[i][j+1], bottom[i+1][j+1], bottom[i+1][j])
		}
		quad(bottom[i][0], bottom[i+1][0], top[i+1][0], top[i][0])
		quad(top[i][n], top[i+1][n], bottom[i+1][n], bottom[i][n])
		quad(bottom[0][i+1], bottom[0][i], top[0][i], top[0][i+1])
		quad(bottom[n][i], bottom[n][i+1], top[n][i+1], top[n][i])
	}
	return s
}

// TestSurveyOfOpenScan has no volume and open section lines, and still an area.
func TestSurveyOfOpenScan(t *testing.T) {
	e := surveyed(t, egg(40, 25, 15, 0.02, 2, true))
	assert.Contains(t, e.Hidden, "volume_mm3")
	assert.Positive(t, e.dimension("surface_area_mm2").Value)
	open := 0
	for _, q := range e.Sections {
		for _, l := range q.Loops {
			if l[0] != l[len(l)-1] {
				open++
			}
		}
	}
	assert.Greater(t, open, 3)
}

// TestSurveyOfNothing holds that a patch without facets, or of one, is no panic.
func TestSurveyOfNothing(t *testing.T) {
	e := freeform(&Patch{})
	e.Survey(&Patch{}, DefaultOptions())
	assert.Empty(t, e.Sections)
	s := egg(4, 3, 2, 0, 1, true)
	s.Corners = s.Corners[:400]
	e = surveyed(t, s)
	assert.Contains(t, e.Hidden, "thickness_median_mm")
}
