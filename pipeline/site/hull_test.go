package site

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func TestHull(t *testing.T) {
	require.Equal(t, [][2]float64{{0, 0}, {4, 0}, {4, 3}, {0, 3}}, hull([][2]float64{{4, 3}, {0, 0}, {2, 1}, {0, 3}, {2, 0}, {4, 0}, {0, 0}, {4, 1}}))
	require.Equal(t, [][2]float64{{1, 1}}, hull([][2]float64{{1, 1}, {1, 1}}))
	s := shadowsOf([]Piece{block("E01", r3.Vec{X: 1, Y: 2, Z: 3}, r3.Vec{X: 11, Y: 22, Z: 33}), {}})
	require.Equal(t, []Shadow{{"E01", [][2]float64{{1, 3}, {11, 3}, {11, 33}, {1, 33}}, [][2]float64{{1, 2}, {11, 2}, {11, 22}, {1, 22}}}}, s)
}
