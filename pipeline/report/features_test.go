package report

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"pointup/pipeline/result"
)

// TestFeatureFacts holds what the page says of patterns, teeth and chains.
func TestFeatureFacts(t *testing.T) {
	d := result.Dims{
		{Key: "worn_teeth", Value: result.WornTeeth{{Tooth: 3, What: "bent", ByMM: -0.4}}},
		{Key: "chains", Value: result.Chains{{Standard: "ASME B29.1", Number: "25", ISO: "04C", PitchMM: 6.35}}},
		{Key: "bolt_circle", Value: result.BoltCircle{HoleCount: 6, HoleDiameterMM: 4, CircleDiameterMM: 24}},
		{Key: "pattern", Value: result.Pattern{Arrangement: "staggered_60", Shape: "round", DiameterMM: new(result.MM(3)), HoleCount: 54, MissingCount: 2, OtherCount: 1, RowCount: 7, ColumnCount: 8,
			PitchAlongMM: new(result.MM(5)), PitchAcrossMM: new(result.MM(4.33)), OpenPercent: new(result.Factor(31.5)), OpenFormulaPercent: new(result.Factor(32.648))}},
		{Key: "sections", Value: result.Sections{{}, {}}},
		{Key: "lands", Value: result.Lands{{FromDiameterMM: 1, ToDiameterMM: 2, ThicknessMM: 0.5, FrontMM: 0.3, BackMM: 0.2}, {FromDiameterMM: 2, ToDiameterMM: 5, ThicknessMM: 0.4, FrontMM: 0.2, BackMM: 0.2}}},
	}
	e := sampleOf("E01", "toothed_wheel", d) // at full size 12 times as large
	facts := map[string]fact{}
	for _, f := range featureFacts(e) {
		facts[f.Name] = f
	}
	assert.Equal(t, "staggered 60°, 54 round holes of diameter 36.0 mm, 60.0 mm apart in a row, rows 52.0 mm apart; 7 rows of up to 8; open area 31.5 %, by the trade's formula 32.6 %", facts["Hole pattern"].Value)
	assert.Equal(t, "2 places without a hole, 1 other hole", facts["Hole pattern"].Note)
	assert.Equal(t, "6 holes of diameter 48.0 mm on a circle of 288.0 mm", facts["Bolt holes"].Value)
	assert.Equal(t, "3 bent by −4.8 mm", facts["Damaged teeth"].Value)
	assert.Contains(t, facts["Roller chain"].Value, "maquette: pitch 6.350 mm: ASME B29.1 No. 25, ISO 04C; full size: ")
	assert.Contains(t, facts["Rib sections"].Value, "2 sections")
	assert.Equal(t, "hub 12.0 mm to 24.0 mm, 6.0 mm thick (front 3.6 mm, back 2.4 mm); rim 24.0 mm to 60.0 mm, 4.8 mm thick (front 2.4 mm, back 2.4 mm)", facts["Stepped faces"].Value)
	assert.Equal(t, "none that is standard", chainText(nil))
}

// TestAreasAndVolumes holds that they grow with the square and cube of the ratio
// and carry their unit.
func TestAreasAndVolumes(t *testing.T) {
	doc := result.Document{Scale: result.Scale{Ratio: 12}}
	e := sampleOf("E01", "freeform", result.Dims{{Key: "surface_area_mm2", Value: result.MM2(10)}, {Key: "volume_mm3", Value: result.MM3(10)}})
	e.U95 = result.Widths{{Key: "surface_area_mm2", Value: 1}, {Key: "volume_mm3", Value: 1}}
	d := dimensions(doc, e)
	assert.Equal(t, []string{"surface area", "10.0 mm²", "1440 mm²", "140 mm²"}, []string{d[0].Name, d[0].Maquette, d[0].Full, d[0].FullU95})
	assert.Equal(t, []string{"volume", "17280 mm³", "1700 mm³"}, []string{d[1].Name, d[1].Full, d[1].FullU95})
}
