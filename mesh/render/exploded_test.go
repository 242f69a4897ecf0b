package render

import (
	"context"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// twoBlocks is a cube of 100 mm with another on top of it.
func twoBlocks() (Piece, []Part) {
	p := Piece{Site: [12]float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0}}
	for k := range uint32(2) {
		for i := range 8 {
			p.Points = append(p.Points, [3]float32{100 * float32(i&1), 100 * float32(i>>1&1), 100 * float32(uint32(i>>2)+k)})
		}
		for _, f := range [][3]uint32{{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4}, {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}} {
			p.Faces = append(p.Faces, [3]uint32{f[0] + 8*k, f[1] + 8*k, f[2] + 8*k})
			p.Element = append(p.Element, k+1)
		}
	}
	return p, []Part{{Number: 1, Label: "E01", Parent: -1}, {Number: 2, Label: "E02", Parent: 0, Ways: [][3]float64{{0, 0, 1}}, JoinMM: [3]float64{50, 50, 100}}}
}

func TestPartsAreMovedClearAlongTheirWay(t *testing.T) {
	p, parts := twoBlocks()
	view := DefaultView().oblique()
	boxes := []box{boundsOf(oneElement(p, 1), view), boundsOf(oneElement(p, 2), view)}
	got := spread(parts, boxes, view)
	assert.Equal(t, [3]float64{}, got[0].MoveMM)
	assert.Zero(t, got[1].MoveMM[0])
	assert.Zero(t, got[1].MoveMM[1])
	assert.Positive(t, got[1].MoveMM[2], "up, away from its parent")
	assert.Greater(t, moved(boxes[1], turned(view, got[1].MoveMM)).lo[1], boxes[0].hi[1], "clear on the sheet")
}

func TestExplodedIsTheSameOnAnyNumberOfCores(t *testing.T) {
	p, parts := twoBlocks()
	s := DefaultSheet()
	s.WidthPx, s.HeightPx = 400, 300
	draw := func(n int) []byte {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(n))
		img, err := Exploded(context.Background(), p, parts, DefaultView(), s)
		require.NoError(t, err)
		return img.Pix
	}
	assert.Equal(t, draw(1), draw(4))
}

func TestExplodedRefuses(t *testing.T) {
	p, parts := twoBlocks()
	_, err := Exploded(context.Background(), p, nil, DefaultView(), DefaultSheet())
	assert.ErrorIs(t, err, ErrInput)
	parts[1].Number = 9
	_, err = Exploded(context.Background(), p, parts, DefaultView(), DefaultSheet())
	assert.ErrorIs(t, err, ErrInput)
	parts[1].Number, parts[1].Parent = 2, 1
	_, err = Exploded(context.Background(), p, parts, DefaultView(), DefaultSheet())
	assert.ErrorIs(t, err, ErrInput)
}
