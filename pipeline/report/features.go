package report

import (
	"fmt"
	"strings"

	"pointup/pipeline/result"
)

// featureFacts are the pattern of holes, bolt circle, chains, damaged teeth and
// sections of an element at full size; chains at both scales.
func featureFacts(e result.Element) []fact {
	var out []fact
	for _, d := range e.FullSize {
		switch x := d.Value.(type) {
		case result.Pattern:
			out = append(out, fact{"Hole pattern", patternText(x), patternNote(x)})
		case result.BoltCircle:
			out = append(out, fact{"Bolt holes", fmt.Sprintf("%s of diameter %s on a circle of %s", count(x.HoleCount, "hole", "holes"), mm(float64(x.HoleDiameterMM), 1), mm(float64(x.CircleDiameterMM), 1)), missingText(x.MissingCount)})
		case result.WornTeeth:
			out = append(out, fact{"Damaged teeth", teethText(x), "counted from 0 at the reference direction, counter-clockwise about the axis; the sizes are those of the whole wheel"})
		case result.Chains:
			small, _ := e.Maquette.Get("chains").(result.Chains)
			out = append(out, fact{"Roller chain", "maquette: " + chainText(small) + "; full size: " + chainText(x), "by pitch, roller and root diameter; the tooth form is for a chain maker to judge before anything is driven or lifted by it"})
		case result.Lands:
			out = append(out, fact{"Stepped faces", landsText(x), "diameters and thickness from the middle outwards; front and back from the middle of the rim: patterns/plies.csv has the plates it is built of"})
		case result.Sections:
			out = append(out, fact{"Rib sections", fmt.Sprintf("%s at even stations along the longest direction; the outlines stand in result.json", count(len(x), "section", "sections")), ""})
		}
	}
	return out
}

func landsText(l result.Lands) string {
	var out []string
	for i, x := range l {
		name := "web"
		switch i {
		case 0:
			name = "hub"
		case len(l) - 1:
			name = "rim"
		}
		out = append(out, fmt.Sprintf("%s %s to %s, %s thick (front %s, back %s)", name, mm(float64(x.FromDiameterMM), 1), mm(float64(x.ToDiameterMM), 1), mm(float64(x.ThicknessMM), 1), mm(float64(x.FrontMM), 1), mm(float64(x.BackMM), 1)))
	}
	return strings.Join(out, "; ")
}

func patternText(p result.Pattern) string {
	size := ""
	switch {
	case p.DiameterMM != nil:
		size = " of diameter " + mm(float64(*p.DiameterMM), 1)
	case p.AcrossMM != nil:
		size = " of " + mm(float64(p.AcrossMM[0]), 1) + " × " + mm(float64(p.AcrossMM[1]), 1)
	}
	name := words(p.Arrangement)
	if strings.HasSuffix(name, "0") || strings.HasSuffix(name, "5") {
		name += withUnit("", degree)
	}
	s := name + ", " + count(p.HoleCount, clean(p.Shape)+" hole", clean(p.Shape)+" holes") + size
	if p.CircleDiameterMM != nil {
		return s + " on a circle of " + mm(float64(*p.CircleDiameterMM), 1)
	}
	if p.PitchAlongMM != nil {
		s += ", " + mm(float64(*p.PitchAlongMM), 1) + " apart in a row"
	}
	if p.PitchAcrossMM != nil {
		s += ", rows " + mm(float64(*p.PitchAcrossMM), 1) + " apart"
	}
	if p.RowCount > 0 {
		s += fmt.Sprintf("; %s of up to %d", count(p.RowCount, "row", "rows"), p.ColumnCount)
	}
	if p.OpenPercent != nil {
		s += "; open area " + percent(float64(*p.OpenPercent)/100, 1)
		if p.OpenFormulaPercent != nil {
			s += ", by the trade's formula " + percent(float64(*p.OpenFormulaPercent)/100, 1)
		}
	}
	return s
}

func patternNote(p result.Pattern) string {
	var out []string
	if m := missingText(p.MissingCount); m != "" {
		out = append(out, m)
	}
	if p.OtherCount > 0 {
		out = append(out, count(p.OtherCount, "other hole", "other holes"))
	}
	return strings.Join(out, ", ")
}

func missingText(n int) string {
	if n == 0 {
		return ""
	}
	return count(n, "place without a hole", "places without a hole")
}

func teethText(t result.WornTeeth) string {
	if len(t) == 0 {
		return "none"
	}
	var out []string
	for _, x := range t {
		out = append(out, fmt.Sprintf("%d %s by %s", x.Tooth, clean(x.What), mm(float64(x.ByMM), 1)))
	}
	return strings.Join(out, ", ")
}

func chainText(c result.Chains) string {
	if len(c) == 0 {
		return "none that is standard"
	}
	var out []string
	for _, x := range c {
		s := clean(x.Standard) + " "
		if x.Number != "" {
			s += "No. " + clean(x.Number) + ", ISO "
		}
		s += clean(x.ISO)
		if x.FromMemory {
			s += " (check this row against the standard)"
		}
		out = append(out, s)
	}
	return "pitch " + mm(float64(c[0].PitchMM), 3) + ": " + strings.Join(out, " or ")
}
