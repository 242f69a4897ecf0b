package site

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// block is a box along the axes.
func block(id string, lo, hi r3.Vec) Piece {
	p := Piece{Part: stock.Part{ID: id, Kind: "plate"}}
	for k := range 8 {
		q := lo
		if k&1 != 0 {
			q.X = hi.X
		}
		if k&2 != 0 {
			q.Y = hi.Y
		}
		if k&4 != 0 {
			q.Z = hi.Z
		}
		p.PointsMM = append(p.PointsMM, q)
	}
	for _, f := range [6][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		p.Triangles = append(p.Triangles, [3]uint32{f[0], f[1], f[2]}, [3]uint32{f[0], f[2], f[3]})
	}
	return p
}

// rotatedAll turns pieces by a rotation about an axis through the origin and lifts them.
func rotatedAll(pieces []Piece, axis r3.Vec, rad, up float64) []Piece {
	r := r3.NewRotation(rad, axis)
	out := make([]Piece, len(pieces))
	for i, p := range pieces {
		out[i] = p
		out[i].PointsMM = nil
		for _, q := range p.PointsMM {
			out[i].PointsMM = append(out[i].PointsMM, r3.Add(r.Rotate(q), r3.Vec{Z: up}))
		}
	}
	return out
}

func pockets(pieces []Piece) ([]Pocket, []Cavity) {
	f := flood(columnsOver(pieces, nil))
	return f.pocketsOf(pieces)
}

// bowl is half of a hollow ball, open upwards, its centre at the origin.
func bowl(r, wall float64, n int) Piece {
	var radii, heights []float64
	for i := range n + 1 { // outside, from below up
		s, c := math.Sincos(math.Pi / 2 * float64(i) / float64(n))
		radii, heights = append(radii, (r+wall)*s), append(heights, -(r+wall)*c)
	}
	for i := range n + 1 { // inside, down
		s, c := math.Sincos(math.Pi / 2 * float64(n-i) / float64(n))
		radii, heights = append(radii, r*s), append(heights, -r*c)
	}
	p := Piece{Part: stock.Part{ID: "E01", Kind: "freeform"}}
	p.PointsMM, p.Triangles = turnedSolid(radii, heights, r3.Vec{})
	return p
}

// A bowl holds half a ball, however finely it is meshed.
func TestBowlHoldsHalfABall(t *testing.T) {
	for _, n := range []int{24, 60} {
		got, none := pockets(rotatedAll([]Piece{bowl(400, 8, n)}, r3.Vec{Z: 1}, 0.3, 900))
		require.Len(t, got, 1)
		require.Empty(t, none)
		require.InEpsilon(t, 2*math.Pi/3*0.4*0.4*0.4*1000, got[0].VolumeL, 0.01)
		require.InDelta(t, 400, got[0].DepthMM, 1)
		require.InDelta(t, 900, got[0].LevelMM, 0.5)
		require.InDelta(t, 0, math.Hypot(got[0].LowestMM[0], got[0].LowestMM[1]), 40)
		require.True(t, got[0].OpenToSky)
		require.Equal(t, []string{"E01"}, got[0].IDs)
	}
	over, _ := pockets(rotatedAll([]Piece{bowl(400, 8, 40)}, r3.Vec{X: 1}, math.Pi, 900))
	require.Empty(t, over, "upside down it sheds")
}

// A leaning cup keeps π R² (H − R tan a): what is over the lowest point of its brim is lost.
func TestLeaningCup(t *testing.T) {
	const r, h, wall, lean = 150.0, 500.0, 6.0, 25 * math.Pi / 180
	cup := Piece{Part: stock.Part{ID: "E07", Kind: "tube"}}
	cup.PointsMM, cup.Triangles = turnedSolid([]float64{0, r + wall, r + wall, r, r, 0}, []float64{-wall, -wall, h, h, 0, 0}, r3.Vec{})
	got, _ := pockets(rotatedAll([]Piece{cup}, r3.Unit(r3.Vec{X: 1, Y: 0.4}), lean, 1000))
	require.Len(t, got, 1)
	require.InEpsilon(t, math.Pi*r*r*(h-r*math.Tan(lean))/1e6, got[0].VolumeL, 0.012)
}

// tray has walls thinner than the grid is wide.
func tray(notch float64) []Piece {
	return []Piece{
		block("E01", r3.Vec{Z: 500}, r3.Vec{X: 1000, Y: 600, Z: 506}),
		block("E02", r3.Vec{Z: 506}, r3.Vec{X: 1000, Y: 3, Z: 556}), block("E03", r3.Vec{Y: 597, Z: 506}, r3.Vec{X: 1000, Y: 600, Z: 556}),
		block("E04", r3.Vec{Y: 3, Z: 506}, r3.Vec{X: 3, Y: 597, Z: 556}), block("E05", r3.Vec{X: 997, Y: 3, Z: 506}, r3.Vec{X: 1000, Y: 597, Z: 556 - notch}),
	}
}

func TestTray(t *testing.T) {
	full, _ := pockets(tray(0))
	require.Len(t, full, 1)
	require.InEpsilon(t, 0.994*0.594*50, full[0].VolumeL, 0.015)
	require.Equal(t, "E01", full[0].IDs[0])
	low, _ := pockets(tray(30))
	require.InEpsilon(t, 0.994*0.594*20, low[0].VolumeL, 0.015, "it runs over where the rim is lowest")
	aside, _ := pockets(rotatedAll(tray(0), r3.Vec{Z: 1}, 0.6, 0))
	require.InEpsilon(t, 0.994*0.594*50, aside[0].VolumeL, 0.015, "turned off the grid")
	leaky, _ := pockets(append(tray(0)[:4], block("E05", r3.Vec{X: 997, Y: 100, Z: 506}, r3.Vec{X: 1000, Y: 597, Z: 556})))
	require.Empty(t, leaky, "a wall that stops short lets it out")
	shut, cavities := pockets(append(tray(0), block("E06", r3.Vec{Z: 556}, r3.Vec{X: 1000, Y: 600, Z: 562})))
	require.Empty(t, shut)
	require.Len(t, cavities, 1)
	require.InEpsilon(t, 0.994*0.594*50, cavities[0].VolumeL, 0.015)
	require.Contains(t, cavities[0].IDs, "E06")
	solid, _ := pockets([]Piece{block("E01", r3.Vec{}, r3.Vec{X: 500, Y: 500, Z: 80})})
	require.Empty(t, solid)
}

// A gap at a seam is shut by its weld: two plates that lean apart, 11 mm at their feet.
func TestWeldShutsATrough(t *testing.T) {
	v := func(side float64) Piece {
		p := rotatedAll([]Piece{block("E01", r3.Vec{X: 14, Y: -400}, r3.Vec{X: 414, Y: 400, Z: 6})}, r3.Vec{Y: 1}, -math.Pi/4, 600)[0]
		if side < 0 {
			p = rotatedAll([]Piece{p}, r3.Vec{Z: 1}, math.Pi, 0)[0]
			p.Part.ID = "E02"
		}
		return p
	}
	ends := []Piece{block("E03", r3.Vec{X: -400, Y: -406, Z: 500}, r3.Vec{X: 400, Y: -400, Z: 1000}), block("E04", r3.Vec{X: -400, Y: 400, Z: 500}, r3.Vec{X: 400, Y: 406, Z: 1000})}
	pieces := append([]Piece{v(1), v(-1)}, ends...)
	open, _ := pockets(pieces)
	require.Empty(t, open)
	at := seamAt(1, r3.Vec{Y: -402, Z: 612}, r3.Vec{Y: 402, Z: 612})
	f := flood(columnsOver(pieces, []stock.Contact{{A: 0, B: 1, Seam: at}}))
	shut, _ := f.pocketsOf(pieces)
	require.Len(t, shut, 1)
	require.Subset(t, shut[0].IDs, []string{"E01", "E02"})
	const deep = (414 - 6) / math.Sqrt2 // from where their inner faces would meet to the brim
	require.InEpsilon(t, deep*deep*800/1e6, shut[0].VolumeL, 0.02, "a right-angled trough, its foot filled by the weld")
	require.Contains(t, shut[0].Advice, "fill the trough")
}

// A tube whose ends are shut holds no rain, though fit-up left a slit at one of them.
func TestShutTubeHoldsNoRain(t *testing.T) {
	tube := rotatedAll([]Piece{mast(219.1, 8.2, 1000)}, r3.Vec{Y: 1}, math.Pi/2, 500)[0]
	ends := []Piece{block("E02", r3.Vec{X: -6, Y: -110, Z: 300}, r3.Vec{Y: 110, Z: 590}), block("E03", r3.Vec{X: 1000, Y: -110, Z: 300}, r3.Vec{X: 1006, Y: 110, Z: 620})}
	tube.Part.Ends = []stock.End{{Kind: "square"}, {Kind: "square", Met: true}}
	got, _ := pockets(append([]Piece{tube}, ends...))
	require.Len(t, got, 1)
	tube.Part.Ends = []stock.End{{Kind: "square", Met: true}, {Kind: "square", Met: true}}
	got, _ = pockets(append([]Piece{tube}, ends...))
	require.Empty(t, got)
}
