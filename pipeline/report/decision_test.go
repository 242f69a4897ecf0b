package report

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"pointup/pipeline/job"
)

func TestDecidedComesLast(t *testing.T) {
	list := []decision{{On: "gate open_loop", What: "a"}, {On: "hidden E03", What: "b"}, {On: "stock odd E01", What: "c"}}
	open, settled := settle(list, []job.Decided{{On: "hidden E03", Note: "measured"}, {On: "freeform E09"}})
	assert.Equal(t, []decision{list[0], list[2]}, open)
	assert.Equal(t, []decision{
		{On: "hidden E03", What: "b", Note: "measured", Settled: true},
		{On: "freeform E09", What: "Freeform E09 is no longer asked for.", Settled: true},
	}, settled)
}

func TestEveryDecisionHasAName(t *testing.T) {
	list, _ := decisions(sample())
	seen := map[string]bool{}
	for _, d := range list {
		assert.NotEmpty(t, d.On, d.What)
		assert.False(t, seen[d.On], d.On)
		seen[d.On] = true
	}
	assert.NotEmpty(t, list)
}
