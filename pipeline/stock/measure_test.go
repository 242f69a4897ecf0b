package stock

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Three bars at different distances from the border of their stock: 60.3 ± 3 % are
// 58.49 to 62.11 mm. The chance beyond is that of the normal distribution.
func TestMeasureFirst(t *testing.T) {
	cat, err := Standard("metric")
	require.NoError(t, err)
	opt := DefaultOptions()
	opt.Ban = []string{"round"}
	with := func(id string, od, u95 float64) Part {
		p := bar(id, od, 500)
		p.Dims[0].U95 = u95
		return p
	}
	parts := []Part{with("E01", 60.3, 0.4), with("E02", 91.2, 0.6), with("E03", 117, 0.4), with("E04", 219.1, 0)}
	c, err := Choose(parts, nil, cat, opt)
	require.NoError(t, err)
	got := MeasureFirst(c, parts, 5)
	require.NotEmpty(t, got)
	assert.Equal(t, 1, got[0].Part)
	// 88.9 mm takes what is up to 88.9/0.97 = 91.649 mm large: z = 0.449/(0.6/1.96).
	border := 88.9 / 0.97
	assert.InDelta(t, border, got[0].BorderMM, 1e-3)
	z := (border - 91.2) / (0.6 / 1.96)
	assert.InDelta(t, math.Erfc(z/math.Sqrt2)/2, got[0].Chance, 1e-3)
	for i := 1; i < len(got); i++ {
		assert.LessOrEqual(t, got[i].Chance, got[i-1].Chance)
	}
	for _, r := range got {
		assert.NotEqual(t, 3, r.Part, "what is known exactly is not measured")
	}
	assert.Len(t, MeasureFirst(c, parts, 1), 1)
	assert.Empty(t, MeasureFirst(c, parts, 0))
	assert.Empty(t, MeasureFirst(c, parts, -3))
}

// The chance is how often a family's choice does change, by drawing true sizes.
func TestMeasureFirstByDrawing(t *testing.T) {
	cat := both(t)
	part := bar("E01", 61.6, 500)
	part.Dims[0].U95 = 1.2
	c, err := Choose([]Part{part}, nil, cat, DefaultOptions())
	require.NoError(t, err)
	got := MeasureFirst(c, []Part{part}, 1)
	require.Len(t, got, 1)
	r, changed := rand.New(rand.NewPCG(9, 9)), 0
	const draws = 400
	for range draws {
		p := bar("E01", 61.6+1.2/1.96*r.NormFloat64(), 500)
		d, err := Choose([]Part{p}, nil, cat, DefaultOptions())
		require.NoError(t, err)
		x := candidate{size: d.Families[0].Size, route: d.Families[0].Route, buys: d.Families[0].buys()}
		own := candidate{size: c.Families[0].Size, route: c.Families[0].Route, buys: c.Families[0].buys()}
		if x.name() != own.name() {
			changed++
		}
	}
	sd := math.Sqrt(got[0].Chance * (1 - got[0].Chance) / draws)
	assert.InDelta(t, got[0].Chance, float64(changed)/draws, 4*sd+0.005, "other: %s from %.2f mm", got[0].Other, got[0].BorderMM)
}
