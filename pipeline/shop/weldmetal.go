package shop

import (
	"math"

	"pointup/pipeline/stock"
)

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

// Weld is the weld metal of one joint, for an estimate: what joint it is to be is
// the engineer's.
type Weld struct {
	A, B     int     // parts; B is -1 for a splice or seam of A
	Mark     string  // of a splice or seam
	LengthMM float64 // of seam
	LegMM    float64 // fillet; 0 for a groove weld
	ThickMM  float64 // of the thinner part
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

// Welds gives every contact the least fillet of its thinner part along its seam,
// and every splice and seam of a piece a groove weld through it.
func Welds(parts []stock.Part, choice stock.Choice, contacts []stock.Contact, nests []Nesting, list List) []Weld {
	thick := make([]float64, len(parts))
	for _, pick := range choice.Families {
		for _, at := range pick.Members {
			thick[at] = thickMM(pick.Size)
		}
	}
	var out []Weld
	for _, c := range contacts {
		t := thinner(thick[c.A], thick[c.B])
		if t == 0 || c.LengthMM == 0 {
			continue
		}
		w := Weld{A: c.A, B: c.B, LengthMM: c.LengthMM, LegMM: MinFilletMM(t), ThickMM: t}
		w.MassKG = FilletKG(w.LegMM, w.LengthMM)
		out = append(out, w)
	}
	for _, n := range nests {
		for _, j := range n.Joints {
			count := 0
			for _, l := range list.Lines {
				if l.Mark == j.Mark && l.Stock.Mark == n.Stock.Mark {
					count = l.Quantity
				}
			}
			w := Weld{A: -1, B: -1, Mark: j.Mark, LengthMM: j.SeamMM * float64(count), ThickMM: j.ThickMM}
			w.MassKG = GrooveKG(j.ThickMM, w.LengthMM)
			out = append(out, w)
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
