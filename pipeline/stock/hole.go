package stock

import "math"

// holesMM2 is the area of holes.
func holesMM2(holes []Hole) float64 {
	sum := 0.0
	for _, h := range holes {
		sum += h.areaMM2()
	}
	return sum
}

func (h Hole) areaMM2() float64 {
	a, b := h.AcrossMM[0], h.AcrossMM[1]
	switch h.Shape {
	case "round":
		return math.Pi / 4 * h.DiameterMM * h.DiameterMM
	case "slot":
		return (a-b)*b + math.Pi/4*b*b
	case "diamond":
		return a * b / 2
	case "rectangle":
		return a * b
	}
	return outlineAreaMM2(h.Outline)
}

func (h Hole) perimeterMM() float64 {
	a, b := h.AcrossMM[0], h.AcrossMM[1]
	switch h.Shape {
	case "round":
		return math.Pi * h.DiameterMM
	case "slot":
		return 2*(a-b) + math.Pi*b
	case "diamond":
		return 2 * math.Hypot(a, b)
	case "rectangle":
		return 2 * (a + b)
	}
	return perimeterMM(h.Outline)
}
