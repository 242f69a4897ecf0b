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
	mm     float64 // nominal
	system string
	mean   float64 // mm, of made pieces
	sd     float64 // mm, of made pieces about their mean
}

// tolerance of a form: how made pieces lie about the nominal size. Each is a
// constant in mm and a share of the size.
type tolerance struct{ sdMM, sdShare, offMM, offShare float64 }

// tolerances are about half of what the standards of each form allow (ASTM A53,
// A6; EN 10219, 10060, 10058, 10029, 10056-2; ISO 4759-1, 4759-3, 606, 3290-1);
// heads, nuts and washers may only be smaller than nominal. From memory.
var tolerances = map[string]tolerance{
	"pipe": {0.05, 0.003, 0, 0}, "tube": {0.05, 0.003, 0, 0}, "round": {0.08, 0.002, 0, 0}, "square": {0.1, 0.002, 0, 0}, "flat": {0.1, 0.003, 0, 0},
	"box": {0.1, 0.003, 0, 0}, "angle": {0.3, 0.003, 0, 0}, "plate": {0.1, 0.01, 0, 0}, "sheet": {0.03, 0.01, 0, 0},
	"hexagon": {0.05, 0.002, -0.08, -0.003}, "washer": {0.1, 0.002, -0.17, -0.004}, "rod": {0.02, 0.002, 0, 0},
	"ball": {0.005, 0.0001, 0, 0}, "chain": {0.01, 0.0005, 0, 0},
}

func sizeOf(form, mark, system string, mm float64) standardSize {
	t := tolerances[form]
	return standardSize{mark, mm, system, mm*(1+t.offShare) + t.offMM, math.Hypot(t.sdMM, t.sdShare*mm)}
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
		return chainSizes(c)
	case "hexagon", "rod", "ball", "washer":
		return smallSizes(c, form)
	}
	var out []standardSize
	for _, s := range c.Of(form) {
		values := []float64{s.Of(key)}
		if form == "box" || form == "angle" && key != "thickness_mm" { // either side of it
			values = []float64{s.HeightMM, s.WidthMM}
		}
		for _, x := range values {
			if x > 0 {
				out = append(out, sizeOf(form, s.Mark, s.System, x))
			}
		}
	}
	return out, nil
}

// smallSizes reads bolts, rods, balls and washers, which are not stock, of the
// systems that the catalogue has.
func smallSizes(c Catalogue, what string) ([]standardSize, error) {
	rows, err := readTable("small.csv")
	if err != nil {
		return nil, err
	}
	systems := systemsOf(c)
	var out []standardSize
	for _, r := range rows {
		if r["what"] == what && slices.Contains(systems, r.system()) {
			out = append(out, sizeOf(what, r["designation"], r.system(), r.mm("mm")))
		}
	}
	return out, nil
}

// chainSizes are the pitches of chains, the same in all systems.
func chainSizes(c Catalogue) ([]standardSize, error) {
	rows, err := readTable("chain.csv")
	if err != nil {
		return nil, err
	}
	var out []standardSize
	for _, r := range rows {
		for _, s := range systemsOf(c) {
			mark := strings.Join(strings.Fields(r["standard"]+" "+r["ansi_no"]+" "+r["iso_no"]), " ")
			out = append(out, sizeOf("chain", mark, s, r.mm("pitch_mm")))
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
