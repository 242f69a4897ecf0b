package report

import (
	"fmt"

	"pointup/pipeline/site"
)

// sitePart is the preliminary check of the work where it stands.
func sitePart(r *site.Report) part {
	p := part{ID: "site", Heading: "Preliminary check for a licensed engineer", Text: []string{
		fmt.Sprintf("%s. Code: %s. First frequency %s Hz. Greatest utilisation %s %%, of %s. Greatest deflection %s mm, of %s.", sentenceStart(r.Preliminary), r.Code, frequency(r.FrequenciesHz),
			fixed(100*r.Utilisation, 0), orDash(r.UtilisationOf), fixed(r.DeflectionMM, 1), orDash(r.DeflectionOf)),
	}}
	t := table{Caption: "Pieces at their worst.", Head: []string{"Piece", "Stress, MPa", "Allowed, MPa", "Utilisation", "In", "Wind towards"}}
	for _, m := range r.Members {
		t.Rows = append(t.Rows, []string{m.ID, fixed(m.StressMPa, 1), fixed(m.AllowMPa, 0), fixed(100*m.Utilisation, 0) + " %", orDash(m.Combination), towards(m.TowardsDeg)})
	}
	p.Tables = append(p.Tables, t)
	t = table{Caption: "Welds by the line method.", Head: []string{"Pieces", "Seam, mm", "N/mm", "Leg that carries it, mm", "Least leg, mm", "Utilisation", "In"}}
	for _, x := range r.Welds {
		t.Rows = append(t.Rows, []string{x.A + ", " + x.B, fixed(x.LengthMM, 0), fixed(x.NPerMM, 1), fixed(x.LegMM, 1), fixed(x.LegLeastMM, 0), fixed(100*x.Utilisation, 0) + " %", orDash(x.Combination)})
	}
	p.Tables = append(p.Tables, t, windTable(r.Wind))
	t = table{Caption: "What the whole puts on the ground, worst of each combination.", Head: []string{"Combination", "Down, kN", "Shear, kN", "Overturning, kNm", "Wind towards"}}
	for _, b := range r.Base {
		t.Rows = append(t.Rows, []string{b.Combination, fixed(b.DownN/1000, 1), fixed(b.ShearN/1000, 2), fixed(b.OverturnNMM/1e6, 2), towards(b.TowardsDeg)})
	}
	p.Tables = append(p.Tables, t)
	if f := r.Footing; f != nil {
		p.List = append(p.List, fmt.Sprintf("Footing: a block of %s × %s × %s mm, %s kg; soil at most %s of %s kPa. %s", fixed(f.SideMM, 0), fixed(f.SideMM, 0), fixed(f.DepthMM, 0), fixed(f.MassKG, 0),
			fixed(f.PressureKPa, 0), fixed(f.LimitKPa, 0), sentence(f.Basis)))
	}
	p.List = append(p.List, prefixed("Basis: ", r.Basis, r.Wind.Basis)...)
	p.List = append(p.List, prefixed("Not covered: ", r.NotCovered, r.Wind.NotCovered)...)
	return p
}

func windTable(w site.Wind) table {
	t := table{Caption: "Wind by direction: the sum of every piece's own area with its own coefficient, nothing shielded; the silhouette is the fully shielded bound and is never used alone.", Head: []string{"Towards", "Sum of areas, m²", "Silhouette, m²", "Force, kN", "Moment at the ground, kNm"}}
	for i, d := range w.Towards {
		if i%3 != 0 { // every 30 degrees of 36 directions
			continue
		}
		sum, seen := 0.0, 0.0
		for k := range d.SumMM2 {
			sum += d.SumMM2[k]
		}
		for k := range d.SilhouetteMM2 {
			seen += d.SilhouetteMM2[k]
		}
		t.Rows = append(t.Rows, []string{fixed(d.TowardsDeg, 0) + "°", fixed(sum/1e6, 2), fixed(seen/1e6, 2), fixed(d.ForceN/1000, 2), fixed(d.BaseMomentNMM/1e6, 2)})
	}
	return t
}

func towards(deg *float64) string {
	if deg == nil {
		return noNumber
	}
	return fixed(*deg, 0) + "°"
}

func frequency(hz []float64) string {
	if len(hz) == 0 {
		return noNumber
	}
	return fixed(hz[0], 2)
}

func prefixed(head string, lists ...[]string) []string {
	var out []string
	for _, l := range lists {
		for _, s := range l {
			out = append(out, head+sentence(s))
		}
	}
	return out
}

func sentenceStart(s string) string { return trimStop(sentence(s)) }

func trimStop(s string) string {
	if n := len(s); n > 0 && s[n-1] == '.' {
		return s[:n-1]
	}
	return s
}

// accessPart lists openings that may catch people.
func accessPart(a *site.Access) part {
	p := part{ID: "access", Heading: "What people may be caught in", Text: []string{sentence(a.Preliminary), sentence(a.Code)}}
	t := table{Caption: "Openings in a published range.", Head: []string{"Piece", "What", "Count", "Across, mm", "Lowest, mm over the ground", "May catch", "Within reach"}}
	for _, o := range a.Openings {
		across, reach := noNumber, "no"
		if o.AcrossMM > 0 {
			across = fixed(o.AcrossMM, 0)
		}
		if o.Reached {
			reach = "yes"
		}
		id := o.ID
		if o.With != "" {
			id += ", " + o.With
		}
		t.Rows = append(t.Rows, []string{id, o.What, fmt.Sprint(o.Count), across, fixed(o.LowestMM, 0), o.Traps, reach})
	}
	if len(t.Rows) > 0 {
		p.Tables = []table{t}
	} else {
		p.Text = append(p.Text, "None was found among those that are looked at.")
	}
	p.List = append(prefixed("Basis: ", a.Basis), prefixed("Not covered: ", a.NotCovered)...)
	return p
}
