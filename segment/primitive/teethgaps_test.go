package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestCountFolded: of a wheel of 40 teeth a little over a half is seen, on one side of
// it, with weld beyond its tips in one place. The centre of what is seen lies half a
// millimetre off, by which teeth there turn by a tenth of their pitch.
func TestCountFolded(t *testing.T) {
	centre := [2]float64{3, -2}
	rim := func(phi float64) [2]float64 {
		r, x := 32.6, math.Abs(math.Remainder(phi, 2*math.Pi/40))/(2*math.Pi/40)
		switch {
		case x < 0.13:
			r = 36.9
		case x < 0.35:
			r = 36.9 - (x-0.13)/0.22*4.3
		}
		if phi > 0.9 && phi < 1 {
			r = 38.5
		}
		return [2]float64{centre[0] + r*math.Cos(phi), centre[1] + r*math.Sin(phi)}
	}
	var w wallLoop
	const step = 0.01
	for phi := 0.4; phi < 3.9; phi += step {
		if phi > 2.1 && phi < 2.5 {
			continue // a bar lies across
		}
		a, b := rim(phi), rim(phi+step)
		w.Edge = append(w.Edge, [4]float64{a[0], a[1], b[0], b[1]})
	}
	n, shift, ok := countFolded(&w, [2]float64{2, 0})
	require.True(t, ok)
	assert.Equal(t, 40, n)
	assert.InDelta(t, 1, shift[0], 0.1)
	assert.InDelta(t, -2, shift[1], 0.1)
}

// TestCountFoldedFew: four teeth and a half of eleven are seen. Ten explain as much about
// a centre nearer by.
func TestCountFoldedFew(t *testing.T) {
	var w wallLoop
	rim := func(phi float64) [2]float64 {
		r, x := 9.05, math.Abs(math.Remainder(phi, 2*math.Pi/11))/(2*math.Pi/11)
		switch {
		case x < 0.13:
			r = 13.65
		case x < 0.35:
			r = 13.65 - (x-0.13)/0.22*4.6
		}
		return [2]float64{r * math.Cos(phi), r * math.Sin(phi)}
	}
	const step = 0.01
	for phi := 0.3; phi < 2.9; phi += step {
		a, b := rim(phi), rim(phi+step)
		w.Edge = append(w.Edge, [4]float64{a[0], a[1], b[0], b[1]})
	}
	n, shift, ok := countFolded(&w, [2]float64{0, 5})
	require.True(t, ok)
	assert.Equal(t, 11, n)
	assert.InDelta(t, 0, shift[0], 0.2)
	assert.InDelta(t, -5, shift[1], 0.4)
}
