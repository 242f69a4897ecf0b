package result

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestFeaturesGrow holds that lengths of patterns, teeth and sections grow with
// the work, areas and volumes with its square and cube, and counts, shares and
// a standard's chains not at all.
func TestFeaturesGrow(t *testing.T) {
	d := sample().Elements
	wheel, form := d[6].FullSize, d[5].FullSize // of scale 12
	p := wheel.Get("pattern").(Pattern)
	assert.Equal(t, []MM{60, 60, 36}, []MM{*p.PitchAlongMM, p.AcrossMM[0], p.AcrossMM[1]})
	assert.Equal(t, List[[2]MM]{{12, 24}}, p.MissingMM)
	assert.EqualValues(t, 40.3, *p.OpenPercent)
	assert.Equal(t, 11, p.HoleCount)
	assert.InDelta(t, -4.8, float64(wheel.Get("worn_teeth").(WornTeeth)[0].ByMM), 1e-12)
	assert.EqualValues(t, 288, wheel.Get("bolt_circle").(BoltCircle).CircleDiameterMM)
	assert.EqualValues(t, 6.35, wheel.Get("chains").(Chains)[0].PitchMM)
	assert.EqualValues(t, 120*144, form.Get("surface_area_mm2"))
	assert.EqualValues(t, 300*1728, form.Get("volume_mm3"))
	s := form.Get("sections").(Sections)
	assert.EqualValues(t, -36, s[0].StationMM)
	assert.Equal(t, [2]MM{12, 0}, s[0].LoopsMM[0][1])
	small := d[6].Maquette.Get("pattern").(Pattern)
	assert.EqualValues(t, 5, *small.PitchAlongMM)
	assert.Equal(t, List[[2]MM]{{1, 2}}, small.MissingMM)
}
