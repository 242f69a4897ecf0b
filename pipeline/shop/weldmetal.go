package shop

import "math"

// MinFilletMM is the least leg of a fillet weld of a part of this thickness, mm:
// AWS D1.1, table 7.7 (5.8 in older editions), the thinner part with a
// low-hydrogen process. It need not exceed the thickness.
func MinFilletMM(thicknessMM float64) float64 {
	leg := 8.0
	for _, row := range [][2]float64{{6, 3}, {12, 5}, {20, 6}} { // up to and including, least leg
		if thicknessMM <= row[0] {
			leg = row[1]
			break
		}
	}
	return min(leg, thicknessMM)
}

// Weld is the weld metal of one joint, or of the splices of a mark.
type Weld struct {
	Mark     string // of a splice or seam
	LengthMM float64
	MassKG   float64
}

// weldKGM3 is the density of weld metal: that of steel.
const weldKGM3 = 7850

// overweld is what a bead has more than its nominal section: convexity and ends,
// common practice, no source.
const overweld = 1.15

// FilletKG is the weld metal of a fillet: half the square of its leg along its
// length.
func FilletKG(legMM, lengthMM float64) float64 {
	return overweld * legMM * legMM / 2 * lengthMM * 1e-9 * weldKGM3
}

// GrooveKG is that of a single V of 60° with a gap of 2 mm through a plate (common
// practice, no source).
func GrooveKG(thicknessMM, lengthMM float64) float64 {
	return overweld * (thicknessMM*thicknessMM*math.Tan(math.Pi/6) + 2*thicknessMM) * lengthMM * 1e-9 * weldKGM3
}

// Welds is the metal of all joints, and of a groove weld through every splice and
// seam of a piece.
func Welds(joints []WeldJoint, nests []Nesting, list List) []Weld {
	var out []Weld
	for _, j := range joints {
		out = append(out, Weld{LengthMM: j.LengthMM, MassKG: j.MassKG})
	}
	for _, n := range nests {
		for _, j := range n.Joints {
			count := 0
			for _, l := range list.Lines {
				if l.Mark == j.Mark && l.Stock.Mark == n.Stock.Mark {
					count = l.Quantity
				}
			}
			length := j.SeamMM * float64(count)
			out = append(out, Weld{Mark: j.Mark, LengthMM: length, MassKG: GrooveKG(j.ThickMM, length)})
		}
	}
	return out
}

// thinner is the lesser of two thicknesses, 0 standing for not known.
func thinner(a, b float64) float64 {
	if a == 0 || b == 0 {
		return max(a, b)
	}
	return min(a, b)
}
