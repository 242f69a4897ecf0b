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
	}
	return words(name)
}

// gateValue prints a gate's number with its unit.
func gateValue(name string, v float64) string {
	s := minus(quantity.Decimal(v, 4))
	switch name {
	case "surface_p95", "open_loop":
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
