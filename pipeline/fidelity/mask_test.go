package fidelity

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// randomMask has blots of all sizes, clear of its border.
func randomMask(rng *rand.Rand, wide, high int) mask {
	m := newMask(wide, high)
	for range 12 {
		x, y := 3+rng.IntN(wide-6), 3+rng.IntN(high-6)
		for v := y; v < min(y+rng.IntN(20)+1, high-3); v++ {
			m.set(v, x, min(x+rng.IntN(150), wide-4))
		}
	}
	return m
}

// Whatever is done 64 pixels at a time comes to the same as pixel by pixel.
func TestMaskPixelByPixel(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, wide := range []int{70, 127, 128, 200} {
		const high = 60
		m, o := randomMask(rng, wide, high), randomMask(rng, wide, high)
		rim, beyond := m.rim(), 0
		set := 0
		for y := range high {
			var bare []run
			for x := range wide {
				set += int(m.bit(x, y))
				require.Equal(t, m.bit(x, y)&^(m.bit(x-1, y)&m.bit(x+1, y)&m.bit(x, y-1)&m.bit(x, y+1)), rim.bit(x, y))
				beyond += int(m.bit(x, y) &^ within(o, x, y, 2.5))
				if m.bit(x, y) == 1 {
					continue
				}
				if n := len(bare); n > 0 && bare[n-1].x1 == x-1 {
					bare[n-1].x1 = x
				} else {
					bare = append(bare, run{y, x, x})
				}
			}
			require.Equal(t, bare, m.runs(y, nil))
		}
		require.Equal(t, set, m.count())
		require.Equal(t, beyond, m.beyond(o, 2.5))
		grown := newMask(wide, high)
		for _, reach := range []float64{0.4, 1, 2.5, 70} {
			for y := range high {
				m.grown(y, reach, grown.row(y))
			}
			for range 300 {
				x, y := rng.IntN(wide), rng.IntN(high)
				require.Equal(t, within(m, x, y, reach), grown.bit(x, y), "reach %g", reach)
			}
		}
	}
}

// The nearest set pixel is as near as the nearest of all, found one by one.
func TestNearestPixel(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, set := range []int{0, 1, 2, 5, 40, 3000} {
		m := newMask(200, 90)
		for range set {
			x := rng.IntN(m.wide)
			m.set(rng.IntN(m.high), x, x)
		}
		for range 200 {
			x, y := rng.IntN(m.wide), rng.IntN(m.high)
			u, v, ok := m.nearest(x, y)
			require.Equal(t, set > 0, ok)
			if !ok {
				continue
			}
			off := math.Hypot(float64(u-x), float64(v-y))
			require.EqualValues(t, 1, m.bit(u, v))
			require.EqualValues(t, 1, within(m, x, y, off+1e-9))
			if off > 0 {
				require.EqualValues(t, 0, within(m, x, y, off-1e-9), "%d set, from %d %d to %d %d", set, x, y, u, v)
			}
		}
	}
}

func within(m mask, x, y int, reach float64) uint64 {
	for v := range m.high {
		for u := range m.wide {
			if d := (u-x)*(u-x) + (v-y)*(v-y); m.bit(u, v) == 1 && float64(d) <= reach*reach {
				return 1
			}
		}
	}
	return 0
}

// box is closed, corners at its ends.
func box(number int, low, high r3.Vec) Part {
	p := Part{Number: number}
	for i := range 8 {
		c := low
		if i&1 > 0 {
			c.X = high.X
		}
		if i&2 > 0 {
			c.Y = high.Y
		}
		if i&4 > 0 {
			c.Z = high.Z
		}
		p.Points = append(p.Points, c)
	}
	for _, q := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		p.Triangles = append(p.Triangles, [3]uint32{q[0], q[1], q[2]}, [3]uint32{q[0], q[2], q[3]})
	}
	return p
}

// opened looks the same, but no longer counts as closed.
func opened(p Part) Part {
	p.Triangles = append(slices.Clone(p.Triangles), p.Triangles[0])
	return p
}

// Leaving out what faces away changes nothing that is seen, also where parts hide
// each other.
func TestClosedPartsLookTheSame(t *testing.T) {
	before := []Part{box(1, r3.Vec{X: -300, Y: -200}, r3.Vec{X: 300, Y: 200, Z: 2500}), box(2, r3.Vec{X: 500, Y: -400}, r3.Vec{X: 600, Y: 900, Z: 1200})}
	after := []Part{before[0], box(2, r3.Vec{X: 500, Y: -404}, r3.Vec{X: 600, Y: 908, Z: 1200})}
	closed, err := Compare(context.Background(), before, after, DefaultOptions())
	require.NoError(t, err)
	closedBefore := before[0]
	for _, m := range [][]Part{before, after} {
		for i := range m {
			m[i] = opened(m[i])
		}
	}
	require.True(t, bodiesOf([]Part{closedBefore})[0].closed)
	require.False(t, bodiesOf(before)[0].closed)
	open, err := Compare(context.Background(), before, after, DefaultOptions())
	require.NoError(t, err)
	assert.Equal(t, open, closed)
	assert.Equal(t, 2, closed[0].PartNumber)
}

// What stands before what is found as if each pixel were looked at through each
// triangle, of closed parts and of open ones.
func TestFrontsPixelByPixel(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 20 {
		var model []Part
		for n := range 6 {
			low := r3.Vec{X: 2000 * rng.Float64(), Y: 2000 * rng.Float64(), Z: 1500 * rng.Float64()}
			b := box(10+n, low, r3.Add(low, r3.Vec{X: 100 + 900*rng.Float64(), Y: 100 + 900*rng.Float64(), Z: 100 + 900*rng.Float64()}))
			if n%2 == 1 {
				b = opened(b)
			}
			model = append(model, b)
		}
		opt := DefaultOptions()
		opt.PixelsAtMax = 20000
		stands, err := Standpoints(model, opt)
		require.NoError(t, err)
		bodies := bodiesOf(model)
		flat := stands[0].project(bodies, new([]r3.Vec))
		p := draw(stands[0].lens(flat), bodies, flat, &contours{})
		seen := p.fronts(newMask(p.wide, p.high))
		assert.Len(t, seen, p.count())
		for _, s := range seen {
			require.Equal(t, p.frontAt(s.x, s.y), s.part)
		}
	}
}

// frontAt is the part whose triangle about a pixel is nearest.
func (p picture) frontAt(x, y int) int {
	front, near := -1, 0.0
	at := r3.Vec{X: float64(x), Y: float64(y)}
	for k := range p.of {
		for _, t := range p.of[k].Triangles {
			a, b, c := p.at[k][t[0]], p.at[k][t[1]], p.at[k][t[2]]
			area := doubleArea(a, b, c)
			u, v, w := doubleArea(at, b, c)/area, doubleArea(a, at, c)/area, doubleArea(a, b, at)/area
			if z := u/a.Z + v/b.Z + w/c.Z; min(u, v, w) >= 0 && z > near {
				front, near = k, z
			}
		}
	}
	return front
}

// The widest circle is that of all pixels of a hole looked at one by one, and the
// first of those as wide, also where another picture is wider there.
func TestWidestPixelByPixel(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	var c columns
	found, wider := 0, 0
	for range 200 {
		a, b := picture{mask: randomMask(rng, 200, 90)}, picture{mask: randomMask(rng, 200, 90)}
		for _, h := range a.holes(new([]run)) {
			found++
			own := a.widest(h, 1, &c)
			require.Equal(t, a.widestOf(h, 1000), own)
			most := max(10, (h.x1-h.x0)/2, (h.y1-h.y0)/2)
			other := b.widestBeyond(h, own, &c)
			require.Equal(t, b.widestOf(h, most), other)
			if other.square > own.square {
				wider++
			}
		}
	}
	assert.Greater(t, found, 100)
	assert.Greater(t, wider, 20)
}

// widestOf looks from each pixel of a hole at all, and at the rim m beyond it.
func (p picture) widestOf(h hole, m int) circle {
	best := circle{square: -1}
	for _, r := range h.runs {
		for x := r.x0; x <= r.x1; x++ {
			rim := min(x-h.x0, h.x1-x, r.y-h.y0, h.y1-r.y) + m
			square := rim * rim
			if u, v, ok := p.nearest(x, r.y); ok {
				square = min(square, (u-x)*(u-x)+(v-r.y)*(v-r.y))
			}
			if square > best.square {
				best = circle{x, r.y, square}
			}
		}
	}
	return best
}
