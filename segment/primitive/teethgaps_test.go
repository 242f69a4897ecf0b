package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestCountFolded: teeth are counted on a rim of which little is seen, to one side of its
// centre. A little over a half of forty, with weld beyond their tips in one place: the
// centre of what is seen lies half a millimetre off, by which teeth there turn by a tenth
// of their pitch. Four and a half of eleven: ten explain as much about a centre nearer by.
func TestCountFolded(t *testing.T) {
	type span struct{ from, to float64 } // rad
	for _, c := range []struct {
		n               int
		tip, root       float64
		seen, bar, weld span
		centre, at      [2]float64
		most            [2]float64
	}{
		{40, 36.9, 32.6, span{0.4, 3.9}, span{2.1, 2.5}, span{0.9, 1}, [2]float64{3, -2}, [2]float64{2, 0}, [2]float64{0.1, 0.1}},
		{11, 13.65, 9.05, span{0.3, 2.9}, span{}, span{}, [2]float64{}, [2]float64{0, 5}, [2]float64{0.2, 0.4}},
	} {
		rim := func(phi float64) [2]float64 {
			pitch := 2 * math.Pi / float64(c.n)
			r, x := c.root, math.Abs(math.Remainder(phi, pitch))/pitch
			switch {
			case c.weld.from < phi && phi < c.weld.to:
				r = c.tip + 1.6
			case x < 0.13:
				r = c.tip
			case x < 0.35:
				r = c.tip - (x-0.13)/0.22*(c.tip-c.root)
			}
			return [2]float64{c.centre[0] + r*math.Cos(phi), c.centre[1] + r*math.Sin(phi)}
		}
		var w wallLoop
		const step = 0.01
		for phi := c.seen.from; phi < c.seen.to; phi += step {
			if phi > c.bar.from && phi < c.bar.to {
				continue
			}
			a, b := rim(phi), rim(phi+step)
			w.Edge = append(w.Edge, [4]float64{a[0], a[1], b[0], b[1]})
		}
		n, shift, ok := countFolded(&w, c.at)
		require.True(t, ok)
		assert.Equal(t, c.n, n)
		assert.InDelta(t, c.centre[0]-c.at[0], shift[0], c.most[0])
		assert.InDelta(t, c.centre[1]-c.at[1], shift[1], c.most[1])
	}
}
