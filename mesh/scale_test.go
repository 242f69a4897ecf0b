package mesh

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func TestScaleToSite(t *testing.T) {
	// A box of 10 x 20 x 30 mm off the origin, and dust far below and aside.
	s := box(10, 20, 30, 1).moved(r3.Vec{X: 3, Y: -7, Z: 11}).with(box(.1, .1, .1, 1).moved(r3.Vec{X: -90, Y: 80, Z: -70}))
	m, r := checked(t, s.soup())
	require.Equal(t, 1, r.DustShells)
	height := map[string]float64{"+z": 30, "-z": 30, "+y": 20, "-y": 20, "+x": 10, "-x": 10}
	for up, h := range height {
		t.Run(up, func(t *testing.T) {
			scaled, findings, err := Scale(m, ScaleOptions{From: FromRatio, Ratio: 12, Up: up})
			require.NoError(t, err)
			require.Empty(t, findings)
			require.InDelta(t, 12*h, scaled.HeightFullMM, 1e-9)
			rows := scaled.SiteFromScan
			axis := func(i int) r3.Vec { return r3.Vec{X: rows[i][0], Y: rows[i][1], Z: rows[i][2]} }
			require.Equal(t, r3.Scale(12*12, axis(2)), r3.Scale(12, r3.Scale(12, axis(2))))
			require.InDelta(t, 0, r3.Norm(r3.Sub(r3.Cross(axis(0), axis(1)), r3.Scale(12, axis(2)))), 1e-9, "right-handed")
			lo, hi := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}
			var kept []uint32
			for f, face := range m.Faces {
				if m.Dust(uint32(f)) {
					continue
				}
				kept = append(kept, face[:]...)
				for _, v := range face {
					p := scaled.SiteMM(m.At(v))
					lo = r3.Vec{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y), Z: math.Min(lo.Z, p.Z)}
					hi = r3.Vec{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y), Z: math.Max(hi.Z, p.Z)}
				}
			}
			low, high := scaled.SiteBox(kept)
			require.Equal(t, [2]r3.Vec{lo, hi}, [2]r3.Vec{low, high})
			require.InDelta(t, 0, lo.Z, 1e-9)
			require.InDelta(t, 12*h, hi.Z, 1e-9)
			require.InDelta(t, 0, lo.X+hi.X, 1e-9)
			require.InDelta(t, 0, lo.Y+hi.Y, 1e-9)
			tip := m.At(0) // some point: turned along up, it is as high as it was far along it
			d := map[string]float64{"+z": tip.Z, "-z": -tip.Z, "+y": tip.Y, "-y": -tip.Y, "+x": tip.X, "-x": -tip.X}[up]
			require.InDelta(t, 12*d, scaled.SiteMM(tip).Z-rows[2][3], 1e-9)
		})
	}
}

func TestScaleFrom(t *testing.T) {
	m, _ := checked(t, box(10, 20, 30, 5).soup())
	for _, row := range []struct {
		name  string
		opt   ScaleOptions
		ratio float64
		says  string
	}{
		{"ratio", ScaleOptions{From: FromRatio, Ratio: 12, Up: "+z"}, 12, ""},
		{"height 5.4 m", ScaleOptions{From: FromHeight, HeightFullMM: 5400, Up: "+z"}, 180, ""},
		{"height along y", ScaleOptions{From: FromHeight, HeightFullMM: 5400, Up: "-y"}, 270, ""},
		{"1 in = 10 in", ScaleOptions{From: FromKnown, KnownScanMM: 25.4, KnownFullMM: 254, Up: "+z"}, 10, ""},
		{"the largest", ScaleOptions{From: FromRatio, Ratio: 1e4, Up: "+z"}, 1e4, ""},
		{"no ratio", ScaleOptions{From: FromRatio, Up: "+z"}, 0, "ratio 0 of full size"},
		{"negative", ScaleOptions{From: FromRatio, Ratio: -3, Up: "+z"}, 0, "ratio -3"},
		{"NaN", ScaleOptions{From: FromRatio, Ratio: math.NaN(), Up: "+z"}, 0, "ratio NaN"},
		{"absurd", ScaleOptions{From: FromRatio, Ratio: 10001, Up: "+z"}, 0, "up to 10000"},
		{"infinite height", ScaleOptions{From: FromHeight, HeightFullMM: math.Inf(1), Up: "+z"}, 0, "ratio +Inf"},
		{"known of no length", ScaleOptions{From: FromKnown, KnownFullMM: 3, Up: "+z"}, 0, "known dimension: 0 mm"},
		{"known NaN", ScaleOptions{From: FromKnown, KnownScanMM: math.NaN(), KnownFullMM: 3, Up: "+z"}, 0, "known dimension: NaN mm"},
		{"from nothing", ScaleOptions{Ratio: 12, Up: "+z"}, 0, `scale from ""`},
		{"up", ScaleOptions{From: FromRatio, Ratio: 12, Up: "z"}, 0, `up "z": use +z`},
	} {
		t.Run(row.name, func(t *testing.T) {
			s, _, err := Scale(m, row.opt)
			if row.says != "" {
				require.ErrorContains(t, err, row.says)
				return
			}
			require.NoError(t, err)
			require.InEpsilon(t, row.ratio, s.Ratio, 1e-12)
		})
	}
	flat, _ := checked(t, sheet(10, 10, 1).soup())
	_, _, err := Scale(flat, ScaleOptions{From: FromHeight, HeightFullMM: 100, Up: "+z"})
	require.ErrorContains(t, err, "the scan has none along +z")
	_, findings, err := Scale(m, ScaleOptions{From: FromRatio, Ratio: 1. / 12, Up: "+z"})
	require.NoError(t, err)
	require.Equal(t, "scale-reduces", findings[0].Code)
}
