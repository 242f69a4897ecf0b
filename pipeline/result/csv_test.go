package result

import (
	"encoding/csv"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCSVHasOneRowAnElement(t *testing.T) {
	d := sample()
	d.Elements[0].Name = `leg, "left"`
	data, err := CSV(d)
	require.NoError(t, err)
	rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 8)
	cell := func(row int, column string) string {
		for i, name := range rows[0] {
			if name == column {
				return rows[row][i]
			}
		}
		require.Fail(t, column)
		return ""
	}
	assert.Equal(t, []string{"id", "name", "kind"}, rows[0][:3])
	assert.Equal(t, "E01", cell(1, "id"))
	assert.Equal(t, `leg, "left"`, cell(1, "name"))
	assert.Equal(t, "256.1481", cell(1, "outside_diameter_mm"), "full size: 21.34567891 × 12")
	assert.Equal(t, "", cell(1, "sweep_deg"))
	assert.Equal(t, "", cell(1, "stock"))
	assert.Equal(t, "1.2", cell(1, "deviation_p95_mm"))
	assert.Equal(t, "0.99", cell(1, "deviation_within"))
	assert.Equal(t, "flat", cell(2, "section"))
	assert.Equal(t, "2", cell(3, "hole_count"))
	assert.Equal(t, "3.25", cell(5, "turns"))
	assert.Equal(t, "right", cell(5, "hand"))
	assert.Equal(t, "", cell(6, "deviation_p95_mm"), "freeform has no deviation")
}

func TestCSVRefusesWhatIsNoNumber(t *testing.T) {
	d := sample()
	d.Elements[0].FullSize[0].Value = MM(math.NaN())
	_, err := CSV(d)
	assert.ErrorContains(t, err, "element E01: outside_diameter_mm: the number is NaN")
}

func TestCSVOfNothingIsItsHeader(t *testing.T) {
	data, err := CSV(Document{})
	require.NoError(t, err)
	assert.Equal(t, 1, strings.Count(string(data), "\n"))
}
