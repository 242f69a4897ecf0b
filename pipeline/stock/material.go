package stock

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Material is a row of materials.csv.
type Material struct {
	Name, Standard string
	DensityKGM3    float64
	YieldMPa       float64 // least, 0 where not listed
	UltimateMPa    float64 // least, 0 where not listed
	FromMemory     bool    // some of it
	Source         string
}

// MaterialOf finds the metal of a grade as people write it: "ASTM A36",
// "EN 10025 S235JR", "316L", "weathering". Every word of it stands in the row's
// names, or is the start of one with three letters or more; of several rows the
// first with most whole words is taken.
func MaterialOf(grade string) (Material, error) {
	rows, err := readTable("materials.csv")
	if err != nil {
		return Material{}, err
	}
	best, most := -1, 0
	var names []string
	for i, r := range rows {
		names = append(names, r["material"])
		if n := wordsMet(gradeWords(grade), gradeWords(r["material"]+" "+r["standard_or_grade"])); n > most {
			best, most = i, n
		}
	}
	if best < 0 {
		return Material{}, fmt.Errorf("the grade %q is not in the table of materials; write one of: %s", grade, strings.Join(names, "; "))
	}
	r := rows[best]
	return Material{Name: r["material"], Standard: r["standard_or_grade"], DensityKGM3: r.number("density_kg_per_m3"), YieldMPa: r.number("yield_min_mpa"),
		UltimateMPa: r.number("ultimate_min_mpa"), FromMemory: memory.MatchString(r["status"] + " " + r["note"]), Source: r["status"]}, nil
}

var gradeWord = regexp.MustCompile(`[\p{L}\p{N}]+`)

func gradeWords(s string) []string { return gradeWord.FindAllString(strings.ToLower(s), 64) }

// wordsMet scores whole words 2 and starts of words 1; 0 where a word is not met.
func wordsMet(want, have []string) int {
	sum := 0
	for _, w := range want {
		switch {
		case slices.Contains(have, w):
			sum += 2
		case len(w) >= 3 && slices.ContainsFunc(have, func(h string) bool { return strings.HasPrefix(h, w) }):
			sum++
		case w == "astm" || w == "en" || w == "steel" || w == "grade" || w == "gr" || isYear(w):
		default:
			return 0
		}
	}
	return sum
}

func isYear(w string) bool {
	n, err := strconv.Atoi(w)
	return err == nil && n >= 1950 && n < 2100
}
