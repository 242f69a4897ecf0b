package report

import (
	"strings"
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

func TestAccessIsShownAndTabled(t *testing.T) {
	doc := sample()
	doc.Access = &site.Access{Preliminary: "preliminary check for a licensed engineer", Code: "c", Basis: []string{"b"}, NotCovered: []string{"n"}, Trapping: 1, ClimbMM: 1230, FallMM: 1230,
		Openings:    []site.Opening{{ID: "E01", With: "E02", What: "opening between pieces", Count: 1, AcrossMM: 150, LowestMM: 900, AtMM: [3]float64{100, 50, 900}, Bounded: "all round", Traps: "head", Reached: true}},
		Ledges:      []site.Ledge{{ID: "E03", HeightMM: 800, Reached: true}, {ID: "E03", HeightMM: 1230, Reached: true, Stands: true, Falls: "over 48 in: a barrier"}, {ID: "E04", HeightMM: 5000}},
		Protrusions: []site.Protrusion{{ID: "E02", What: "free end", Count: 2, SizeMM: 25, OutMM: 200, GaugeMM: 25.4}},
		Edges:       []site.SharpEdges{{ID: "E01", EdgeM: 2.5, Corners: 8, LowMM: 10, HighMM: 90}},
		Shadows:     []site.Shadow{{ID: "E01", Front: [][2]float64{{0, 0}, {200, 0}, {200, 1000}}, Plan: [][2]float64{{0, 0}, {200, 0}, {200, 100}}}}}
	p := accessPart(doc.Access)
	var cells []string
	for _, x := range p.Tables {
		for _, r := range x.Rows {
			require.Len(t, r, len(x.Head), x.Caption)
			cells = append(cells, r...)
		}
	}
	require.Subset(t, cells, []string{"E01, E02", "all round", "100, 50, 900", "over 48 in: a barrier", "free end", "2.5"})
	require.NotContains(t, cells, "5000", "what nobody reaches is left to the workbook")
	require.Len(t, p.Drawings, 1)
	require.Equal(t, 2, strings.Count(string(p.Drawings[0].SVG), ">1</text>"), "the opening's number in both views")
	b, err := Page(doc, Art{})
	require.NoError(t, err)
	require.Contains(t, string(b), "from above")
	sheets := siteSheets(doc)
	require.Len(t, sheets, 1)
	require.Len(t, sheets[0].Rows, 6)
	for _, r := range sheets[0].Rows {
		require.Len(t, r, len(sheets[0].Columns))
	}
	require.Equal(t, "No opening in a published range was found among those that are looked at.", accessPart(&site.Access{}).Text[3])
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
