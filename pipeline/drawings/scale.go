package drawings

import (
	"strconv"
)

// mantissas of the scales of ISO 5455: 1, 2 and 5 times a power of ten.
var mantissas = [3]float64{1, 2, 5}

// scales are all from 50 : 1 to 1 : 10000, the largest first, as mm at full size
// for one of paper.
func scales() []float64 {
	out := []float64{0.02, 0.05, 0.1, 0.2, 0.5}
	for decade := 1.0; decade < 1e5; decade *= 10 {
		for _, m := range mantissas {
			if decade*m <= 1e4 {
				out = append(out, decade*m)
			}
		}
	}
	return out
}

// scaleText names a scale as ISO 5455 does.
func scaleText(fullMM float64) string {
	if fullMM < 1 {
		return strconv.FormatFloat(1/fullMM, 'f', -1, 64) + ":1"
	}
	return "1:" + strconv.FormatFloat(fullMM, 'f', -1, 64)
}
