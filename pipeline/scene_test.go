package pipeline

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/pipeline/report"
)

// TestFigureShowsTheScanInItsPlace: taken back by the figure's own matrix, points of
// the scan are points of the file; every facet has its piece; fitted pieces and those
// of stock fill the room of the scan; drawn apart, the boxes of no two pieces are in
// one place.
func TestFigureShowsTheScanInItsPlace(t *testing.T) {
	w := lumps(t)
	_, sc := w.labels()
	s, err := w.figure(sc)
	require.NoError(t, err)
	require.Len(t, s.Pieces, 3)
	require.Len(t, s.Layers, 3)
	type place [3]int64
	at := func(p [3]float64) place {
		return place{int64(math.Round(p[0] * 100)), int64(math.Round(p[1] * 100)), int64(math.Round(p[2] * 100))}
	}
	file := map[place]bool{}
	for _, p := range w.scaled.Points {
		for i := range 27 { // rounding may fall on either side
			q := at([3]float64{float64(p[0]), float64(p[1]), float64(p[2])})
			file[place{q[0] + int64(i%3) - 1, q[1] + int64(i/3%3) - 1, q[2] + int64(i/9) - 1}] = true
		}
	}
	scan := s.Layers[0]
	require.Len(t, scan.DeviationMM, len(scan.Points))
	for _, p := range scan.Points {
		var back [3]float64
		for k, row := range s.ScanFromSite {
			back[k] = row[0]*float64(p[0]) + row[1]*float64(p[1]) + row[2]*float64(p[2]) + row[3]
		}
		require.True(t, file[at(back)], "%v is no point of the scan", back)
	}
	lo, hi := roomOf(scan)
	for _, l := range s.Layers {
		assert.NotContains(t, l.Piece, uint16(0), l.Name)
		a, b := roomOf(l)
		for k := range 3 {
			assert.InDelta(t, lo[k], a[k], 15, l.Name) // stock may be larger: 15 mm of 1750
			assert.InDelta(t, hi[k], b[k], 15, l.Name)
		}
	}
	moves := map[[3]float64]bool{}
	for _, p := range s.Pieces {
		moves[p.MoveMM] = true
	}
	assert.Len(t, moves, 3)
}

func roomOf(l report.Layer) (lo, hi [3]float64) {
	lo, hi = [3]float64{1e9, 1e9, 1e9}, [3]float64{-1e9, -1e9, -1e9}
	for _, t := range l.Triangles {
		for _, v := range t {
			for k, x := range l.Points[v] {
				lo[k], hi[k] = min(lo[k], float64(x)), max(hi[k], float64(x))
			}
		}
	}
	return lo, hi
}
