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
		return "the widest opening of the scan at full size"
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
		return "Choose stock for them by hand."
	case "open_loop":
		return "Scan the place again, or accept what was filled in there."
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
