package report

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/pipeline/result"
)

// met is the sample with contacts and relations.
func met() result.Document {
	doc := sample()
	doc.Contacts = result.List[result.Contact]{
		{A: "E01", B: "E02", Kind: "tube through ring", LengthMM: 100, AngleDeg: new(result.Deg(90)), GapMM: new(result.MM(-0.5)), Through: true},
		{A: "E02", B: "E03", Kind: "point", GapMM: new(result.MM(0.02))},
		{A: "E01", B: "E04", Kind: "tube on plate", LengthMM: 67.06, AngleDeg: new(result.Deg(45))},
	}
	doc.Relations = result.List[result.Relation]{
		{Kind: "perpendicular", Of: "axis", Elements: []string{"E01"}, To: []string{"E02"}, Residual: 0.02, Within: 0.1, Unit: "deg"},
		{Kind: "equal", Of: "thickness_mm", Elements: []string{"E02", "E04"}, Value: new(result.MM(2.5)), Residual: 0.01, Within: 0.02, Unit: "mm"},
	}
	return doc
}

func TestPageShowsConnections(t *testing.T) {
	s := page1(t, met())
	n := elementsOf(t, s)
	require.Equal(t, 1, n["svg"])
	require.Equal(t, 5, n["rect"], "a box an element")
	require.Equal(t, 3, n["line"], "a line a contact")
	for _, want := range []string{"tube through ring", "100.0 mm", "1200 mm", "−6.0 mm", "45.0°", "E01 to E02", "thickness, 2.50 mm", `href="#connections"`} {
		require.Contains(t, s, want)
	}
}

func TestPageWithoutContacts(t *testing.T) {
	require.NotContains(t, page1(t, sample()), "<svg")
	doc := sample()
	doc.Contacts = result.List[result.Contact]{}
	require.Contains(t, page1(t, doc), "No two elements come near enough")
}

func TestBoxesKeepApart(t *testing.T) {
	for name, links := range map[string][][2]int{
		"a chain": {{0, 1}, {1, 2}, {2, 3}, {3, 4}, {4, 5}}, "a star": {{0, 1}, {0, 2}, {0, 3}, {0, 4}, {0, 5}}, "none": nil,
	} {
		wide := []float64{60, 150, 60, 90, 200, 60}
		at := layOut(6, links, wide)
		for i := range at {
			require.False(t, math.IsNaN(at[i][0]+at[i][1]))
			for j := range i {
				dx, dy := math.Abs(at[i][0]-at[j][0]), math.Abs(at[i][1]-at[j][1])
				assert.True(t, dx >= (wide[i]+wide[j])/2 || dy >= boxHigh, "%s: %d and %d", name, i, j)
			}
		}
		assert.Equal(t, at, layOut(6, links, wide), "the same sheet each time")
	}
}
