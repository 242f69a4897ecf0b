package site

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func straits(pieces []Piece) []strait {
	c, ok := clearanceOf(pieces, 3000, headHighMM/2+cubeMM)
	if !ok {
		return nil
	}
	out := straitsOf(&c)
	for i := range out {
		out[i].refined(pieces)
	}
	return out
}

// rail is a bar of 40 mm along x, postAt one of 60 mm along z.
func rail(id string, x0, x1, y, z float64) Piece {
	p := Piece{}
	p.Part.ID, p.Part.Kind = id, "bar"
	points, triangles := turnedSolid([]float64{1e-3, 20, 20, 1e-3}, []float64{x0, x0, x1, x1}, r3.Vec{})
	for _, q := range points {
		p.PointsMM = append(p.PointsMM, r3.Vec{X: q.Z, Y: q.X + y, Z: q.Y + z})
	}
	p.Triangles = triangles
	return p
}

func postAt(id string, x float64) Piece {
	p := Piece{}
	p.Part.ID, p.Part.Kind = id, "bar"
	p.PointsMM, p.Triangles = turnedSolid([]float64{1e-3, 30, 30, 1e-3}, []float64{0, 0, 1800, 1800}, r3.Vec{X: x})
	return p
}

// Two rungs of a ladder, 150 mm clear: a hole bounded by four pieces. 70 mm lets no body
// by, 300 mm a head too.
func TestGapBetweenRungs(t *testing.T) {
	for gap, want := range map[float64]int{70: 0, 120: 1, 150: 1, 200: 1, 300: 0} {
		pieces := []Piece{postAt("E01", 0), postAt("E02", 700), rail("E03", 0, 700, 0, 900), rail("E04", 0, 700, 0, 940+gap)}
		n := 0
		for _, s := range straits(pieces) {
			if s.doors >= 2 {
				n++
				require.InDelta(t, gap, s.acrossMM, 0.5, "the clear distance of parallel bars is known exactly")
				require.InDelta(t, 920+gap/2, s.atMM.Z, 1)
			}
		}
		require.Equal(t, want, n, "%g mm", gap)
	}
}

// The same rungs with one post taken away are open at one end: no hole.
func TestProngsAreNoHole(t *testing.T) {
	for _, s := range straits([]Piece{postAt("E01", 0), rail("E03", 0, 700, 0, 900), rail("E04", 0, 700, 0, 1090)}) {
		require.Less(t, s.doors, 2)
	}
}

// Two plates that lean apart from a line by 40 degrees, open upwards, make a V of 40
// degrees; lying on its side it does not open upwards; of 70 degrees it holds nobody.
func TestVeeOfPlates(t *testing.T) {
	v := func(deg float64) []Piece {
		half := deg / 2 * math.Pi / 180
		plate := block("E01", r3.Vec{X: 20, Y: -300}, r3.Vec{X: 700, Y: 300, Z: 6})
		right := rotatedAll([]Piece{plate}, r3.Vec{Y: 1}, -(math.Pi/2 - half), 0)[0]
		plate.Part.ID = "E02"
		left := rotatedAll(rotatedAll([]Piece{plate}, r3.Vec{Y: 1}, -(math.Pi/2-half), 0), r3.Vec{Z: 1}, math.Pi, 0)[0]
		return rotatedAll([]Piece{right, left}, r3.Vec{Z: 1}, 0, 800)
	}
	got := straits(v(40))
	require.Len(t, got, 1)
	require.Equal(t, 1, got[0].doors)
	require.InDelta(t, 40, got[0].angleDeg, 0.5)
	require.Greater(t, got[0].opens.Z, 0.0)
	for _, s := range straits(v(80)) {
		require.Greater(t, s.angleDeg, vDeg)
	}
	for _, s := range straits(rotatedAll(rotatedAll(v(40), r3.Vec{Z: 1}, 0, -800), r3.Vec{Y: 1}, math.Pi/2, 800)) {
		require.Less(t, math.Abs(s.opens.Z), 40.0)
	}
}
