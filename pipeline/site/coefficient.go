package site

import "math"

// Coefficient is the force coefficient of one piece on its own.
type Coefficient struct {
	Value float64 `json:"value"`
	Basis string  `json:"basis"`
}

// rounded says that wind goes round a piece as round a tube.
func (p Piece) rounded() bool {
	switch p.Part.Kind {
	case "tube", "bar", "coil", "sphere", "cone":
		return true
	case "ring":
		return p.Part.Section == "round"
	case "arc":
		_, round := p.Part.Size("section_diameter_mm")
		return round
	}
	return false
}

// widthMM is the diameter that the wind goes round.
func (p Piece) widthMM() float64 {
	for _, key := range []string{"section_diameter_mm", "outside_diameter_mm", "diameter_mm", "small_diameter_mm"} {
		if d, ok := p.Part.Size(key); ok && d > 0 {
			return d
		}
	}
	return 0
}

// coefficient of a piece in a wind of pressure q (N/m²). Ends and neighbours, which
// lessen it, are not counted.
func (p Piece) coefficient(wind Pressure, q float64) Coefficient {
	switch {
	case wind.asce() && p.rounded():
		return latticeRow(0, true, p.widthMM()/1000*math.Sqrt(q))
	case wind.asce():
		return latticeRow(0, false, 0)
	case p.rounded():
		return cylinder(p.widthMM()/1000, q)
	case p.Part.Kind == "profile":
		return Coefficient{2.4, "EN 1991-1-4 figure 7.23, worst ratio of sides of a sharp rectangle"}
	}
	return Coefficient{2.0, "EN 1991-1-4 7.7, sharp-edged section (from memory)"}
}

// lattice is the coefficient of a whole work by its solidity, flat-sided or rounded.
func (p Pressure) lattice(solidity float64, round bool) Coefficient {
	if p.asce() {
		return latticeRow(solidity, round, 0)
	}
	return singleFrame(solidity, round)
}

// singleFrame is the coefficient of a plane lattice over its solidity: TIA-222-G 2.6.9.2,
// mounting frames (one copy of the formula; EN 1993-3-1 annex B has the same, from
// memory). It stands for figure 7.33 of EN 1991-1-4: 2.0 where it is open or closed, 1.69 at
// 0.31, where a published calculation reads 1.6. Rounded members take 0.6 + 0.4 φ² of it.
func singleFrame(solidity float64, round bool) Coefficient {
	cf := 1.58 + 1.05*math.Pow(max(0.6-solidity, 0), 1.8) + 2.63*math.Pow(max(solidity-0.6, 0), 2)
	if round {
		cf *= 0.6 + 0.4*solidity*solidity
	}
	return Coefficient{cf, "EN 1991-1-4 7.11 by the single-frame formula of TIA-222-G"}
}

// latticeRow is ASCE 7-16 table 29.4-2 (one copy and memory): flat sides, or rounded
// ones by D√qz, with D in m and qz in N/m² against 5.3. A single piece stands in its first
// row, solidity under 0.1. The last row holds to 0.7.
func latticeRow(solidity float64, round bool, dRootQ float64) Coefficient {
	i := 0
	switch {
	case solidity >= 0.3:
		i = 2
	case solidity >= 0.1:
		i = 1
	}
	const table = "ASCE 7-16 table 29.4-2, "
	switch {
	case !round:
		return Coefficient{[]float64{2.0, 1.8, 1.6}[i], table + "flat-sided"}
	case dRootQ <= 5.3:
		return Coefficient{[]float64{1.2, 1.3, 1.5}[i], table + "rounded, D√qz ≤ 5.3"}
	}
	return Coefficient{[]float64{0.8, 0.9, 1.1}[i], table + "rounded, D√qz > 5.3"}
}

// rustMM is the roughness of rusted steel, 2 mm (EN 1991-1-4 table 7.13, from memory):
// the highest of steel surfaces, so that no finish has more force.
const rustMM = 2.0

// cylinder is cf0 of EN 1991-1-4 7.9.2 for a diameter in m, without the reduction for
// ends: the higher of the two branches of figure 7.28, at most 1.2.
func cylinder(dM, q float64) Coefficient {
	re := dM * math.Sqrt(2*q/airKGM3) / 15e-6 / 1e6 // millions
	below := 0.11 / math.Pow(re, 1.4)
	above := 0.0
	if div := 1 + 0.4*math.Log10(re); div > 0 { // the branch past the drag crisis
		above = 1.2 + 0.18*math.Log10(10*rustMM/1000/dM)/div
	}
	return Coefficient{min(max(below, above, 0.4), 1.2), "EN 1991-1-4 7.9.2, roughness 2 mm, no end effect"}
}
