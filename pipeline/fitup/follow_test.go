package fitup

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// TestSeamOfTubeOnPlate: a tube of 180 mm that became 168.3 mm stands on a plate that
// became 2 mm thicker: its seam is the circle of 168.3 mm on the plate's new top.
func TestSeamOfTubeOnPlate(t *testing.T) {
	plate, tube := platePart("E01", 600, 400, 20, r3.Vec{Z: 10}), tubePart("E02", 180, 8, r3.Vec{Z: 20}, r3.Vec{Z: 1020})
	contact := stock.Contact{A: 0, B: 1, Kind: "tube on plate", LengthMM: math.Pi * 180, AngleDeg: 90, Seam: ringSeam(r3.Vec{Z: 20}, r3.Vec{Z: 1}, 90, up)}
	got := solved(t, []stock.Part{plate, tube}, []stock.Part{sizedTo(plate, "thickness_mm", 22.0), sizedTo(tube, "outside_diameter_mm", 168.3, "inside_diameter_mm", 152.3)}, []stock.Contact{contact})
	require.Len(t, got.Contacts, 1)
	c := got.Contacts[0]
	top := got.Parts[0].Frame.OriginMM.Z + 11
	for i, s := range c.Seam {
		assert.InDelta(t, 84.15, math.Hypot(s.PointMM.X, s.PointMM.Y), 0.01)
		assert.InDelta(t, top, s.PointMM.Z, 0.01)
		assert.InDelta(t, 1, r3.Dot(s.A, contact.Seam[i].A), 1e-6)
		assert.InDelta(t, 1, r3.Dot(s.B, contact.Seam[i].B), 1e-6)
	}
	assert.InEpsilon(t, math.Pi*168.3, c.LengthMM, 1e-3)
	assert.InDelta(t, 90, c.AngleDeg, 1e-6)
	assert.InDelta(t, math.Pi*180, contact.LengthMM, 1e-9, "what was given stays")
}

// TestSeamThatNobodyMoved stays where it was.
func TestSeamThatNobodyMoved(t *testing.T) {
	plate, tube := platePart("E01", 600, 400, 20, r3.Vec{Z: 10}), tubePart("E02", 180, 8, r3.Vec{Z: 20}, r3.Vec{Z: 1020})
	contact := stock.Contact{A: 0, B: 1, Kind: "tube on plate", LengthMM: 500, AngleDeg: math.NaN(), Seam: ringSeam(r3.Vec{Z: 20}, r3.Vec{Z: 1}, 90, up)}
	got := solved(t, []stock.Part{plate, tube}, []stock.Part{plate, tube}, []stock.Contact{contact}).Contacts[0]
	for i, s := range got.Seam {
		assert.InDelta(t, 0, r3.Norm(r3.Sub(s.PointMM, contact.Seam[i].PointMM)), 1e-6)
	}
	assert.InDelta(t, 500, got.LengthMM, 1e-6)
	assert.True(t, math.IsNaN(got.AngleDeg))
}

// TestToBoth: two walls at 60° between their normals, by hand: the step ends on both.
func TestToBoth(t *testing.T) {
	na, nb := r3.Vec{X: 1}, r3.Vec{X: 0.5, Y: math.Sqrt(3) / 2}
	step := toBoth(3, -2, na, nb)
	assert.InDelta(t, -3, r3.Dot(step, na), 1e-12)
	assert.InDelta(t, 2, r3.Dot(step, nb), 1e-12)
	assert.Equal(t, r3.Vec{X: -2}, toBoth(3, -1, r3.Vec{X: 1}, r3.Vec{X: -1}))
}

// TestSeamOfSaddle: a tube of 60.3 mm runs square into the side of one of 168.3 mm,
// scanned as 60 on 180: the saddle's height is R - √(R² - r²), the faces open by 90°
// to 90° + asin(r/R).
func TestSeamOfSaddle(t *testing.T) {
	post, spoke := tubePart("E01", 180, 8, r3.Vec{}, r3.Vec{Z: 1000}), tubePart("E02", 60, 4, r3.Vec{X: 90, Z: 500}, r3.Vec{X: 600, Z: 500})
	spoke.Ends[0].Kind = "saddle"
	var seam []stock.SeamAt
	for i := range 73 {
		s, c := math.Sincos(float64(i) * math.Pi / 36)
		y, x := 30*c, math.Sqrt(90*90-900*c*c)
		seam = append(seam, stock.SeamAt{Run: 1, PointMM: r3.Vec{X: x, Y: y, Z: 500 + 30*s}, A: r3.Vec{X: x / 90, Y: y / 90}, B: r3.Vec{Y: c, Z: s}})
	}
	contact := stock.Contact{A: 0, B: 1, Kind: "tube on tube", LengthMM: seamLength(seam), AngleDeg: 90, Seam: seam}
	got := solved(t, []stock.Part{post, spoke}, []stock.Part{sizedTo(post, "outside_diameter_mm", 168.3, "inside_diameter_mm", 152.3), sizedTo(spoke, "outside_diameter_mm", 60.3, "inside_diameter_mm", 52.3)}, []stock.Contact{contact})
	big, small := 84.15, 30.15
	low, high, open := math.Inf(1), 0.0, 0.0
	for _, s := range got.Contacts[0].Seam {
		x := s.PointMM.X - got.Parts[0].Frame.OriginMM.X
		low, high = min(low, x), max(high, x)
		open = max(open, 180-math.Acos(r3.Dot(s.A, s.B))*180/math.Pi)
	}
	assert.InDelta(t, big-math.Sqrt(big*big-small*small), high-low, 0.05)
	assert.InDelta(t, 90+math.Asin(small/big)*180/math.Pi, open, 0.1)
}
