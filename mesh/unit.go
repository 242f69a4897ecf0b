package mesh

import (
	"fmt"
	"strings"
)

type unit struct {
	name string
	mm   float64
}

// units in the order in which a guess prefers them: what scanners write, then
// what exporters of a drawing write.
var units = [...]unit{{"mm", 1}, {"m", 1000}, {"in", 25.4}, {"cm", 10}, {"ft", 304.8}}

// The diagonal of a tabletop original that a guess takes for plausible.
const (
	tabletopMinMM = 50.0
	tabletopMaxMM = 2000.0
)

// unitNamed returns the millimetres in one unit.
func unitNamed(name string) (unit, error) {
	for _, u := range units {
		if u.name == name {
			return u, nil
		}
	}
	return unit{}, fmt.Errorf("unit %q is not known; use mm, cm, m, in or ft", name)
}

// guessUnit takes the first unit in which the diagonal is that of a tabletop
// piece, and says what else it could be.
func guessUnit(diagonal float64) (unit, Finding) {
	guess, sure := units[0], false
	var others []string
	for _, u := range units {
		d := diagonal * u.mm
		if d < tabletopMinMM || d > tabletopMaxMM {
			continue
		}
		if !sure {
			guess, sure = u, true
			continue
		}
		others = append(others, fmt.Sprintf("%s (%s across)", u.name, lengthText(d)))
	}
	what := fmt.Sprintf("the file does not say its unit; %s was taken, which makes the scan %s across", guess.name, lengthText(diagonal*guess.mm))
	severity := "note"
	switch {
	case !sure:
		severity = "warning"
		what += ", and no unit makes it a tabletop piece of 50 mm to 2 m"
	case len(others) > 0:
		severity = "warning"
		what += "; it could also be " + strings.Join(others, ", ")
	}
	return guess, Finding{Code: "unit-guessed", Severity: severity, What: what,
		Advice: "measure one length on the original and give the unit: every dimension depends on it"}
}
