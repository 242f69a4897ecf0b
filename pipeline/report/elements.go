package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
)

// rows are the elements in the table of elements.
func rows(doc result.Document) []row {
	var out []row
	for i, e := range doc.Elements {
		r := row{
			ID: e.ID, Anchor: anchor(i), Name: e.Name, Kind: words(e.Kind),
			RMS: noNumber, P95: noNumber, Max: noNumber, Coverage: percent(float64(e.Coverage), 0),
		}
		if d := e.Deviation; d != nil {
			r.RMS, r.P95, r.Max = deviationText(float64(d.RMSMM)), deviationText(float64(d.P95MM)), deviationText(float64(d.MaxMM))
		}
		for _, d := range dimensions(doc, e) {
			r.Dimensions = append(r.Dimensions, dimension{Name: d.Name, Maquette: d.withInterval(), Full: d.Full})
		}
		if len(r.Dimensions) == 0 {
			r.Dimensions = []dimension{{Name: noNumber, Maquette: noNumber, Full: noNumber}}
		}
		r.Span = len(r.Dimensions)
		out = append(out, r)
	}
	return out
}

// anchor names the section of the element at a place: an id is text of the user.
func anchor(i int) string { return "element-" + strconv.Itoa(i+1) }

// elementView is the section of one element.
func elementView(doc result.Document, e result.Element, i int) element {
	v := element{
		ID: e.ID, Anchor: anchor(i), Name: e.Name, Kind: words(e.Kind), FeetInches: showsFeet(doc),
		Dimensions: dimensions(doc, e), Notes: e.Notes, Spread: histogramDrawing(e, 0, false),
		Seen: seen{percent(float64(e.Coverage), 0), int(math.Round(100 * float64(e.Coverage)))},
	}
	v.Sold = withStock(doc, e, v.Dimensions)
	for _, d := range e.FullSize {
		switch x := d.Value.(type) {
		case result.Holes:
			if len(x) > 0 {
				v.Tables = append(v.Tables, holeTable(e, x))
			}
		case result.Segments:
			v.Tables = append(v.Tables, segmentTable(x))
		}
	}
	v.Facts = elementFacts(doc, e)
	return v
}

// rowsMost is how many holes or segments a table lists.
const rowsMost = 100

func holeTable(e result.Element, holes result.Holes) table {
	t := table{
		Caption: "Holes of " + e.ID + " at full size. u and v run along the element's reference direction and across it.",
		Head:    []string{"No.", "Shape", "Centre u, v", "Size", "Angle against u"},
	}
	for i, h := range holes {
		if i == rowsMost {
			t.Caption += fmt.Sprintf(" The first %d of %d; the others stand in result.json.", rowsMost, len(holes))
			break
		}
		size, angle := noNumber, noNumber
		switch {
		case h.DiameterMM != nil:
			size = "diameter " + mm(float64(*h.DiameterMM), 1)
		case h.AcrossMM != nil:
			size = mm(float64(h.AcrossMM[0]), 1) + " × " + mm(float64(h.AcrossMM[1]), 1)
		case len(h.OutlineMM) > 0:
			size = "outline of " + count(len(h.OutlineMM), "step", "steps")
		}
		if h.AngleDeg != nil {
			angle = withUnit(fixed(float64(*h.AngleDeg), 1), degree)
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), clean(h.Shape), mm(float64(h.CentreMM[0]), 1) + ", " + mm(float64(h.CentreMM[1]), 1), size, angle})
	}
	return t
}

func segmentTable(segments result.Segments) table {
	t := table{Caption: "Straights and bends in order, at full size.", Head: []string{"No.", "Kind", "Length", "Centreline diameter", "Sweep", "Turn of the plane"}}
	length := func(x *result.MM) string {
		if x == nil {
			return noNumber
		}
		return mm(float64(*x), 1)
	}
	angle := func(x *result.Deg) string {
		if x == nil {
			return noNumber
		}
		return withUnit(fixed(float64(*x), 1), degree)
	}
	for i, s := range segments {
		if i == rowsMost {
			t.Caption += fmt.Sprintf(" The first %d of %d; the others stand in result.json.", rowsMost, len(segments))
			break
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), clean(s.Kind), length(s.LengthMM), length(s.CentrelineDiameterMM), angle(s.SweepDeg), angle(s.TurnDeg)})
	}
	return t
}

// elementFacts are what is known of an element beside its sizes.
func elementFacts(doc result.Document, e result.Element) []fact {
	var out []fact
	add := func(name, value, note string) {
		if value != "" {
			out = append(out, fact{name, value, note})
		}
	}
	out = append(out, stockFacts(doc, e.ID)...)
	add("Not shown", hiddenText(e), "")
	add("Ends", endsText(e), "")
	add("Form", formText(doc, e), "maquette; full size in brackets")
	add("Deviation", deviationFact(doc, e), "")
	add("Seen", percent(float64(e.Coverage), 0)+" of the ideal surface", count(e.Faces, "facet", "facets"))
	add("Outline", outlineText(e), "")
	out = append(out, featureFacts(e)...)
	add("Also weighed", alternativesText(e), "")
	add("Frame in scan", frameText(e.Frame), "")
	return out
}

func hiddenText(e result.Element) string {
	var names []string
	for _, k := range e.Hidden {
		n, _ := nameAndUnit(k)
		names = append(names, n)
	}
	return strings.Join(names, ", ")
}

func endsText(e result.Element) string {
	var out []string
	for _, x := range e.Ends {
		s := clean(x.Kind)
		if x.AngleDeg != nil {
			s += " (" + withUnit(fixed(float64(*x.AngleDeg), 1), degree) + ")"
		}
		out = append(out, s)
	}
	return strings.Join(out, ", ")
}

func formText(doc result.Document, e result.Element) string {
	if e.Kind == "freeform" { // there is no ideal to depart from
		return ""
	}
	var out []string
	for _, f := range []struct {
		name string
		mm   *result.MM
	}{{"roundness", e.Form.RoundnessMM}, {"straightness", e.Form.StraightnessMM}, {"flatness", e.Form.FlatnessMM}} {
		if f.mm != nil && *f.mm == 0 { // a form is what is over the noise
			out = append(out, f.name+" not above the noise")
		} else if f.mm != nil {
			v := float64(*f.mm)
			out = append(out, f.name+" "+mm(v, 4)+" ("+mm(v*float64(doc.Scale.Ratio), 2)+")")
		}
	}
	return strings.Join(out, ", ")
}

func deviationFact(doc result.Document, e result.Element) string {
	d := e.Deviation
	if d == nil {
		return "none: no ideal shape was fitted"
	}
	s := fmt.Sprintf("mean %s mm, rms %s mm, p95 %s mm, largest %s mm, over %s",
		deviationText(float64(d.MeanMM)), deviationText(float64(d.RMSMM)), deviationText(float64(d.P95MM)), deviationText(float64(d.MaxMM)), count(d.Points, "point", "points"))
	if l := doc.Job.Limits.SurfaceMM; l > 0 {
		s += "; " + percent(float64(d.Within), 1) + " of the surface within " + quantity.Decimal(l, 4) + " mm"
	}
	return s
}

func outlineText(e result.Element) string {
	for _, d := range e.FullSize {
		if o, ok := d.Value.(result.Outline); ok && len(o) > 0 {
			arcs := 0
			for _, s := range o {
				if s.Via != nil {
					arcs++
				}
			}
			return count(len(o)-arcs, "straight step", "straight steps") + " and " + count(arcs, "arc", "arcs") + "; the coordinates stand in result.json"
		}
	}
	return ""
}

func alternativesText(e result.Element) string {
	var out []string
	for _, a := range e.Alternatives {
		out = append(out, words(a.Kind)+", rms "+mm(float64(a.RMSMM), 3))
	}
	if len(out) == 0 {
		return ""
	}
	return strings.Join(out, "; ") + " (maquette scale)"
}

func frameText(f result.Frame) string {
	if f.Axis == (result.Vector{}) {
		return ""
	}
	o := make([]string, 3)
	for i, x := range f.OriginMM {
		o[i] = fixed(float64(x), 2)
	}
	return "origin (" + strings.Join(o, ", ") + ") mm, axis " + direction(f.Axis) + ", reference " + direction(f.Ref)
}

func direction(v result.Vector) string {
	s := make([]string, 3)
	for i, x := range v {
		s[i] = fixed(float64(x), 4)
	}
	return "(" + strings.Join(s, ", ") + ")"
}

// unassigned says what belongs to no element.
func unassigned(doc result.Document) []string {
	u := doc.Unassigned
	if u.Faces == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s of the scan, %s mm² at maquette scale, belong to no element: %s.", count(u.Faces, "facet", "facets"), fixed(float64(u.AreaMM2), 1), u.Why)}
}
