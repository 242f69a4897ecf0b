package site

import (
	"fmt"
	"math"
)

// Growth is how much the work grows from the coldest night to the hottest day.
type Growth struct {
	ColdC   float64    `json:"cold_c"`
	HotC    float64    `json:"hot_c"`
	PerK    float64    `json:"per_k"`
	WholeMM [3]float64 `json:"whole_mm"` // along x, y, z
	Longest string     `json:"longest"`
	PieceMM float64    `json:"piece_mm"`
	FeetMM  float64    `json:"feet_mm,omitempty"` // between the outermost feet, if two or more stand apart
	Says    []string   `json:"says"`
}

// perK is the linear growth of a metal: EN 1991-1-5 table C.1, 12e-6 structural steel, 16e-6
// stainless, 24e-6 aluminium (from memory); 18e-6 copper alloys (from memory).
func perK(grade string, density float64) float64 {
	switch {
	case finishOf(grade, "") == "stainless":
		return 16e-6
	case density > 0 && density < 4000:
		return 24e-6
	case density > 8200:
		return 18e-6
	}
	return 12e-6
}

// growthOf is for a work that is as hot all through as its sunlit side.
func growthOf(pieces []Piece, opt WeatherOptions, hotC float64) *Growth {
	g := &Growth{ColdC: opt.AirC[0], HotC: hotC, PerK: perK(opt.Grade, opt.DensityKGM3)}
	strain := g.PerK * (g.HotC - g.ColdC)
	lo, hi := boxOf(pieces)
	for k := range 3 {
		g.WholeMM[k] = strain * max(hi[k]-lo[k], 0)
	}
	most := 0.0
	feetLo, feetHi, feet := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}, 0
	for _, p := range pieces {
		a, b := boxOf([]Piece{p})
		if l := math.Hypot(b[0]-a[0], math.Hypot(b[1]-a[1], b[2]-a[2])); l > most {
			most, g.Longest = l, p.Part.ID
		}
		if low, x, y := p.lowest(DefaultOptions().GroundMM); low <= DefaultOptions().GroundMM {
			feet++
			feetLo, feetHi = [2]float64{min(feetLo[0], x.X), min(feetLo[1], x.Y)}, [2]float64{max(feetHi[0], y.X), max(feetHi[1], y.Y)}
		}
	}
	g.PieceMM = strain * most
	if feet > 1 {
		g.FeetMM = strain * math.Hypot(feetHi[0]-feetLo[0], feetHi[1]-feetLo[1])
	}
	g.Says = []string{fmt.Sprintf("from the coldest air, %.0f °C, to metal in the full sun, %.0f °C, the same all through; %g per K", g.ColdC, g.HotC, g.PerK),
		"a work on one foot grows freely; feet that are fixed apart must let it slide, or take the force"}
	return g
}

// boxOf is the box of the surfaces.
func boxOf(pieces []Piece) (lo, hi [3]float64) {
	for k := range 3 {
		lo[k], hi[k] = math.Inf(1), math.Inf(-1)
	}
	for _, p := range pieces {
		points := p.PointsMM
		if len(points) == 0 {
			points = p.Part.BoxMM[:]
		}
		for _, q := range points {
			for k, x := range [3]float64{q.X, q.Y, q.Z} {
				lo[k], hi[k] = min(lo[k], x), max(hi[k], x)
			}
		}
	}
	return lo, hi
}
