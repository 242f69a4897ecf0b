package shop

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/pipeline/draw"
)

// TestBentSheet: the pattern has the area and cut of its polygons, its bend lines
// and its error; a sheet of no thickness is refused.
func TestBentSheet(t *testing.T) {
	b := BentSheet{Mark: "E01", Name: "sail", ThicknessMM: 6, Outer: [][2]float64{{0, 0}, {900, 0}, {900, 400}, {0, 400}}, Holes: [][][2]float64{{{100, 100}, {100, 150}, {200, 150}, {200, 100}}},
		Rulings: []BendLine{{[2]float64{300, 0}, [2]float64{350, 400}, 240}, {[2]float64{600, 0}, [2]float64{620, 400}, -400}}, Strain: 0.001, ErrorMM: 0.98}
	f, err := b.Flat(DefaultFlatOptions())
	require.NoError(t, err)
	assert.InEpsilon(t, 900*400-100*50, f.NetMM2, 1e-12)
	assert.InEpsilon(t, 2600+300, f.CutMM, 1e-12)
	assert.InDelta(t, 50, f.HoleMM, 1e-9)
	bends := 0
	for _, l := range f.Lines {
		if l.Layer == draw.Bend {
			bends++
		}
	}
	assert.Equal(t, 2, bends)
	assert.Contains(t, f.Notes[0], "off by more than 1.0 mm")
	require.NoError(t, f.Drawing("steel").Check())
	b.ThicknessMM = math.NaN()
	_, err = b.Flat(DefaultFlatOptions())
	assert.ErrorContains(t, err, "E01")
}
