package render

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPersonStandsOnTheFloorAndIs1750Tall(t *testing.T) {
	f := person()
	lo, hi := float32(1e9), float32(-1e9)
	for _, p := range f.points {
		lo, hi = min(lo, p[2]), max(hi, p[2])
	}
	require.Zero(t, lo)
	require.InDelta(t, 1750, hi, 1e-3)
	require.Len(t, f.parts, len(f.faces))
}

// The drawn figure must be as tall in pixels as the scale bar says 1.75 m is.
// Its lowest sample is the toe of a shoe, which lies nearer to the reader than
// the axis of the body and so tan(14°) x 220 mm lower at most; the crown lies
// within 40 mm of the axis.
func TestPersonIsToScaleInPixels(t *testing.T) {
	for _, ratio := range []float64{2, 16, 60} {
		s := testSheet(1600, 1200)
		sc, err := newScene(station(12).piece(ratio), DefaultView())
		require.NoError(t, err)
		cam := sc.stand(DefaultView(), rect{100, 50, 1500, 1000})
		r := newRaster(s.WidthPx, s.HeightPx)
		require.NoError(t, r.draw(context.Background(), sc.person, cam, nil))
		top, bottom := r.h, 0
		for y := range r.h {
			row := r.samples(y)
			for x := range r.w {
				if !row.isPaper(x) {
					top, bottom = min(top, y), max(bottom, y)
				}
			}
		}
		px := float64(bottom-top+1) / subPx
		want := 1750 * cam.pxPerMM
		require.Greater(t, px, want-1, "ratio %v", ratio)
		require.Less(t, px, want+0.25*260*cam.pxPerMM+1, "ratio %v", ratio)
		// The crown itself: from the floor under it, exactly to scale.
		place := sc.person.place
		foot, crown := place.at(0, -6, 0), place.at(0, -6, 1750)
		a, b := cam.px(foot[0], foot[1], foot[2]), cam.px(crown[0], crown[1], crown[2])
		require.InDelta(t, want, a[1]-b[1], 1e-9*want)
		require.InDelta(t, b[1], float64(top)/subPx, 1.5)
	}
}
