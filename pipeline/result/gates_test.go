package result

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"pointup/pipeline/job"
)

func TestGates(t *testing.T) {
	elements := sample().Elements // p95 of 1.2 mm each, none for the freeform
	for name, row := range map[string]struct {
		gates    job.Gates
		measured Measured
		want     List[Gate]
		findings int
	}{
		"none given":       {want: List[Gate]{}},
		"kept":             {gates: job.Gates{SurfaceP95MM: new(3.0)}, want: List[Gate]{{"surface_p95", 3, 1.2, true}}},
		"just kept":        {gates: job.Gates{SurfaceP95MM: new(1.2)}, want: List[Gate]{{"surface_p95", 1.2, 1.2, true}}},
		"just not":         {gates: job.Gates{SurfaceP95MM: new(1.1999)}, want: List[Gate]{{"surface_p95", 1.1999, 1.2, false}}},
		"missing stock 0":  {gates: job.Gates{MissingStock: new(0)}, measured: Measured{MissingStock: new(1)}, want: List[Gate]{{"missing_stock", 0, 1, false}}},
		"not evaluated":    {gates: job.Gates{MissingStock: new(0), Utilisation: new(0.8)}, want: List[Gate]{}, findings: 2},
		"openings":         {gates: job.Gates{OpenLoopMM: new(20.0)}, measured: Measured{OpenLoopMM: new(0.0)}, want: List[Gate]{{"open_loop", 20, 0, true}}},
		"order of the job": {gates: job.Gates{Utilisation: new(0.8), SurfaceP95MM: new(1.0)}, measured: Measured{Utilisation: new(0.9)}, want: List[Gate]{{"surface_p95", 1, 1.2, false}, {"utilisation", 0.8, 0.9, false}}},
	} {
		gates, findings := Gates(row.gates, elements, row.measured)
		assert.Equal(t, row.want, gates, name)
		assert.Len(t, findings, row.findings, name)
	}
	gates, findings := Gates(job.Gates{SurfaceP95MM: new(3.0)}, nil, Measured{})
	assert.Empty(t, gates)
	assert.Equal(t, "gate-not-evaluated", findings[0].Code)
	assert.True(t, Passed(nil))
	assert.False(t, Passed([]Gate{{Passed: true}, {Passed: false}}))
}
