package report

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/pipeline/job"
	"pointup/pipeline/result"
)

// corrected is a job that says much of its pieces by their names.
const corrected = `scan: {file: a.stl, unit: mm, parts: [{file: b.stl, unit: mm, piece: leg}]}
enlarge: {ratio: 12}
by_hand: [{piece: leg, dimension: wall, value: 2 mm}, {piece: E02, dimension: wall, value: 2 mm}]
pieces: {rows: [{id: E01, name: leg, at: [1, 2, 3]}, {id: E02, name: 'wing: "left"', at: [4, 5, 6]}], join: [[leg, [7, 8, 9]]]}
decided: [{on: hidden E02, note: later}]
`

func TestCorrectableNamesPiecesByID(t *testing.T) {
	j, err := job.Parse("a.yaml", []byte(corrected))
	require.NoError(t, err)
	c := correctableOf(result.Document{Job: j, Stock: &result.Stock{Families: result.List[result.Family]{
		{Elements: result.List[string]{"E01"}, Stock: &result.StockSize{Mark: "CHS 60.3 x 5"}, Nearest: "CHS 60.3 x 5", Above: "CHS 76.1 x 5"},
	}}})
	assert.Contains(t, c.Before, "{piece: E01, dimension: wall")
	assert.Contains(t, c.Before, "unit: mm, piece: E01}")
	assert.Equal(t, "E01", c.Join[0][0].Name)
	assert.Equal(t, []string{"CHS 60.3 x 5", "CHS 76.1 x 5"}, c.Stock["E01"])
	assert.Equal(t, "leg", j.ByHand[0].Piece, "the job itself stays as it is")
	assert.True(t, strings.HasPrefix(c.Before, "job: 1\n") && strings.HasPrefix(c.After, "limits: ") && strings.HasSuffix(c.After, "\n"))
	data, err := json.Marshal(c)
	require.NoError(t, err)
	assert.NotContains(t, string(data), `"rows":null`)
}
