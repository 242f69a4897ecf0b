package stock

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// standardSize is one value that metal may have had.
type standardSize struct {
	mark   string
	mm     float64
	system string
	sd     float64 // mm, of made pieces about the nominal size
}

// tolerances of the mills as standard deviations: mm, and share of the size. About
// half of what the standards of each form allow (ASTM A53, A6; EN 10219, 10060,
// 10058, 10029, 10056-2; ISO 4759-1; ISO 606). From memory.
var tolerances = map[string][2]float64{
	"pipe": {0.05, 0.003}, "tube": {0.05, 0.003}, "round": {0.08, 0.002}, "square": {0.1, 0.002}, "flat": {0.1, 0.003},
	"box": {0.1, 0.003}, "angle": {0.3, 0.003}, "plate": {0.1, 0.01}, "sheet": {0.03, 0.01}, "hexagon": {0.08, 0.003}, "chain": {0.01, 0.0005},
}

func toleranceSD(form string, mm float64) float64 {
	t := tolerances[form]
	return math.Hypot(t[0], t[1]*mm)
}

// sameMM: tables round one and the same size differently by up to 0.01 mm.
const sameMM = 0.02

// standardSizes lists the different values of a lead in the forms' tables, by
// system, rising.
func standardSizes(c Catalogue, forms []string, key string) ([]standardSize, error) {
	var out []standardSize
	for _, form := range forms {
		more, err := tableSizes(c, form, key)
		if err != nil {
			return nil, err
		}
		out = append(out, more...)
	}
	slices.SortStableFunc(out, func(a, b standardSize) int { return cmp.Or(strings.Compare(a.system, b.system), compare(a.mm, b.mm)) })
	return slices.CompactFunc(out, func(a, b standardSize) bool { return a.system == b.system && math.Abs(b.mm-a.mm) < sameMM }), nil
}

func tableSizes(c Catalogue, form, key string) ([]standardSize, error) {
	switch form {
	case "chain":
		return sideTable(c, "chain.csv", "pitch_mm", "pitch_in", form)
	case "hexagon":
		return sideTable(c, "hexagon.csv", "flats_mm", "flats_in", form)
	}
	var out []standardSize
	for _, s := range c.Of(form) {
		values := []float64{s.of(key)}
		if form == "box" || form == "angle" && key != "thickness_mm" { // either side of it
			values = []float64{s.HeightMM, s.WidthMM}
		}
		for _, x := range values {
			if x > 0 {
				out = append(out, standardSize{s.Mark, x, s.System, toleranceSD(form, x)})
			}
		}
	}
	return out, nil
}

// sideTable reads chains and hexagons, which are not stock, for the systems that
// the catalogue has. A chain's pitch is the same in both.
func sideTable(c Catalogue, file, mmColumn, inColumn, form string) ([]standardSize, error) {
	rows, err := readTable(file)
	if err != nil {
		return nil, err
	}
	var out []standardSize
	for _, r := range rows {
		mm, system, mark := r.mm(mmColumn), r.system(), r["designation"]
		if mm == 0 {
			mm = r.mm(inColumn)
		}
		if form == "chain" {
			mark = r["standard"] + " " + r["ansi_no"] + " " + r["iso_no"]
		}
		for _, s := range systemsOf(c) {
			if s == system || form == "chain" || s == "own" {
				out = append(out, standardSize{mark, mm, s, toleranceSD(form, mm)})
			}
		}
	}
	return out, nil
}

// systemsOf lists the systems of a catalogue, in the order of its sizes.
func systemsOf(c Catalogue) []string {
	var out []string
	for _, s := range c.Sizes {
		if !slices.Contains(out, s.System) {
			out = append(out, s.System)
		}
	}
	return out
}
