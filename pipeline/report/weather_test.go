package report

import (
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/pipeline/site"
)

func sampleWeather() *site.Weather {
	return &site.Weather{Preliminary: "preliminary check for a licensed engineer", Basis: []string{"b"}, NotCovered: []string{"n"},
		Corrosion: &site.Corrosion{Category: "C4", LifeYears: 50, Finish: "bare", LossMM: 0.55, Walls: []site.WallLeft{{ID: "E01", ThicknessMM: 6, Faces: 2, LossMM: 0.55, LeftMM: 4.9}}},
		Hollows:   []site.Hollow{{ID: "E01", BoreMM: 50, VolumeL: 1.2, Closed: true, VentMM: 16, VentCount: 1, Advice: "seal it"}},
		Pockets:   []site.Pocket{{IDs: []string{"E02", "E03"}, VolumeL: 3.25, DepthMM: 40, LevelMM: 900, LowestMM: [3]float64{10, -20, 860}, Advice: "drain it"}},
		Streaks:   []site.Streak{{From: "E02", On: "ground", AtMM: [3]float64{1, 2, 0}, LengthMM: 300, RainM2: 0.4}},
		Coating:   site.Coating{OutsideM2: 10, PaintL: 5.7, Pieces: []site.PieceSurface{{ID: "E01", OutsideM2: 10}}},
		Metal:     &site.InTheSun{AirC: 35, MetalC: 80, Burns: []site.BurnAfter{{Seconds: 0.5, FromC: 65, Reached: true}}},
		Growth:    &site.Growth{ColdC: -15, HotC: 80, WholeMM: [3]float64{1, 2, 6}, Longest: "E01", PieceMM: 6}}
}

func TestWeatherIsShownAndTabled(t *testing.T) {
	doc := sample()
	doc.Weather = sampleWeather()
	p := weatherPart(doc.Weather)
	require.Contains(t, p.Text, "C4 over 50 years, bare: 0.55 mm off each exposed face.")
	var cells []string
	for _, x := range p.Tables {
		for _, r := range x.Rows {
			require.Len(t, r, len(x.Head), x.Caption)
			cells = append(cells, r...)
		}
	}
	require.Subset(t, cells, []string{"4.90", "closed", "3.25", "10, −20, 860", "ground", "65"})
	require.Subset(t, p.List, []string{"Basis: B.", "Not covered: N."})
	_, err := Page(doc, Art{})
	require.NoError(t, err)
	for _, s := range siteSheets(doc) {
		require.NotEmpty(t, s.Rows, s.Name)
		for _, r := range s.Rows {
			require.Len(t, r, len(s.Columns), s.Name)
		}
	}
}
