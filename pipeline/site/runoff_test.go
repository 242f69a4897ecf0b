package site

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// A roof of 1000 × 600 mm that slopes 20 degrees over a plinth: the rain on its plan,
// 1000 cos 20° × 600 mm, drips along its lower edge.
func TestRoofDripsAlongItsEave(t *testing.T) {
	const slope = 20 * math.Pi / 180
	roof := rotatedAll([]Piece{block("E02", r3.Vec{Y: -300}, r3.Vec{X: 1000, Y: 300, Z: 6})}, r3.Vec{Y: 1}, slope, 900)[0]
	plinth := block("E01", r3.Vec{X: -500, Y: -800}, r3.Vec{X: 1500, Y: 800, Z: 100})
	f := flood(columnsOver([]Piece{plinth, roof}, nil))
	got := f.streaks([]Piece{plinth, roof})
	require.NotEmpty(t, got)
	s := got[0]
	require.Equal(t, "E01", s.On)
	require.Equal(t, "E02", s.From)
	require.InDelta(t, 100, s.AtMM[2], 1e-9)
	all := 0.0
	for _, x := range got {
		if x.On == "E01" {
			all += x.RainM2
		}
	}
	eave := 1000*math.Cos(slope) + 6*math.Sin(slope)
	require.InEpsilon(t, eave*600/1e6, all, 0.03)
	require.InEpsilon(t, all, s.RainM2, 0.05, "nearly all of it along the eave")
	require.InDelta(t, eave, s.AtMM[0], 40)
	require.InDelta(t, 600, s.LengthMM, 30)
}
