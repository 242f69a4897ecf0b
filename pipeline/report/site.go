package report

import (
	"fmt"

	"pointup/pipeline/quantity"
	"pointup/pipeline/site"
)

// sitePart is the preliminary check of the work where it stands.
func sitePart(r *site.Report) part {
	p := part{ID: "site", Heading: "Preliminary check for a licensed engineer", Text: []string{
		fmt.Sprintf("%s. Code: %s. First frequency %s Hz. Greatest utilisation %s %%, of %s. Greatest deflection %s mm, of %s. %s", sentenceStart(r.Preliminary), r.Code, frequency(r.FrequenciesHz),
			fixed(100*r.Utilisation, 0), orDash(r.UtilisationOf), fixed(r.DeflectionMM, 1), orDash(r.DeflectionOf), swayText(r)),
	}}
	p.Drawings = siteDrawings(r)
	p.Tables = []table{combinationTable(r.Combinations), memberTable(r.Members), plateTable(r.Plates), weldTable(r.Welds), windTable(r.Wind), baseTable(r.Base), footTable(r.Feet), stageTable(r.Stages)}
	p.List = append(p.List, siteNeeds(r)...)
	if t := r.Transport; t.UtilisationOf != "" {
		p.List = append(p.List, fmt.Sprintf("On the road: %s is used to %s %%, were the work to travel %s. It is in no gate: sections that travel lying are for the haulier's own check.", t.UtilisationOf, fixed(100*t.Utilisation, 0), t.Basis))
	}
	if f := r.Footing; f != nil {
		p.List = append(p.List, fmt.Sprintf("Footing: a block of %s × %s × %s mm, %s kg; soil at most %s of %s kPa. %s", fixed(f.SideMM, 0), fixed(f.SideMM, 0), fixed(f.DepthMM, 0), fixed(f.MassKG, 0),
			fixed(f.PressureKPa, 0), fixed(f.LimitKPa, 0), sentence(f.Basis)))
	}
	p.List = append(p.List, prefixed("Basis: ", r.Basis, r.Wind.Basis)...)
	p.List = append(p.List, prefixed("Not covered: ", r.NotCovered, r.Wind.NotCovered)...)
	return p
}

func swayText(r *site.Report) string {
	if r.CriticalFactor == 0 {
		return "Nothing is pressed enough to buckle."
	}
	s := fmt.Sprintf("The frame would buckle at %s times its greatest load", fixed(r.CriticalFactor, 1))
	if r.SecondOrder > 1 {
		return s + fmt.Sprintf("; all forces are raised by %s %% for its bent shape.", fixed(100*(r.SecondOrder-1), 1))
	}
	return s + "."
}

func stageTable(all []site.Stage) table {
	t := table{Caption: "Partial builds and lifts: the worst of pieces and of welds as they are to be at the end. The margin against tipping stands with the build order.",
		Head: []string{"Stage", "Pieces", "Load", "Shift, mm", "Of", "Buckles at", "Utilisation", "Of"}}
	for _, g := range all {
		if g.WhyNot != "" {
			t.Rows = append(t.Rows, []string{g.Name, fmt.Sprint(g.Pieces), sentence(g.WhyNot), noNumber, noNumber, noNumber, noNumber, noNumber})
			continue
		}
		times := noNumber
		if g.CriticalFactor > 0 {
			times = fixed(g.CriticalFactor, 0) + " ×"
		}
		t.Rows = append(t.Rows, []string{g.Name, fmt.Sprint(g.Pieces), g.Load, fixed(g.DeflectionMM, 1), orDash(g.DeflectionOf), times, percent(g.Utilisation, 0), orDash(g.UtilisationOf)})
	}
	return t
}

// siteNeeds are what is over 1, with what would take it under.
func siteNeeds(r *site.Report) []string {
	var out []string
	for _, m := range r.Members {
		if m.Needs != "" {
			out = append(out, fmt.Sprintf("%s is over 100 %%. It needs %s.", m.ID, m.Needs))
		}
	}
	for _, w := range r.Welds {
		switch {
		case w.Needs != nil:
			out = append(out, fmt.Sprintf("The weld of %s and %s is at %s %%. It needs %s.", w.A, w.B, fixed(100*w.Utilisation, 0), w.Needs.Words))
		case w.RingMM > 0:
			out = append(out, fmt.Sprintf("%s and %s: %s Here that is %s mm, of a leg of %s mm.", w.A, w.B, sentence(w.Basis), fixed(w.RingMM, 0), fixed(w.LegLeastMM, 0)))
		}
	}
	return out
}

func combinationTable(all []site.Combination) table {
	t := table{Caption: "Sums of loads, each with wind or earthquake to 36 sides where it has one.", Head: []string{"Combination", "Source", "Weight", "Climbing", "Ice", "Wind", "Earthquake"}}
	for _, c := range all {
		cells := []string{c.Name, c.Source}
		for _, f := range []float64{c.Dead, c.Live, c.Ice, c.Wind, c.Seismic} {
			if f == 0 {
				cells = append(cells, noNumber)
				continue
			}
			cells = append(cells, quantity.Decimal(f, 3))
		}
		t.Rows = append(t.Rows, cells)
	}
	return t
}

func memberTable(all []site.Member) table {
	t := table{Caption: "Pieces at their worst: stress, and buckling with the length that nothing holds from the side (K × length over the radius of gyration: slenderness).",
		Head: []string{"Piece", "Stress, MPa", "Allowed, MPa", "Utilisation", "In", "Towards", "Free length, mm", "K", "Slenderness", "Pressed, kN", "Resists, kN", "Buckling"}}
	for _, m := range all {
		b := m.Buckling
		t.Rows = append(t.Rows, []string{m.ID, fixed(m.StressMPa, 1), fixed(m.AllowMPa, 0), percent(m.Utilisation, 0), orDash(m.Combination), towards(m.TowardsDeg),
			fixed(b.LengthMM, 0), fixed(b.Factor, 1), fixed(b.Slenderness, 0), fixed(b.PressN/1000, 2), fixed(b.ResistN/1000, 1), percent(b.Utilisation, 0)})
	}
	return t
}

func plateTable(all []site.PlateStrip) table {
	t := table{Caption: "Plates, discs and wheels: an upper bound of their own stress, at the worst joint of each, by a strip as wide as the seam reaches.",
		Head: []string{"Piece", "Joint with", "Strip, mm", "Moment, kNm", "Force, kN", "Stress, MPa", "Allowed, MPa", "Bound of utilisation"}}
	for _, x := range all {
		t.Rows = append(t.Rows, []string{x.ID, x.With, fixed(x.WidthMM, 0) + " × " + fixed(x.ThickMM, 0), fixed(x.BendingNMM/1e6, 2), fixed(x.ForceN/1000, 2), fixed(x.StressMPa, 1), fixed(x.AllowMPa, 0), percent(x.Utilisation, 0)})
	}
	return t
}

func weldTable(all []site.Weld) table {
	t := table{Caption: "Welds by the line method.", Head: []string{"Pieces", "Seam, mm", "N/mm", "Leg that carries it, mm", "Least leg, mm", "Utilisation", "In"}}
	for _, x := range all {
		use := percent(x.Utilisation, 0)
		if x.LengthMM == 0 {
			use = noNumber
		}
		t.Rows = append(t.Rows, []string{x.A + ", " + x.B, fixed(x.LengthMM, 0), fixed(x.NPerMM, 1), fixed(x.LegMM, 1), fixed(x.LegLeastMM, 0), use, orDash(x.Combination)})
	}
	return t
}

func baseTable(all []site.BaseForces) table {
	t := table{Caption: "What the whole puts on the ground, worst of each combination.", Head: []string{"Combination", "Down, kN", "Shear, kN", "Overturning, kNm", "Towards"}}
	for _, b := range all {
		t.Rows = append(t.Rows, []string{b.Combination, fixed(b.DownN/1000, 1), fixed(b.ShearN/1000, 2), fixed(b.OverturnNMM/1e6, 2), towards(b.TowardsDeg)})
	}
	return t
}

func footTable(all []site.FootCheck) table {
	t := table{Caption: "Feet at strength level, with base plate and anchors: AISC Design Guide 1, rigid plate.",
		Head: []string{"Piece", "Down, least and greatest, kN", "Shear, kN", "Bending, kNm", "Plate, mm", "Thickness it needs, mm", "Rods", "Tension a rod, kN", "Shear a rod, kN", "Depth, mm", "Utilisation"}}
	for _, f := range all {
		row := []string{f.ID, fixed(f.DownN[0]/1000, 1) + ", " + fixed(f.DownN[1]/1000, 1), fixed(f.ShearN/1000, 2), fixed(f.BendNMM/1e6, 2)}
		if f.Plate == nil {
			row = append(row, sentence(f.WhyNot), noNumber)
		} else {
			row = append(row, fixed(f.Plate.LengthMM, 0)+" × "+fixed(f.Plate.WidthMM, 0), fixed(f.Plate.ThicknessMM, 0))
		}
		if x := f.Rods; x == nil {
			row = append(row, noNumber, noNumber, noNumber, noNumber, noNumber)
		} else {
			row = append(row, fmt.Sprintf("%d × %s", x.Count, x.Size), fixed(x.TensionN/1000, 1), fixed(x.ShearN/1000, 1), fixed(x.EmbedMM, 0), percent(x.Utilisation, 0))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
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
