package site

// Combination is one sum of loads that a code asks for. Factors of what is not there
// are 0.
type Combination struct {
	Name    string  `json:"name"`
	Source  string  `json:"source"`
	Dead    float64 `json:"dead"`
	Live    float64 `json:"live"` // climbing
	Ice     float64 `json:"ice"`
	Wind    float64 `json:"wind"`
	Seismic float64 `json:"seismic"`
	// Against says that it is there to see whether the work tips, slides or lifts.
	Against bool `json:"stability"`
}

// asd are allowable-stress combinations of ASCE 7, 7-10 to 7-22. Those of 2.4.1 and
// the seismic ones were held against published lists of them (7-10: nine sums of 2.4.1; 7-22:
// section 2.4.1); 0.6 W against a published sign-structure calculation too. Editions number
// them differently, so no number is given. Ice (2.4.3) is from memory.
var asd = []Combination{
	{Name: "D + L", Source: "ASCE 7 2.4.1", Dead: 1, Live: 1},
	{Name: "D + 0.6 W", Source: "ASCE 7 2.4.1", Dead: 1, Wind: 0.6},
	{Name: "D + 0.75 L + 0.75 (0.6 W)", Source: "ASCE 7 2.4.1", Dead: 1, Live: 0.75, Wind: 0.45},
	{Name: "D + L + 0.7 ice", Source: "ASCE 7 2.4.3, from memory; wind on ice is left out", Dead: 1, Live: 1, Ice: 0.7},
	{Name: "D + 0.7 E", Source: "ASCE 7 2.4.1 (7-10), 2.4.5 (7-16 on)", Dead: 1, Seismic: 0.7},
	{Name: "D + 0.75 L + 0.75 (0.7 E)", Source: "ASCE 7 2.4.1 (7-10), 2.4.5 (7-16 on)", Dead: 1, Live: 0.75, Seismic: 0.525},
	{Name: "0.6 D + 0.6 W", Source: "ASCE 7 2.4.1", Dead: 0.6, Wind: 0.6, Against: true},
	{Name: "0.6 D + 0.7 E", Source: "ASCE 7 2.4.1 (7-10), 2.4.5 (7-16 on)", Dead: 0.6, Seismic: 0.7, Against: true},
}

// lrfd are combinations at strength level, for base plates and anchors: ASCE 7
// 2.3.1, and 2.3.6 for earthquakes, held against a published list of them (7-16).
var lrfd = []Combination{
	{Name: "1.4 D", Source: "ASCE 7 2.3.1", Dead: 1.4},
	{Name: "1.2 D + 1.6 L", Source: "ASCE 7 2.3.1", Dead: 1.2, Live: 1.6},
	{Name: "1.2 D + W + L", Source: "ASCE 7 2.3.1", Dead: 1.2, Live: 1, Wind: 1},
	{Name: "1.2 D + E + L", Source: "ASCE 7 2.3.1 (7-10), 2.3.6 (7-16 on)", Dead: 1.2, Live: 1, Seismic: 1},
	{Name: "0.9 D + W", Source: "ASCE 7 2.3.1", Dead: 0.9, Wind: 1, Against: true},
	{Name: "0.9 D + E", Source: "ASCE 7 2.3.1 (7-10), 2.3.6 (7-16 on)", Dead: 0.9, Seismic: 1, Against: true},
}

// eurocodeSums are those of EN 1990 eq. 6.10 with γ 1.35 and 1.5 (table A1.2(B)), 0.9 for
// weight that helps (A1.2(A)), ψ0 0.6 of wind, 0.7 of the climbing load: as printed in
// Steel Buildings in Europe, Multi-Storey Steel Buildings part 3, 3.2. ψ0 0.7 of ice is
// from memory. Eq. 6.12b with ψ2 0.6 (category C, where people gather), from memory.
// National annexes differ.
var eurocodeSums = []Combination{
	{Name: "1.35 G + 1.5 Q", Source: "EN 1990 6.10, table A1.2(B)", Dead: 1.35, Live: 1.5},
	{Name: "1.35 G + 1.5 W + 1.05 Q", Source: "EN 1990 6.10, table A1.2(B)", Dead: 1.35, Live: 1.05, Wind: 1.5},
	{Name: "1.35 G + 1.5 Q + 0.9 W", Source: "EN 1990 6.10, table A1.2(B)", Dead: 1.35, Live: 1.5, Wind: 0.9},
	{Name: "1.35 G + 1.5 ice + 0.9 W", Source: "EN 1990 6.10, ice as a variable load from memory", Dead: 1.35, Ice: 1.5, Wind: 0.9},
	{Name: "G + E + 0.6 Q", Source: "EN 1990 6.12b, from memory", Dead: 1, Live: 0.6, Seismic: 1},
	{Name: "0.9 G + 1.5 W", Source: "EN 1990 6.10, table A1.2(A), equilibrium", Dead: 0.9, Wind: 1.5, Against: true},
	{Name: "G + E", Source: "EN 1990 6.12b, equilibrium, from memory", Dead: 1, Seismic: 1, Against: true},
}

// Combinations of a code: allowable stress with ASCE 7, limit states with EN 1990.
// Those of a load that is not there are left out.
func Combinations(p Pressure, opt CheckOptions) []Combination {
	if p.asce() {
		return opt.acting(asd)
	}
	return opt.acting(eurocodeSums)
}

// strengthSums are for base plates and anchors.
func strengthSums(p Pressure, opt CheckOptions) []Combination {
	if p.asce() {
		return opt.acting(lrfd)
	}
	return opt.acting(eurocodeSums)
}

func (o CheckOptions) acting(all []Combination) []Combination {
	var out []Combination
	for _, c := range all {
		if c.Seismic > 0 && o.Seismic == 0 || c.Ice > 0 && o.IceMM == 0 {
			continue
		}
		out = append(out, c)
	}
	return out
}
