package stock

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAsStock(t *testing.T) {
	hidden := bar("E02", 88, 3000)
	hidden.Hidden = []string{"wall_mm"}
	parts := []Part{tube("E01", 217, 8.3, 3000, "square"), hidden, plate("E03", 6.1, 900, 50.5),
		piece("E04", "rolled_plate", "inside_diameter_mm", 900, "thickness_mm", 9.8, "width_mm", 300, "sweep_deg", 200),
		piece("E05", "ring", "centreline_diameter_mm", 2000, "section_diameter_mm", 61), piece("E06", "sphere", "diameter_mm", 500), piece("E07", "freeform")}
	c := chosen(t, "metric", nil, parts...)
	before := append([]Part(nil), parts...)
	got := AsStock(parts, c)
	assert.Equal(t, before, parts, "a stage changes nothing of what it was given")
	require.Len(t, got, len(parts))
	size := func(i int, key string) float64 {
		x, ok := got[i].Size(key)
		require.True(t, ok, key)
		return x
	}
	assert.Equal(t, []float64{219.1, 3000}, []float64{size(0, "outside_diameter_mm"), size(0, "length_mm")})
	assert.InDelta(t, 219.1-2*c.Families[0].Size.WallMM, size(0, "inside_diameter_mm"), 1e-9)
	assert.Zero(t, got[0].U95("outside_diameter_mm"))
	assert.Equal(t, 0.2, got[0].U95("length_mm"))
	assert.Equal(t, "tube", got[1].Kind)
	assert.Empty(t, got[1].Hidden)
	assert.Equal(t, []string{"wall_mm"}, parts[1].Hidden)
	assert.Equal(t, c.Families[1].Size.WallMM, size(1, "wall_mm"))
	assert.Equal(t, []float64{6, 50, 900}, []float64{size(2, "thickness_mm"), size(2, "width_mm"), size(2, "length_mm")})
	b := boxOf(polyline(got[2].Outline))
	assert.InDeltaSlice(t, []float64{900, 50}, []float64{b.longMM, b.shortMM}, 1e-9)
	assert.Equal(t, 10.0, size(3, "thickness_mm"))
	assert.InDelta(t, 900+9.8, size(3, "inside_diameter_mm")+size(3, "thickness_mm"), 1e-9, "the middle surface stays")
	assert.Equal(t, []float64{60.3, 2000}, []float64{size(4, "section_diameter_mm"), size(4, "centreline_diameter_mm")})
	assert.Equal(t, 5.0, size(5, "wall_mm"))
	assert.Equal(t, parts[6], got[6])
}

// Sections keep their place and turn: the same box about the centroid, the same
// corner missing.
func TestAsStockSections(t *testing.T) {
	for _, deg := range []float64{0, 25, 100, 190, 280} {
		for _, mirror := range []float64{1, -1} {
			s, c := math.Sincos(deg * math.Pi / 180)
			turn := func(points ...[2]float64) (out [][2]float64) {
				for _, p := range points {
					x, y := mirror*p[0], p[1]
					out = append(out, [2]float64{c*x - s*y, s*x + c*y})
				}
				return out
			}
			part := outlined("E01", 900, turn([2]float64{0, 0}, [2]float64{81, 0}, [2]float64{81, 7.1}, [2]float64{7.1, 7.1}, [2]float64{7.1, 60.4}, [2]float64{0, 60.4})...)
			got := AsStock([]Part{part}, chosen(t, "metric", nil, part))[0]
			sec := sectionOf(got.Outline)
			require.Equal(t, "angle", sec.class)
			assert.InDeltaSlice(t, []float64{80, 60, 7}, []float64{sec.box.longMM, sec.box.shortMM, sec.thicknessMM}, 1e-6)
			m := centroid(polyline(got.Outline))
			assert.InDelta(t, 0, math.Hypot(m[0], m[1]), 1e-9)
			want := sectionOf(part.Outline)
			heel := want.box.at(-want.corner[0]*want.box.longMM/2, -want.corner[1]*want.box.shortMM/2)
			now := sec.box.at(-sec.corner[0]*sec.box.longMM/2, -sec.corner[1]*sec.box.shortMM/2)
			assert.Less(t, math.Hypot(heel[0]-now[0], heel[1]-now[1]), 1.0, "at %g°", deg)
			if mirror > 0 {
				assert.Positive(t, signedArea(got.Outline), "counter-clockwise")
			}
		}
	}
}

func signedArea(o []Step) float64 {
	sum, from := 0.0, o[len(o)-1].To
	for _, s := range o {
		sum += (from[0]*s.To[1] - from[1]*s.To[0]) / 2
		from = s.To
	}
	return sum
}

// A plate rolled to a cone of slope 3:4:5 keeps its middle surface: the concave
// face moves by half the change square to it, 4/5 of that outwards.
func TestAsStockCone(t *testing.T) {
	part := piece("E01", "rolled_plate", "inside_diameter_mm", 400, "thickness_mm", 9.8, "width_mm", 80, "sweep_deg", 120, "slant_mm", 100,
		"large_inside_diameter_mm", 460, "small_inside_diameter_mm", 340, "developed_large_radius_mm", 390, "developed_small_radius_mm", 290, "developed_sweep_deg", 72)
	got := AsStock([]Part{part}, chosen(t, "metric", nil, part))[0]
	for key, was := range map[string]float64{"inside_diameter_mm": 400, "large_inside_diameter_mm": 460, "small_inside_diameter_mm": 340} {
		x, _ := got.Size(key)
		assert.InDelta(t, was-0.2*0.8, x, 1e-9, key)
	}
	thick, _ := got.Size("thickness_mm")
	assert.Equal(t, 10.0, thick)
}
