package result

import (
	"pointup/pipeline/job"
	"pointup/pipeline/quantity"
)

// Measured is what the gates are held against; nil where the stage that measures
// it did not run.
type Measured struct {
	OpenLoopMM   *float64 // largest gap or overlap left at a contact of the as-stock assembly
	MissingStock *int     // parts for which no stock was found
	Utilisation  *float64 // largest of any member, 1 being fully used

	WeldUse        *float64 // largest share of a seam's strength that dead weight takes, see WeldUse
	LiftUse        *float64 // of the capacity of any hoist, derating included
	Unlifted       *int     // loads that are not lifted or turned up in any way found
	Props          *int     // steps of the build that need a prop
	OverheadWeldMM *float64 // of the build order
	Sections       *int
	FieldWeldMM    *float64
	Blocked        *int     // passages of the route that a section does not get through, or on which it can tip
	Access         *int     // openings for a head within reach
	MadeChangeMM   *float64 // largest change of a size of a piece that is made
}

// Gates evaluates the gates that the job gives, in the job's order. A gate that
// cannot be evaluated is left out, and a finding says so.
//
// surface_p95 is the largest p95 of the deviation of any element: every element
// has to keep it. Elements without a deviation (freeform) have none to keep; where
// no element has one the gate cannot be evaluated. Values and limits are those of
// the document, rounded, so that a reader comes to the same answer.
func Gates(g job.Gates, elements []Element, m Measured) (List[Gate], []Finding) {
	gates, findings := List[Gate]{}, []Finding{}
	add := func(name string, limit, value *float64, why string) {
		switch {
		case limit == nil:
		case value == nil:
			findings = append(findings, Finding{
				Code: "gate-not-evaluated", Severity: "warning",
				What:   "the gate " + name + " was not evaluated: " + why,
				Advice: "do not take the result as having passed it",
			})
		default:
			gates = append(gates, gate(name, *limit, *value))
		}
	}
	add("surface_p95", g.SurfaceP95MM, surfaceP95(elements), "no element has a deviation")
	add("missing_stock", float(g.MissingStock), float(m.MissingStock), "stock was not looked for")
	add("open_loop", g.OpenLoopMM, m.OpenLoopMM, "the assembly could not be laid out with its stock sizes")
	add("utilisation", g.Utilisation, m.Utilisation, "the strength was not checked")
	add("weld_use", g.WeldUse, m.WeldUse, "no seam was found on which anything hangs")
	add("lift_use", g.LiftUse, m.LiftUse, "the job names no hoist, or none carries a load")
	add("unlifted", float(g.Unlifted), float(m.Unlifted), "no mass is known")
	add("props", float(g.Props), float(m.Props), "no build order was found")
	add("overhead_weld", g.OverheadWeldMM, m.OverheadWeldMM, "no build order was found")
	add("sections", float(g.Sections), float(m.Sections), "the job has no haul envelope")
	add("field_weld", g.FieldWeldMM, m.FieldWeldMM, "the job has no haul envelope")
	add("blocked", float(g.Blocked), float(m.Blocked), "the job has no route, or no envelope")
	add("access", float(g.Access), float(m.Access), "the job has no site")
	add("made_change", g.MadeChangeMM, m.MadeChangeMM, "no made piece is known from an earlier run")
	return gates, findings
}

// Passed says whether all gates are kept.
func Passed(gates []Gate) bool {
	for _, g := range gates {
		if !g.Passed {
			return false
		}
	}
	return true
}

// gate compares what will be printed: 1e-4 mm, as lengths are.
func gate(name string, limit, value float64) Gate {
	l, v := quantity.Round(limit, 4), quantity.Round(value, 4)
	return Gate{Name: name, Limit: Factor(l), Value: Factor(v), Passed: v <= l}
}

// surfaceP95 is the largest p95 deviation, in mm at full size.
func surfaceP95(elements []Element) *float64 {
	var worst *float64
	for _, e := range elements {
		if e.Deviation != nil && (worst == nil || float64(e.Deviation.P95MM) > *worst) {
			worst = new(float64(e.Deviation.P95MM))
		}
	}
	return worst
}

func float(n *int) *float64 {
	if n == nil {
		return nil
	}
	return new(float64(*n))
}
