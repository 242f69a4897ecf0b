package report

import (
	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
)

// gateName says in words what a gate is about.
func gateName(name string) string {
	switch name {
	case "surface_p95":
		return "the largest p95 deviation of an element at full size"
	case "missing_stock":
		return "the number of parts without stock"
	case "open_loop":
		return "the largest gap or overlap that stock sizes leave at a contact"
	case "utilisation":
		return "the largest utilisation of a member"
	case "weld_use":
		return "the largest share of a seam's strength that dead weight takes; 1000 where a seam carries nothing"
	case "lift_use":
		return "the largest share of a hoist's capacity, derating included"
	case "unlifted":
		return "the number of loads for which no lift or no way to turn them up was found"
	case "props":
		return "the number of steps of the build that need a prop"
	case "overhead_weld":
		return "the length of weld laid overhead"
	case "sections":
		return "the number of sections for the road"
	case "field_weld":
		return "the length of weld left for the site"
	case "blocked":
		return "the number of times that a section does not pass a passage of the route, or can tip there"
	case "access":
		return "the number of openings within reach that may trap a head"
	case "made_change":
		return "the largest change of a size of a piece that is made"
	}
	return words(name)
}

// gateValue prints a gate's number with its unit.
func gateValue(name string, v float64) string {
	s := minus(quantity.Decimal(v, 4))
	switch name {
	case "surface_p95", "open_loop", "overhead_weld", "field_weld", "made_change":
		return s + " mm"
	}
	return s
}

func gateAdvice(name string) string {
	switch name {
	case "surface_p95":
		return "Look at the picture of the deviation to see where it comes from; rework the maquette, scan it again, or accept it and raise the limit."
	case "missing_stock":
		return "Name stock for them in the job, or give a table with what makes them (metal.tables)."
	case "open_loop":
		return "Name another stock for one of the pieces, or cut one to fit on trial assembly and raise the limit."
	case "utilisation":
		return "A licensed engineer has to look at this member."
	case "weld_use":
		return "Take the sleeve, pin, slot or gusset that the list of joints proposes, or have the engineer design the joint."
	case "lift_use", "unlifted":
		return "Name a stronger hoist in the job, lift fewer pieces together, or have the rigger plan this load."
	case "props", "overhead_weld":
		return "Look at the build order; weld more on the bench, or raise the limit."
	case "sections", "field_weld":
		return "Allow a larger envelope, or raise the limit."
	case "blocked":
		return "Choose another route or a smaller envelope; the haulier drives the curve with the vehicle's own chart."
	case "access":
		return "Close or widen them, or have the site's risk assessment accept them and raise the limit."
	case "made_change":
		return "Cut the piece anew, or keep it and see which joints do not close."
	}
	return ""
}

func gateTable(doc result.Document) []table {
	if len(doc.Gates) == 0 {
		return nil
	}
	t := table{Caption: "Limits of the job that decide whether this result may be used.", Head: []string{"Gate", "What it is", "Limit", "Found", "Outcome"}}
	for _, g := range doc.Gates {
		outcome := "passed"
		if !g.Passed {
			outcome = "FAILED"
		}
		t.Rows = append(t.Rows, []string{g.Name, gateName(g.Name), gateValue(g.Name, float64(g.Limit)), gateValue(g.Name, float64(g.Value)), outcome})
	}
	return []table{t}
}
