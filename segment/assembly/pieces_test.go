package assembly

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"pointup/segment/primitive"
)

// TestWorse: a second fit is no better where it shows less or scatters several times
// as far as the first, by whose surface its facets were chosen.
func TestWorse(t *testing.T) {
	wheel := func(rms float64, hidden ...string) primitive.Element {
		return primitive.Element{Kind: "toothed_wheel", RMSMM: rms, Hidden: hidden}
	}
	shown := func(kind string, coverage float64, ends ...string) primitive.Element {
		e := primitive.Element{Kind: kind, RMSMM: 0.03, Coverage: coverage}
		for _, k := range ends {
			e.Ends = append(e.Ends, primitive.End{Kind: k})
		}
		return e
	}
	for name, c := range map[string]struct {
		a, b primitive.Element
		want bool
	}{
		"as good":        {wheel(0.03), wheel(0.03), false},
		"dents too":      {wheel(0.07), wheel(0.03), false},
		"astray":         {wheel(0.25), wheel(0.035), true},
		"less shown":     {wheel(0.03, "bore_diameter_mm"), wheel(0.03), true},
		"nothing known":  {primitive.Element{Kind: "freeform"}, wheel(0.03), true},
		"known now":      {wheel(0.25), primitive.Element{Kind: "freeform"}, false},
		"teeth now":      {wheel(0.25), primitive.Element{Kind: "ring", RMSMM: 0.03}, false},
		"teeth of weld":  {primitive.Element{Kind: "toothed_wheel", RMSMM: 0.14, Coverage: 0.3}, shown("plate", 0.6), true},
		"teeth as shown": {primitive.Element{Kind: "toothed_wheel", RMSMM: 0.14, Coverage: 0.5}, shown("plate", 0.6), false},
		"no teeth shown": {shown("plate", 0.6), primitive.Element{Kind: "toothed_wheel", RMSMM: 0.08, Coverage: 0.3}, false},
		"hardly less":    {shown("plate", 0.6), primitive.Element{Kind: "toothed_wheel", RMSMM: 0.08, Coverage: 0.5}, true},
		"no teeth":       {primitive.Element{Kind: "plate", RMSMM: 0.03}, wheel(0.2), true},
		"another kind":   {primitive.Element{Kind: "sphere", RMSMM: 0.11}, primitive.Element{Kind: "disc", RMSMM: 0.05}, true},
		"a better kind":  {primitive.Element{Kind: "tube", RMSMM: 0.03}, primitive.Element{Kind: "bar", RMSMM: 0.03}, false},
		"little shown":   {shown("tube", 0.3), shown("tube", 0.7), true},
		"a side of weld": {primitive.Element{Kind: "plate", RMSMM: 0.05, Coverage: 0.8, Hidden: []string{"length_mm"}}, primitive.Element{Kind: "plate", RMSMM: 0.07, Coverage: 0.7}, false},
		"end askew":      {shown("bar", 0.7, "square", "mitre"), shown("bar", 0.7, "square", "square"), true},
		"end squared":    {shown("bar", 0.7, "square", "square"), shown("bar", 0.7, "square", "mitre"), false},
	} {
		assert.Equal(t, c.want, worse(c.a, c.b), name)
	}
}
