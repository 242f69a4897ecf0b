package site

// Combination is one sum of loads that a code asks for. Factors of what is not there
// are 0.
type Combination struct {
	Name   string  `json:"name"`
	Source string  `json:"source"`
	Dead   float64 `json:"dead"`
	Live   float64 `json:"live"` // climbing
	Ice    float64 `json:"ice"`
	Wind   float64 `json:"wind"`
	// Against says that it is there to see whether the work tips, slides or lifts.
	Against bool `json:"stability"`
}

// asd are allowable-stress combinations of ASCE 7-16 2.4.1 and, for ice, 2.4.3,
// from memory but for 0.6 W (published sign-structure calculation).
var asd = []Combination{
	{Name: "D + L", Source: "ASCE 7 2.4.1, 2", Dead: 1, Live: 1},
	{Name: "D + 0.6 W", Source: "ASCE 7 2.4.1, 5", Dead: 1, Wind: 0.6},
	{Name: "D + 0.75 L + 0.75 (0.6 W)", Source: "ASCE 7 2.4.1, 6", Dead: 1, Live: 0.75, Wind: 0.45},
	{Name: "D + 0.7 ice", Source: "ASCE 7 2.4.3", Dead: 1, Ice: 0.7},
	{Name: "0.6 D + 0.6 W", Source: "ASCE 7 2.4.1, 7", Dead: 0.6, Wind: 0.6, Against: true},
}

// eurocodeSums are those of EN 1990 eq. 6.10 with γ 1.35, 1.5, 0.9 and ψ0 of wind 0.6, of
// the climbing load and ice 0.7; from memory, national annexes differ.
var eurocodeSums = []Combination{
	{Name: "1.35 G + 1.5 Q", Source: "EN 1990 6.10", Dead: 1.35, Live: 1.5},
	{Name: "1.35 G + 1.5 W + 1.05 Q", Source: "EN 1990 6.10", Dead: 1.35, Live: 1.05, Wind: 1.5},
	{Name: "1.35 G + 1.5 Q + 0.9 W", Source: "EN 1990 6.10", Dead: 1.35, Live: 1.5, Wind: 0.9},
	{Name: "1.35 G + 1.5 ice + 0.9 W", Source: "EN 1990 6.10", Dead: 1.35, Ice: 1.5, Wind: 0.9},
	{Name: "0.9 G + 1.5 W", Source: "EN 1990 6.10, equilibrium", Dead: 0.9, Wind: 1.5, Against: true},
}

// Combinations of a code: allowable stress with ASCE 7, limit states with EN 1990.
func Combinations(p Pressure) []Combination {
	if p.asce() {
		return asd
	}
	return eurocodeSums
}
