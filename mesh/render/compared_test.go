package render

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A square of which a strip moved: all three classes are on the sheet, and the same
// input gives the same bytes.
func TestOutlinesShowWhatMoved(t *testing.T) {
	c := Compared{Wide: 200, High: 300, Class: make([]uint8, 200*300), At: [2]int{150, 150}, StepArcmin: 0.5, MMPerArcmin: 3, First: "as fitted", After: "of stock"}
	for y := 50; y < 250; y++ {
		for x := 50; x < 150; x++ {
			c.Class[y*c.Wide+x] = CoverBoth
		}
		for x := 150; x < 156; x++ {
			c.Class[y*c.Wide+x] = CoverAfter
		}
		for x := 46; x < 50; x++ {
			c.Class[y*c.Wide+x] = CoverFirst
		}
	}
	s := DefaultSheet()
	s.Title = "A square"
	img, err := Outlines(c, s)
	require.NoError(t, err)
	seen := map[rgb]int{}
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			q := img.RGBAAt(x, y)
			seen[rgb{q.R, q.G, q.B}]++
		}
	}
	assert.Greater(t, seen[wash(0)], 20000)
	assert.Greater(t, seen[rgb{140, 62, 40}], 2000, "what only the second covers")
	assert.Greater(t, seen[rgb{58, 84, 110}], 500, "what only the first covers")
	again, err := Outlines(c, s)
	require.NoError(t, err)
	assert.Equal(t, img.Pix, again.Pix)
	c.Class = c.Class[1:]
	_, err = Outlines(c, s)
	assert.ErrorIs(t, err, ErrInput)
}
