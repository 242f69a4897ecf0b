package mesh

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// lengthText writes a length in mm with three significant digits.
func lengthText(mm float64) string { return digits(mm) + " mm" }

func areaText(mm2 float64) string { return digits(mm2) + " mm²" }

func digits(x float64) string {
	if a := math.Abs(x); a >= 1e9 || a > 0 && a < 1e-6 {
		return strconv.FormatFloat(x, 'e', 2, 64)
	} else if a >= 100 {
		return strconv.FormatFloat(x, 'f', 0, 64)
	}
	s := strconv.FormatFloat(x, 'g', 3, 64)
	if strings.Contains(s, "e") {
		s = strconv.FormatFloat(x, 'f', 8, 64)
	}
	return s
}

// placeText writes a place to a tenth of a millimetre.
func placeText(p [3]float64) string { return fmt.Sprintf("(%.1f, %.1f, %.1f) mm", p[0], p[1], p[2]) }

// countText writes 1 facet, 2 facets.
func countText(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
