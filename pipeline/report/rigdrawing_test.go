package report

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/pipeline/result"
)

// TestTurnDrawing: three poses, well-formed, their loads in words.
func TestTurnDrawing(t *testing.T) {
	pose := func(deg, x, z, kg float64) result.TurnPose {
		return result.TurnPose{TurnDeg: result.Deg(deg), HeadMM: result.Point{result.MM(x), 0, result.MM(z)}, CentreMM: result.Point{result.MM(x / 2), 0, result.MM(z / 2)}, HeadKG: result.KG(kg), FootKG: result.KG(900 - kg)}
	}
	turn := result.Turn{Of: "a<b", Head: &result.Lug{Element: "E01"}, Poses: result.List[result.TurnPose]{pose(0, 4000, 100, 450), pose(45, 2830, 2900, 451), pose(90, 0, 4000, 452)}}
	got := turnDrawings(&result.Rig{Turns: result.List[result.Turn]{{Of: "E09", WhyNot: "none"}, turn}})
	require.Len(t, got, 1)
	svg := string(got[0].SVG)
	dec := xml.NewDecoder(strings.NewReader(svg))
	for {
		_, err := dec.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
	}
	for _, s := range []string{"head 450 kg", "head 451 kg", "head 452 kg", "foot 448 kg", "45°"} {
		assert.Contains(t, svg, s)
	}
	assert.NotContains(t, svg, "NaN")
}
