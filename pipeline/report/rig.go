package report

import (
	"fmt"
	"strings"

	"pointup/pipeline/result"
)

// jointPart lists where pieces are welded.
func jointPart(doc result.Document) part {
	p := part{ID: "joints", Heading: "Joints", Text: []string{
		"Preliminary planning for qualified people: an engineer designs the joints. Least fillets are those of AWS D1.1 table 7.7 for the thinner piece. Use is what dead weight alone takes of the seam's strength (0.30 FEXX on the throat, line method); wind, people and handling are not in it."}}
	t := table{Caption: "Seams, with what hangs on them.", Head: []string{"Pieces", "Kind", "Seam", "Least fillet", "Weld metal, kg", "Faces open", "What hangs on it", "Use"}}
	for _, j := range doc.Joints {
		leg, hangs, use := noNumber, noNumber, noNumber
		if j.LegMM > 0 {
			leg = fixed(float64(j.LegMM), 0) + " mm"
		}
		if h := j.Hangs; h != nil {
			hangs = fmt.Sprintf("%s kg, %s mm off", fixed(float64(h.MassKG), 0), fixed(float64(h.ArmMM), 0))
			if !h.Alone {
				hangs += ", not alone"
			}
			if h.Use != nil && j.LengthMM > 0 {
				use = fixed(100*float64(*h.Use), 0) + " %"
			}
		}
		t.Rows = append(t.Rows, []string{j.A + ", " + j.B, j.Kind, fixed(float64(j.LengthMM), 0) + " mm", leg, fixed(float64(j.WeldKG), 2),
			fmt.Sprintf("%s to %s°", fixed(float64(j.OpenLeastDeg), 0), fixed(float64(j.OpenMostDeg), 0)), hangs, use})
		if r := j.Remedy; r != nil {
			p.List = append(p.List, fmt.Sprintf("%s, %s: a tack does not scale: %s. Proposed: %s%s.", j.A, j.B, r.Why, r.Kind, remedySize(*r)))
		}
	}
	p.Tables = []table{t}
	return p
}

func remedySize(r result.Remedy) string {
	s := fmt.Sprintf(", %s mm long", fixed(float64(r.LengthMM), 0))
	if r.DiameterMM > 0 {
		s += fmt.Sprintf(", %s mm in diameter", fixed(float64(r.DiameterMM), 0))
	}
	if r.ThickMM > 0 {
		s += fmt.Sprintf(", %s mm thick", fixed(float64(r.ThickMM), 0))
	}
	return s
}

// weightPart lists masses and centres of gravity.
func weightPart(r *result.Rig) part {
	p := part{ID: "weights", Heading: "Masses and centres of gravity", Text: sentences(r.Cautions)}
	t := table{Caption: "At full size, x, y, z from the middle of the footprint on the ground. The centre of gravity of the whole lies within the box given, whatever the masses in their ranges.", Head: []string{"Piece", "Mass, kg", "Least to greatest, kg", "Centre of gravity, mm"}}
	row := func(name string, w result.Weighed) {
		t.Rows = append(t.Rows, []string{name, fixed(float64(w.MassKG), 1), fixed(float64(w.LowKG), 1) + " to " + fixed(float64(w.HighKG), 1),
			fmt.Sprintf("%s, %s, %s", fixed(float64(w.CentreMM[0]), 0), fixed(float64(w.CentreMM[1]), 0), fixed(float64(w.CentreMM[2]), 0))})
	}
	if w := r.Whole; w != nil {
		row("all", *w)
		p.Text = append(p.Text, fmt.Sprintf("The centre of gravity of the whole lies within %s × %s × %s mm.", fixed(float64(w.WithinMM.Max[0]-w.WithinMM.Min[0]), 0),
			fixed(float64(w.WithinMM.Max[1]-w.WithinMM.Min[1]), 0), fixed(float64(w.WithinMM.Max[2]-w.WithinMM.Min[2]), 0)))
	}
	for _, w := range r.Pieces {
		row(w.ID, w)
	}
	p.Tables = []table{t}
	p.Tables = append(p.Tables, liftTable(r)...)
	p.Drawings = append(p.Drawings, turnDrawings(r)...)
	for _, l := range r.Lifts {
		if l.WhyNot != "" {
			p.List = append(p.List, sentence(l.Of+": "+l.WhyNot))
		}
	}
	for _, x := range r.Turns {
		if x.WhyNot != "" {
			p.List = append(p.List, sentence(x.Of+", turned up: "+x.WhyNot))
		}
		for _, c := range x.Cautions[min(1, len(x.Cautions)):] {
			p.List = append(p.List, sentence(x.Of+", turned up: "+c))
		}
	}
	if len(r.Unknown) > 0 {
		p.List = append(p.List, "Not in it, since mass or shape is not known: "+list(r.Unknown, 12)+".")
	}
	p.List = append(p.List, sentences(r.Assumptions)...)
	return p
}

// orderPart lists the build order step by step.
func orderPart(o *result.Order) part {
	p := part{ID: "order", Heading: "Build order and fit-up"}
	for i, b := range o.Builds {
		verdict := "a search that was cut short found it"
		if b.Exact {
			verdict = "no order of this model takes less"
		}
		p.Text = append(p.Text, fmt.Sprintf("%sFrom the base up: %s m of overhead weld, %s, %s, %s, %s h for these; %s. The plain order, lowest first and never turned: %s m, %s, %s h. %s",
			buildName(i, len(o.Builds)), fixed(float64(b.Best.OverheadM), 2), count(b.Best.Turns, "turn", "turns"), count(b.Best.Props, "step with a prop", "steps with props"), count(b.Best.Lifts, "lift", "lifts"),
			fixed(float64(b.Best.Hours), 1), verdict, fixed(float64(b.Plain.OverheadM), 2), count(b.Plain.Props, "step with a prop", "steps with props"), fixed(float64(b.Plain.Hours), 1), closing(b.Best.Closing)))
		p.Tables = append(p.Tables, stepTable(b), tapeTable(b))
		if x := b.Benched; x != nil {
			p.Text = append(p.Text, fmt.Sprintf("%sWith %s: %s m of overhead weld, %s h for bench and setting.", buildName(i, len(o.Builds)), count(len(x.SubAssemblies), "sub-assembly welded on the bench", "sub-assemblies welded on the bench"),
				fixed(float64(x.OverheadM), 2), fixed(float64(x.Hours), 1)))
			p.Tables = append(p.Tables, benchTables(x, "Sub-assembly")...)
			p.List = append(p.List, sentences(x.Assumptions)...)
		}
	}
	if len(o.Loose) > 0 {
		p.List = append(p.List, "Nothing joins to the ground: "+list(o.Loose, 12)+".")
	}
	p.List = append(p.List, sentences(o.Assumptions)...)
	return p
}

func buildName(i, of int) string {
	if of == 1 {
		return ""
	}
	return fmt.Sprintf("Part %d. ", i+1)
}

func closing(id string) string {
	if id == "" {
		return ""
	}
	return "The closing piece, cut to a template on trial assembly, is " + id + "."
}

func stepTable(b result.Build) table {
	t := table{Caption: "Steps. Margin is how far the centre of gravity of what stands lies inside its base, less a tenth; where it is negative a prop is needed. Seams by position of welding.",
		Head: []string{"Step", "Piece", "Added, kg", "Stands, kg", "Centre of gravity, mm", "Height", "Margin", "Flat, horizontal, vertical, overhead, m", "Needs"}}
	for k, s := range b.Steps {
		var needs []string
		if s.Turned {
			needs = append(needs, "turned first")
		}
		if s.Lift {
			needs = append(needs, "crane")
		}
		for _, q := range s.Props {
			needs = append(needs, fmt.Sprintf("prop on %s, %s mm up, %s N level at least", q.Element, fixed(float64(q.HighMM), 0), fixed(float64(q.ForceN), 0)))
		}
		if s.Closes {
			needs = append(needs, "closes a loop")
		}
		m := func(x result.MM) string { return fixed(float64(x)/1000, 2) }
		t.Rows = append(t.Rows, []string{fmt.Sprint(k + 1), s.Element + " " + s.Mark, fixed(float64(s.AddedKG), 1), fixed(float64(s.MassKG), 0),
			fmt.Sprintf("%s, %s, %s", fixed(float64(s.CentreMM[0]), 0), fixed(float64(s.CentreMM[1]), 0), fixed(float64(s.CentreMM[2]), 0)), fixed(float64(s.HeightMM), 0) + " mm", fixed(float64(s.MarginMM), 0) + " mm",
			m(s.FlatMM) + ", " + m(s.HorizontalMM) + ", " + m(s.VerticalMM) + ", " + m(s.OverheadMM), orDash(strings.Join(needs, "; "))})
	}
	return t
}

// benchTables are the sub-assemblies with their bench steps, and how all is set.
func benchTables(b *result.Benched, what string) []table {
	t := table{Caption: "Welded on the bench, each in poses that spare overhead weld, and lifted as one. The centre of gravity lies within the box given, whatever the masses in their ranges.",
		Head: []string{what, "Pieces in order", "Mass, kg", "Least to greatest, kg", "Centre of gravity, mm", "Within, mm", "Overhead weld, m", "Turns"}}
	for _, s := range b.SubAssemblies {
		row := []string{s.Name, list(s.Bench.Order, 12), noNumber, noNumber, noNumber, noNumber, fixed(float64(s.Bench.OverheadM), 2), fmt.Sprint(s.Bench.Turns)}
		if m := s.Mass; m != nil {
			row[2], row[3], row[4] = fixed(float64(m.MassKG), 1), fixed(float64(m.LowKG), 1)+" to "+fixed(float64(m.HighKG), 1), placeText(m.CentreMM)
			row[5] = fmt.Sprintf("%s × %s × %s", fixed(float64(m.WithinMM.Max[0]-m.WithinMM.Min[0]), 0), fixed(float64(m.WithinMM.Max[1]-m.WithinMM.Min[1]), 0), fixed(float64(m.WithinMM.Max[2]-m.WithinMM.Min[2]), 0))
		}
		t.Rows = append(t.Rows, row)
	}
	set := stepTable(result.Build{Steps: b.Steps})
	set.Caption = "How they are set, with single pieces; a step names the heaviest piece. Columns as for the steps above."
	for i, s := range b.Steps {
		if len(s.With) > 0 {
			set.Rows[i][1] += " with " + list(s.With, 12)
		}
	}
	return []table{t, set}
}

// tapeTable is what a fitter measures.
func tapeTable(b result.Build) table {
	t := table{Caption: "Tapes from punched marks on what stands to marks on the new piece; ± by ISO 13920.", Head: []string{"Step", "From", "To", "Distance", "±, mm", "ft-in"}}
	at := func(p result.Punch) string { return fmt.Sprintf("%s mark %d, %s", p.Element, p.Number, p.Where) }
	for k, s := range b.Steps {
		for _, x := range s.Tapes {
			t.Rows = append(t.Rows, []string{fmt.Sprint(k + 1), at(x.From), at(x.To), fixed(float64(x.LengthMM), 1) + " mm", fixed(float64(x.PlusMinusMM), 1), x.FeetIn})
		}
	}
	return t
}

// liftTable are first choices of lugs.
func liftTable(r *result.Rig) []table {
	t := table{Caption: "Lifts as the load stands, at first choice: from one hook, legs at 60° or better, never under 30°; a dynamic factor of 1.10 is in load and tensions, which are the worst over the range of the centre of gravity. Slings, lugs and hoists are for qualified people.",
		Head: []string{"What", "Load, kg", "Legs", "Flattest leg", "Tension, kN", "Sling, mm", "Hook over the lowest point", "Hoist"}}
	two := table{Caption: "Loads that one hook or one hoist does not carry: two hoists with vertical lines. What a hoist needs is its share at the worst place of the centre of gravity times the derating. A critical lift: it needs a written plan of its own.",
		Head: []string{"What", "Hoist", "Lug on", "Place x, y, z, mm", "Share, kg", "Derating", "Needs, kg", "Of its capacity"}}
	for _, l := range r.Lifts {
		if l.Tandem != nil {
			for _, h := range l.Tandem.Hoists {
				two.Rows = append(two.Rows, []string{l.Of, h.Hoist, h.Element, placeText(h.AtMM), fixed(float64(h.ShareKG), 0), fixed(float64(l.Tandem.Derating), 2), fixed(float64(h.NeededKG), 0), fixed(100*float64(h.Used), 0) + " %"})
			}
		}
		if len(l.Legs) == 0 {
			continue
		}
		flat, pull, long := 90.0, 0.0, 0.0
		for _, g := range l.Legs {
			flat, pull, long = min(flat, float64(g.AngleDeg)), max(pull, float64(g.TensionN)/1000), max(long, float64(g.LengthMM))
		}
		sling, hook := fixed(long, 0), fixed(float64(l.HeadRoomMM), 0)+" mm"
		if len(l.Legs) == 1 { // it hangs straight: any sling will do
			sling, hook = "any", "over "+hook
		}
		t.Rows = append(t.Rows, []string{l.Of, fixed(float64(l.LoadKG), 0), fmt.Sprint(len(l.Legs)), fixed(flat, 0) + "°", fixed(pull, 1), sling, hook, hoistText(l.Hoist, l.Used)})
	}
	var out []table
	for _, x := range []table{t, two, turnTable(r)} {
		if len(x.Rows) > 0 {
			out = append(out, x)
		}
	}
	return out
}

func hoistText(name string, used *result.Factor) string {
	if name == "" || used == nil {
		return noNumber
	}
	return fmt.Sprintf("%s, %s %% of its capacity", name, fixed(100*float64(*used), 0))
}

func placeText(p result.Point) string {
	return fmt.Sprintf("%s, %s, %s", fixed(float64(p[0]), 0), fixed(float64(p[1]), 0), fixed(float64(p[2]), 0))
}

// turnTable is how loads come from lying to standing; every pose is in the result.
func turnTable(r *result.Rig) table {
	t := table{Caption: "Turning up on the foot, from the pose in which it lies flattest or travels, by a head line that pulls straight up. Head and foot are the greatest loads of all poses; under the line: the least height of the line from foot to head over the centre of gravity; beside it: the most that lies off the upright plane through both.",
		Head: []string{"What", "Lies, mm", "Turn", "Head lug on", "Head, kg", "Head line, kN", "Foot, kg", "Under the line, mm", "Beside it, mm", "Held by one end from", "Hoist of the head"}}
	for _, x := range r.Turns {
		if x.Head == nil {
			continue
		}
		below, beside, alone := float64(x.Poses[0].BelowMM), 0.0, "never"
		for _, p := range x.Poses {
			below, beside = min(below, float64(p.BelowMM)), max(beside, float64(p.SidewaysMM))
		}
		if x.AloneFromDeg != nil {
			alone = fixed(float64(*x.AloneFromDeg), 0) + "°"
		}
		t.Rows = append(t.Rows, []string{x.Of, fmt.Sprintf("%s × %s × %s", fixed(float64(x.LengthMM), 0), fixed(float64(x.WidthMM), 0), fixed(float64(x.HeightMM), 0)), fixed(float64(x.ByDeg), 0) + "°",
			x.Head.Element + " at " + placeText(x.Head.AtMM), fixed(float64(x.HeadMostKG), 0), fixed(float64(x.HeadMostN)/1000, 1), fixed(float64(x.FootMostKG), 0), fixed(below, 0), fixed(beside, 0), alone, hoistText(x.Hoist, x.Used)})
	}
	return t
}

// sectionPart is how the work travels.
func sectionPart(s *result.Haul) part {
	p := part{ID: "sections", Heading: "Sections for the road", Text: sentences(s.Cautions)}
	if s.WhyNot != "" {
		p.Text = append(p.Text, sentence(s.WhyNot))
		return p
	}
	found := "found by a search that is not exact"
	if s.Exact {
		found = "no other way has fewer"
	}
	p.Text = append(p.Text, fmt.Sprintf("%s, %s mm of weld left for the site; %s.", count(len(s.Sections), "section", "sections"), fixed(float64(s.FieldWeldMM), 0), found))
	t := table{Caption: "Sections as they lie on the vehicle.", Head: []string{"Section", "Elements", "Length × width × height", "Mass, kg", "Least to greatest, kg", "Fits"}}
	for i, x := range s.Sections {
		fits := "yes"
		if !x.Fits {
			fits = "no: " + x.Why
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(i + 1), list(x.Elements, 12), fmt.Sprintf("%s × %s × %s mm", fixed(float64(x.LengthMM), 0), fixed(float64(x.WidthMM), 0), fixed(float64(x.HeightMM), 0)),
			fixed(float64(x.Mass.MassKG), 0), fixed(float64(x.Mass.LowKG), 0) + " to " + fixed(float64(x.Mass.HighKG), 0), fits})
	}
	p.Tables = []table{t}
	if way := routeTable(s); len(way.Rows) > 0 {
		p.Tables = append(p.Tables, way)
	}
	if b := s.OnSite; b != nil {
		p.Text = append(p.Text, fmt.Sprintf("On site sections are set in the order below; %s m of their seams are welded overhead there, the last to come are %s.", fixed(float64(b.Set.OverheadM), 2), list(lastOf(b.Set.Order), 3)))
		p.Tables = append(p.Tables, benchTables(b, "Section")...)
	}
	for _, c := range s.Cuts {
		p.List = append(p.List, fmt.Sprintf("Cut between %s and %s: %s mm of weld on site.", c.A, c.B, fixed(float64(c.WeldMM), 0)))
	}
	p.List = append(p.List, sentences(s.Assumptions)...)
	return p
}

// routeTable holds each section against each passage of the job's route.
func routeTable(s *result.Haul) table {
	t := table{Caption: "Sections on the job's route, each passage by its number in the job. Width swept in a steady turn with the fixed axle under the middle of the load, and at its end: a closed form, see what is not promised above.",
		Head: []string{"Section", "Passage", "Width", "Radius", "Slope", "Swept, middle", "Swept, end", "Room", "Goes through", "On the slope"}}
	for i, x := range s.Sections {
		for _, p := range x.Route {
			stands := noNumber
			if p.SlopeDeg != nil {
				stands = "rests"
				if !p.Stands {
					stands = "can tip: chock and prop it"
				}
			}
			slope := noNumber
			if p.SlopeDeg != nil {
				slope = fixed(float64(*p.SlopeDeg), 1) + "°"
			}
			t.Rows = append(t.Rows, []string{fmt.Sprint(i + 1), fmt.Sprint(p.Passage), maybeMM(p.WidthMM), maybeMM(p.RadiusMM), slope, maybeMM(p.SweptMinMM), maybeMM(p.SweptMaxMM), maybeMM(p.RoomMM), passesText(p.Passes), stands})
		}
	}
	return t
}

func maybeMM(x *result.MM) string {
	if x == nil {
		return noNumber
	}
	return fixed(float64(*x), 0) + " mm"
}

func passesText(s string) string {
	if s == "depends" {
		return "depends on the vehicle: with its axle under the middle, not at the end"
	}
	return s
}

// lastOf are up to three last ones of an order.
func lastOf(order []string) []string { return order[max(0, len(order)-3):] }
