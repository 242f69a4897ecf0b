package primitive

import "math"

// openFormula is the open area in % of a perforated sheet by the trade's
// formulas, from the hole and the lattice; 0 where the trade has none. C is the
// distance of centres, D the diameter, S a side:
//
//	round, 60° staggered         90.69 D²/C²
//	round, straight or 45°       78.54 D²/(C1 C2)
//	square or oblong, straight   100 S1 S2/(C1 C2)
//	slot of length l, width w    100 (w l − 0.215 w²)/(C1 C2)
//	diamond of diagonals a, b    50 a b/(C1 C2)
//
// C1 C2 is what one hole takes of the sheet: pitch in the row times distance of
// rows. That is half of the two pitches' product where rows are staggered.
func openFormula(p *Pattern) float64 {
	cell := p.AlongMM * p.AcrossMM
	if !(cell > 0) {
		return 0
	}
	h := p.Hole
	a, b := h.AcrossMM[0], h.AcrossMM[1]
	switch h.Shape {
	case "round":
		if p.Arrangement == "staggered_60" {
			return 90.69 * h.DiameterMM * h.DiameterMM / (p.CentresMM * p.CentresMM)
		}
		return 78.54 * h.DiameterMM * h.DiameterMM / cell
	case "rectangle":
		return 100 * a * b / cell
	case "slot":
		return 100 * (a*b - 0.215*b*b) / cell
	case "diamond":
		return 50 * a * b / cell
	}
	return 0
}

// openMeasured is the open area in % that the holes have, each by its own size,
// over the cells of all the pattern's places; missing holes lower it.
func openMeasured(p *Pattern, holes []Hole) float64 {
	cell := p.AlongMM * p.AcrossMM
	n := len(holes) + len(p.MissingMM)
	if !(cell > 0) || n == 0 {
		return 0
	}
	sum := 0.0
	for i := range holes {
		sum += holes[i].areaMM2()
	}
	return math.Min(100*sum/(cell*float64(n)), 100)
}
