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
		"lift and weld":    {gates: job.Gates{LiftUse: new(0.75), WeldUse: new(0.25)}, measured: Measured{LiftUse: new(0.7), WeldUse: new(1000.0)}, want: List[Gate]{{"weld_use", 0.25, 1000, false}, {"lift_use", 0.75, 0.7, true}}},
		"props, overhead":  {gates: job.Gates{Props: new(0), OverheadWeldMM: new(500.0)}, measured: Measured{Props: new(0), OverheadWeldMM: new(500.0)}, want: List[Gate]{{"props", 0, 0, true}, {"overhead_weld", 500, 500, true}}},
		"road":             {gates: job.Gates{Sections: new(2), FieldWeldMM: new(100.0), Blocked: new(0)}, measured: Measured{Sections: new(3), FieldWeldMM: new(90.0), Blocked: new(1)}, want: List[Gate]{{"sections", 2, 3, false}, {"field_weld", 100, 90, true}, {"blocked", 0, 1, false}}},
		"nothing to lift":  {gates: job.Gates{LiftUse: new(1.0), Unlifted: new(0), Blocked: new(0), MadeChangeMM: new(1.0)}, want: List[Gate]{}, findings: 4},
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
