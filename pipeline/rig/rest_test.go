package rig

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// TestRestsOfBlock: a box lies on all six sides; on its widest it tips at
// atan(half width / half height).
func TestRestsOfBlock(t *testing.T) {
	b := moved(block("E01", r3.Vec{}, 300, 200, 50, 1), r3.Vec{X: 1, Y: 3, Z: -1}, 0.8, r3.Vec{X: 500, Y: 3, Z: 90})
	all := restings(outlineOf(b.Points), []r3.Vec{b.CentreMM})
	require.Len(t, all, 6)
	x := all[0].laid(smallest(all[0].plan()))
	assert.InDelta(t, 300, x.LengthMM, 1e-6)
	assert.InDelta(t, 200, x.WidthMM, 1e-6)
	assert.InDelta(t, 50, x.HeightMM, 1e-6)
	assert.InDelta(t, math.Atan2(100, 25)/deg, x.TipDeg, 1e-6)
	turn := r3.NewRotation(0.8, r3.Vec{X: 1, Y: 3, Z: -1})
	assert.InDelta(t, 1, math.Abs(r3.Dot(x.AlongDir, turn.Rotate(r3.Vec{X: 1}))), 1e-9)
	assert.InDelta(t, 1, math.Abs(r3.Dot(x.DownDir, turn.Rotate(r3.Vec{Z: 1}))), 1e-9)
}

// TestRestNeedsSupport: a slab that leans out beyond its foot does not stand on it:
// with its centre of gravity over the foot's edge or beyond, that pose is gone.
func TestRestNeedsSupport(t *testing.T) {
	b := block("E01", r3.Vec{}, 100, 100, 400, 1)
	for i := range b.Points {
		b.Points[i].X += 0.5 * b.Points[i].Z // centre shifts by 100, the foot ends 50 from its own middle
	}
	b.CentreMM.X += 100
	for _, r := range restings(outlineOf(b.Points), []r3.Vec{b.CentreMM}) {
		assert.Less(t, math.Abs(r.down.Z), 0.99)
	}
	b.CentreMM.X -= 60 // 40 from the middle of the foot: stands, 10 mm from the edge, 200 mm up
	tip := -1.0
	for _, r := range restings(outlineOf(b.Points), []r3.Vec{b.CentreMM}) {
		if r.down.Z < -0.99 {
			tip = r.tip
		}
	}
	assert.InDelta(t, math.Atan2(10, 200)/deg, tip, 1e-9)
}

// TestEveryBodyRests: whatever the cloud, a hull has a stable face for a centre of
// gravity inside it, and no pose depends on how the cloud was turned.
func TestEveryBodyRests(t *testing.T) {
	draw := rand.New(rand.NewPCG(7, 1))
	for range 200 {
		var p []r3.Vec
		var c r3.Vec
		n := 5 + draw.IntN(25)
		for range n {
			p = append(p, r3.Vec{X: 1000 * draw.NormFloat64(), Y: 300 * draw.NormFloat64(), Z: 100 * draw.NormFloat64()})
			c = r3.Add(c, r3.Scale(1/float64(n), p[len(p)-1]))
		}
		a, ok := lowestRest(outlineOf(p), []r3.Vec{c})
		require.True(t, ok)
		turn := r3.NewRotation(1.3, r3.Vec{X: 1, Y: 0.2, Z: 0.7})
		for i := range p {
			p[i] = turn.Rotate(p[i])
		}
		b, ok := lowestRest(outlineOf(p), []r3.Vec{turn.Rotate(c)})
		require.True(t, ok)
		require.InDelta(t, a.HeightMM, b.HeightMM, 1e-6)
		require.InDelta(t, a.LengthMM*a.WidthMM, b.LengthMM*b.WidthMM, 1e-3)
	}
}

// TestFittingAgainstScan: a polygon fits a rectangle at an angle found where a
// search in steps of 0.02° says so, and the other way round.
func TestFittingAgainstScan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p [][2]float64
		for range rapid.IntRange(3, 12).Draw(t, "n") {
			p = append(p, [2]float64{rapid.Float64Range(-3000, 3000).Draw(t, "x"), rapid.Float64Range(-1000, 1000).Draw(t, "y")})
		}
		p = flatHull(p)
		if len(p) < 3 {
			return
		}
		length, width := rapid.Float64Range(500, 6000).Draw(t, "length"), rapid.Float64Range(500, 3000).Draw(t, "width")
		at, ok := fitting(p, length, width)
		if ok {
			l, w := extents(p, at)
			require.LessOrEqual(t, l, length*(1+1e-9))
			require.LessOrEqual(t, w, width*(1+1e-9))
			return
		}
		for i := range 9000 {
			l, w := extents(p, float64(i)*0.02*deg)
			require.False(t, l < length && w < width, "fits at %v°", float64(i)*0.02)
		}
	})
}

// TestFittingAslant: a needle of 5 m in a room 4 m by 4 m lies only aslant.
func TestFittingAslant(t *testing.T) {
	needle := [][2]float64{{0, 0}, {5000, 0}, {5000, 10}, {0, 10}}
	at, ok := fitting(needle, 4000, 4000)
	require.True(t, ok)
	l, w := extents(needle, at)
	assert.LessOrEqual(t, max(l, w), 4000.0+1e-6)
	_, ok = fitting(needle, 3500, 3500)
	assert.False(t, ok)
}
