package fidelity

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// post is an upright round post of 200 sides, or with a bore a tube lying along
// the x axis.
func post(number int, x, y, radius, height float64) Part {
	p := Part{Number: number}
	const n = 400
	for i := range uint32(n) {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		p.Points = append(p.Points, r3.Vec{X: x + radius*cos, Y: y + radius*sin}, r3.Vec{X: x + radius*cos, Y: y + radius*sin, Z: height})
		a, b := 2*i, 2*((i+1)%n)
		p.Triangles = append(p.Triangles, [3]uint32{a, b, a + 1}, [3]uint32{b, b + 1, a + 1})
		if i > 1 {
			p.Triangles = append(p.Triangles, [3]uint32{1, 2*i - 1, 2*i + 1})
		}
	}
	return p
}

// washer is a flat ring in the plane x = at, axis at height z.
func washer(number int, at, z, outer, inner float64) Part {
	p := Part{Number: number}
	const n = 400
	for i := range uint32(n) {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		p.Points = append(p.Points, r3.Vec{X: at, Y: outer * cos, Z: z + outer*sin}, r3.Vec{X: at, Y: inner * cos, Z: z + inner*sin})
		a, b := 2*i, 2*((i+1)%n)
		p.Triangles = append(p.Triangles, [3]uint32{a, b, a + 1}, [3]uint32{b, b + 1, a + 1})
	}
	return p
}

func TestNothingMoves(t *testing.T) {
	model := []Part{post(1, 0, 0, 100, 3000), post(2, 900, 0, 50, 2000)}
	opt := DefaultOptions()
	opt.StepArcmin = 2
	views, err := Compare(context.Background(), model, model, opt)
	require.NoError(t, err)
	require.Len(t, views, 8)
	for _, v := range views {
		assert.Zero(t, v.OutlineArcmin)
		assert.Equal(t, -1, v.PartNumber)
		assert.Equal(t, 6000.0, v.DistanceMM)
	}
}

// A thicker post moves its outline by the difference of the angles of its two
// tangents, asin(r/d) from the axis.
func TestThickerPostByHand(t *testing.T) {
	before, after := []Part{post(7, 0, 0, 100, 3000)}, []Part{post(7, 0, 0, 115, 3000)}
	opt := DefaultOptions()
	opt.Directions = 3
	opt.StepArcmin = 0.5
	views, err := Compare(context.Background(), before, after, opt)
	require.NoError(t, err)
	want := (math.Asin(115.0/6000) - math.Asin(100.0/6000)) / arcmin // 8.6 arc-minutes at eye height
	for _, v := range views {
		assert.InDelta(t, want, v.OutlineArcmin, 0.6) // a pixel is 0.5
		assert.Equal(t, 7, v.PartNumber)
		assert.Greater(t, v.MovedShare, 0.9)
		assert.InDelta(t, 15, v.OutlineMM, 1.1)
	}
	assert.InDelta(t, 240, views[2].AzimuthDeg, 1e-9)
}

// The opening of a washer seen square on is 2 atan(r/d) wide.
func TestOpeningByHand(t *testing.T) {
	opt := DefaultOptions()
	opt.Directions = 1
	before, after := []Part{washer(1, 0, 1600, 1600, 120)}, []Part{washer(1, 0, 1600, 1600, 80)}
	views, err := Compare(context.Background(), before, after, opt)
	require.NoError(t, err)
	require.Len(t, views[0].Openings, 1)
	o := views[0].Openings[0]
	assert.InDelta(t, 2*math.Atan(120.0/6400)/arcmin, o.BeforeArcmin, 0.8)
	assert.InDelta(t, 2*math.Atan(80.0/6400)/arcmin, o.AfterArcmin, 0.8)
	assert.InDelta(t, 0, o.AtDeg[0], 0.05)
	assert.Equal(t, 0, Worst(views))
}

func TestOpeningThatCloses(t *testing.T) {
	opt := DefaultOptions()
	opt.Directions = 1
	plug := post(2, 10, 0, 60, 3200)
	views, err := Compare(context.Background(), []Part{washer(1, 0, 1600, 1600, 50)}, []Part{washer(1, 0, 1600, 1600, 50), plug}, opt)
	require.NoError(t, err)
	require.Len(t, views[0].Openings, 1)
	assert.Zero(t, views[0].Openings[0].AfterArcmin)
	assert.Greater(t, views[0].Openings[0].BeforeArcmin, 50.0)
}

// What is hidden behind another part does not count.
func TestHiddenChangeDoesNotCount(t *testing.T) {
	opt := DefaultOptions()
	opt.Directions = 1 // from +x
	screen := washer(1, 500, 1600, 1600, 1)
	views, err := Compare(context.Background(), []Part{screen, post(2, 0, 0, 100, 3000)}, []Part{screen, post(2, 0, 0, 160, 3000)}, opt)
	require.NoError(t, err)
	assert.Less(t, views[0].OutlineArcmin, 0.1)
}

// Turned with the standpoints the work looks the same.
func TestFourfoldWorkLooksTheSameFromFourSides(t *testing.T) {
	model := func(r float64) []Part {
		return []Part{post(1, 400, 0, r, 2000), post(2, 0, 400, r, 2000), post(3, -400, 0, r, 2000), post(4, 0, -400, r, 2000)}
	}
	opt := DefaultOptions()
	opt.Directions, opt.StepArcmin = 4, 1
	views, err := Compare(context.Background(), model(50), model(56), opt)
	require.NoError(t, err)
	for _, v := range views[1:] {
		assert.InDelta(t, views[0].OutlineArcmin, v.OutlineArcmin, 1.1)
	}
}

func TestRefuses(t *testing.T) {
	ctx := context.Background()
	good := []Part{post(1, 0, 0, 100, 3000)}
	_, err := Compare(ctx, nil, good, DefaultOptions())
	assert.ErrorContains(t, err, "no points")
	bad := Part{Number: 4, Points: []r3.Vec{{X: math.NaN()}}}
	_, err = Compare(ctx, good, []Part{bad}, DefaultOptions())
	assert.ErrorContains(t, err, "part 4: a point is not finite")
	_, err = Compare(ctx, good, []Part{{Number: 4, Points: []r3.Vec{{}}, Triangles: [][3]uint32{{0, 0, 1}}}}, DefaultOptions())
	assert.ErrorContains(t, err, "a point that is not there")
	opt := DefaultOptions()
	opt.Directions = 0
	_, err = Compare(ctx, good, good, opt)
	assert.ErrorContains(t, err, "give 1 to 360")
	gone, stop := context.WithCancel(ctx)
	stop()
	_, err = Compare(gone, good, good, DefaultOptions())
	assert.ErrorIs(t, err, context.Canceled)
}
