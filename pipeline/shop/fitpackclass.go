package shop

import (
	"fmt"
	"math"
	"strings"
)

// linearClasses is ISO 13920 table 1, ± mm: by nominal size over 2, 30, 120, 400,
// 1000, 2000, 4000, 8000, 12000, 16000 and 20000 mm. The row of 2 to 30 mm is 1 mm
// for all classes. (Checked against three published copies.)
var linearClasses = map[string][11]float64{
	"A": {1, 1, 1, 2, 3, 4, 5, 6, 7, 8, 9},
	"B": {1, 2, 2, 3, 4, 6, 8, 10, 12, 14, 16},
	"C": {1, 3, 4, 6, 8, 11, 14, 18, 21, 24, 27},
	"D": {1, 4, 7, 9, 12, 16, 21, 27, 32, 36, 40},
}

// linearUpToMM are the upper ends of all sizes but the last.
var linearUpToMM = [10]float64{30, 120, 400, 1000, 2000, 4000, 8000, 12000, 16000, 20000}

// angularClasses is ISO 13920 table 2, ± mm a metre: shorter leg up to 400, up to
// 1000, over 1000 mm.
var angularClasses = map[string][3]float64{
	"A": {6, 4.5, 3}, "B": {13, 9, 6}, "C": {18, 13, 9}, "D": {26, 22, 18},
}

// LinearMM is what ISO 13920 allows a length, ± mm, in class A, B, C or D.
func LinearMM(class string, lengthMM float64) (float64, error) {
	row, ok := linearClasses[class]
	if !ok {
		return 0, fmt.Errorf("class %q: the linear classes of ISO 13920 are A, B, C and D", class)
	}
	for i, to := range linearUpToMM {
		if math.Abs(lengthMM) <= to {
			return row[i], nil
		}
	}
	return row[10], nil
}

// AngularMMPerM is what ISO 13920 allows an angle, ± mm in a metre, by its shorter
// leg.
func AngularMMPerM(class string, legMM float64) (float64, error) {
	row, ok := angularClasses[class]
	if !ok {
		return 0, fmt.Errorf("class %q: the linear classes of ISO 13920 are A, B, C and D", class)
	}
	switch {
	case legMM <= 400:
		return row[0], nil
	case legMM <= 1000:
		return row[1], nil
	}
	return row[2], nil
}

// ClassOf is the linear class of a job's limit of work: B of ISO 13920-BF.
func ClassOf(work string) string {
	_, class, _ := strings.Cut(work, "-")
	return class[:min(1, len(class))]
}
