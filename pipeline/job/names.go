package job

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Kinds lists the kinds of piece in the order that settles ties.
func Kinds() []string {
	return []string{"toothed_wheel", "sphere", "cone", "tube", "bar", "disc", "ring", "arc", "coil", "rolled_plate", "plate", "profile", "freeform"}
}

// byHandKeys lists the dimensions that can be measured by hand, as keys of the
// result.
func byHandKeys() []string {
	return []string{
		"outside_diameter_mm", "inside_diameter_mm", "wall_mm", "length_mm", "width_mm", "height_mm", "thickness_mm", "diameter_mm",
		"centreline_diameter_mm", "section_diameter_mm", "section_bore_mm", "tip_diameter_mm", "root_diameter_mm", "bore_diameter_mm",
		"large_diameter_mm", "small_diameter_mm", "pitch_mm", "sweep_deg", "turns", "tooth_count", "hole_count",
	}
}

// byHandNames lists the same without the unit, as a job names them.
func byHandNames() []string {
	keys := byHandKeys()
	for i, k := range keys {
		keys[i] = withoutUnit(k)
	}
	return keys
}

func withoutUnit(key string) string {
	return strings.TrimSuffix(strings.TrimSuffix(key, "_mm"), "_deg")
}

// dimensionKey returns the result's key of a dimension named with or without its
// unit.
func dimensionKey(name string) (string, bool) {
	keys := byHandKeys()
	i := slices.IndexFunc(keys, func(k string) bool { return k == name || withoutUnit(k) == name })
	if i < 0 {
		return "", false
	}
	return keys[i], true
}

// Number returns the number in an id ("E07" is 7) and whether it is an id: E and
// the number in at least two digits, without further leading zeros.
func Number(id string) (int, bool) {
	digits, ok := strings.CutPrefix(id, "E")
	if !ok || len(digits) > 6 {
		return 0, false
	}
	n, err := strconv.Atoi(digits)
	if err != nil || n < 1 || ID(n) != id {
		return 0, false
	}
	return n, true
}

// ID returns the id of a number: 7 is "E07".
func ID(n int) string { return fmt.Sprintf("E%02d", n) }

// windCodes are the codes whose wind is computed, each with its exposures or
// terrain categories and the speeds that it starts from.
func windCodes() []windCode {
	asce, en := []string{"B", "C", "D"}, []string{"0", "I", "II", "III", "IV"}
	strength, mean := []string{"3 s gust strength level"}, []string{"10 min mean"}
	return []windCode{
		{"ASCE 7-10", asce, strength}, {"ASCE 7-16", asce, strength}, {"ASCE 7-22", asce, strength}, {"EN 1991-1-4", en, mean},
	}
}

type windCode struct {
	name      string
	exposures []string
	speeds    []string
}

// StockForms lists the forms in which steel is sold; tube is round HSS and CHS,
// box square and rectangular, the others as their tables are called.
func StockForms() []string {
	return []string{"pipe", "tube", "box", "angle", "round", "square", "flat", "plate", "sheet"}
}

func processes() []string { return []string{"plasma", "laser", "flame", "waterjet", "saw"} }
