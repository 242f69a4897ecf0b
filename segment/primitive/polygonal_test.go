package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestBrokenChannel: of a channel welds cover both inside corners, an outside one and a
// strip along the back of its web; what is left of its walls says what it is.
func TestBrokenChannel(t *testing.T) {
	const height, width, wall, weld = 24, 12, 2, 1.5
	outline := synthetic.Channel(height, width, wall, wall)
	piece := synthetic.Piece{Name: "channel", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Profile{Section: outline, LengthMM: 50}}
	low := r3.Vec{X: math.Inf(1), Y: math.Inf(1)}
	cutPatch(t, piece, 0.5, func(q r3.Vec) bool { // where its section stands
		low.X, low.Y = min(low.X, q.X), min(low.Y, q.Y)
		return false
	})
	p := cutPatch(t, piece, 0.5, func(q r3.Vec) bool {
		u, v := q.X-low.X, q.Y-low.Y
		at := func(x, y float64) bool { return math.Hypot(u-x, v-y) < weld }
		return at(wall, wall) || at(wall, height-wall) || at(0, height) || u < 0.2 && math.Abs(v-10) < weld
	})
	e := Recognise(p, DefaultOptions())
	require.Equal(t, "profile", e.Kind)
	length, ok := e.Dim("length_mm")
	require.True(t, ok)
	assert.InDelta(t, 50, length, 0.02)
	require.Len(t, e.Outline, len(outline))
	area := 0.0
	for i, s := range e.Outline {
		from := e.Outline[(i+len(e.Outline)-1)%len(e.Outline)].To
		area += (from[0]*s.To[1] - from[1]*s.To[0]) / 2
	}
	assert.InDelta(t, height*wall+2*(width-wall)*wall, area, 0.3)
}

// TestPolySides: the sides of an L, one of them in two parts, each with the metal to its
// left; from the end of each the nearest beginning is that of the next.
func TestPolySides(t *testing.T) {
	corners := [][2]float64{{0, 0}, {30, 0}, {30, 3}, {3, 3}, {3, 20}, {0, 20}}
	var w wallLoop
	for i, a := range corners {
		b := corners[(i+1)%len(corners)]
		l := math.Hypot(b[0]-a[0], b[1]-a[1])
		for s := 0.4; s < l-0.4; s += 0.2 {
			if i == 0 && s > 10 && s < 16 {
				continue
			}
			w.Point = append(w.Point, [2]float64{a[0] + (b[0]-a[0])*s/l, a[1] + (b[1]-a[1])*s/l})
			w.Normal = append(w.Normal, [2]float64{(b[1] - a[1]) / l, (a[0] - b[0]) / l})
		}
	}
	sides := polySides(&w, 0.1, 2)
	require.Len(t, sides, 7)
	next, ok := successors(sides, 1)
	require.True(t, ok)
	at, chain := 0, [][2]float64(nil)
	for range sides {
		chain = append(chain, corner(&sides[at], &sides[next[at]])...)
		at = next[at]
	}
	assert.Equal(t, 0, at)
	assert.InDelta(t, 30*3+17*3, loopArea(chain), 1e-6)
	assert.False(t, crossesItself(chain))
	assert.True(t, crossesItself([][2]float64{{0, 0}, {4, 4}, {4, 0}, {0, 4}}))
}
