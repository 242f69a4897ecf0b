package report

import (
	"fmt"
	"strings"

	"pointup/pipeline/job"
	"pointup/pipeline/result"
)

// decisionsMost is how many the first page lists; the rest stand in the tables.
const decisionsMost = 14

// decisions says in plain words what somebody has to settle: gates that failed,
// serious findings, warnings, then what the scan could not show. Findings of one
// code are one decision. What the job has decided comes last.
func decisions(doc result.Document) (list []decision, more string) {
	list = append(list, failedGates(doc)...)
	list = append(list, findingsOf(doc, "serious")...)
	list = append(list, findingsOf(doc, "warning")...)
	list = append(list, unknownShapes(doc)...)
	list = append(list, hiddenSizes(doc)...)
	list = append(list, stockDecisions(doc.Stock)...)
	list, settled := settle(list, doc.Job.Decided)
	if n := len(list) - decisionsMost; n > 0 {
		list = list[:decisionsMost]
		more = fmt.Sprintf("%s; see the scan check and the elements.", count(n, "more point stands below", "more points stand below"))
	}
	return append(list, settled...), more
}

// settle divides decisions into those still open and those that the job marks as
// taken. One that is marked and no longer asked for is told as such.
func settle(list []decision, decided []job.Decided) (open, settled []decision) {
	asked := map[string]decision{}
	for _, d := range list {
		asked[d.On] = d
	}
	taken := map[string]bool{}
	for _, m := range decided {
		taken[m.On] = true
		d, ok := asked[m.On]
		if !ok {
			d = decision{On: m.On, What: sentence(m.On + " is no longer asked for")}
		}
		d.Note, d.Settled = m.Note, true
		settled = append(settled, d)
	}
	for _, d := range list {
		if !taken[d.On] {
			open = append(open, d)
		}
	}
	return open, settled
}

func failedGates(doc result.Document) []decision {
	var out []decision
	for _, g := range doc.Gates {
		if !g.Passed {
			out = append(out, decision{
				On:   "gate " + g.Name,
				What: fmt.Sprintf("A gate failed: %s is %s, and %s is allowed.", gateName(g.Name), gateValue(g.Name, float64(g.Value)), gateValue(g.Name, float64(g.Limit))),
				Do:   gateAdvice(g.Name),
			})
		}
	}
	return out
}

func findingsOf(doc result.Document, severity string) []decision {
	var out []decision
	first := map[string]int{} // code → its place in out
	others := []int{}
	for _, f := range doc.Scan.Findings {
		if f.Severity != severity {
			continue
		}
		if k, ok := first[f.Code]; ok {
			others[k]++
			continue
		}
		first[f.Code] = len(out)
		out = append(out, decision{On: "finding " + f.Code, What: sentence(f.What), Do: sentence(f.Advice)})
		others = append(others, 0)
	}
	for i, n := range others {
		if n > 0 {
			out[i].What += fmt.Sprintf(" (And %s of this sort.)", count(n, "more", "more"))
		}
	}
	return out
}

func unknownShapes(doc result.Document) []decision {
	var ids, names []string
	for _, e := range doc.Elements {
		if e.Kind == "freeform" {
			ids, names = append(ids, e.ID), append(names, nameOf(e))
		}
	}
	if len(ids) == 0 {
		return nil
	}
	return []decision{{
		On:   "freeform " + strings.Join(ids, " "),
		What: "No known shape fits " + list(names, 8) + ".",
		Do:   "Only the size of its box is given; decide how it will be made, or scan it again.",
	}}
}

func hiddenSizes(doc result.Document) []decision {
	var ids, sizes []string
	for _, e := range doc.Elements {
		if len(e.Hidden) > 0 {
			var names []string
			for _, k := range e.Hidden {
				n, _ := nameAndUnit(k)
				names = append(names, n)
			}
			ids, sizes = append(ids, e.ID), append(sizes, nameOf(e)+" ("+strings.Join(names, ", ")+")")
		}
	}
	if len(ids) == 0 {
		return nil
	}
	return []decision{{
		On:   "hidden " + strings.Join(ids, " "),
		What: "The scan cannot show some sizes: " + list(sizes, 6) + ".",
		Do:   "Measure them by hand on the maquette, or choose them.",
	}}
}

// stockDecisions says what stock leaves open.
func stockDecisions(s *result.Stock) []decision {
	if s == nil {
		return nil
	}
	var out []decision
	var none, odd []string
	for _, f := range s.Families {
		switch {
		case f.Missing && f.Class != "free":
			none = append(none, f.Elements...)
		case f.Route != nil:
			odd = append(odd, f.Elements...)
		}
	}
	if len(none) > 0 {
		out = append(out, decision{On: "stock missing " + strings.Join(none, " "), What: "No stock within the limits makes " + list(none, 8) + ".", Do: "Name the nearest in the job and accept its change, raise limits.stock_change, or give a table (metal.tables)."})
	}
	if len(odd) > 0 {
		out = append(out, decision{On: "stock odd " + strings.Join(odd, " "), What: "No stock as sold makes " + list(odd, 8) + "; they are rolled, built up or machined.", Do: "See the decisions under Stock: the nearest size may do."})
	}
	for _, c := range s.Assembly.Conflicts {
		out = append(out, decision{On: "fit-up " + strings.Join(c.Elements, " "), What: sentence(list(c.Elements, 8) + ": " + c.What)})
	}
	return out
}

// list joins names and says how many are left out over most.
func list(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", len(names)-most)
}

// sentence starts s with a capital and ends it with a full stop.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	r := []rune(s)
	s = strings.ToUpper(string(r[:1])) + string(r[1:])
	if strings.HasSuffix(s, ".") || strings.HasSuffix(s, "!") || strings.HasSuffix(s, "?") {
		return s
	}
	return s + "."
}
