package site

import (
	"errors"
	"math"
)

// Rods are the anchors of a base plate: four, two on each side, of one size.
type Rods struct {
	Count       int     `json:"count"`
	Size        string  `json:"size"`
	HoleMM      float64 `json:"hole_mm"`
	TensionN    float64 `json:"tension_n"` // of each
	ShearN      float64 `json:"shear_n"`   // of each, what friction does not take
	FrictionN   float64 `json:"friction_n"`
	EmbedMM     float64 `json:"embed_mm"` // at which the concrete lets one rod go no sooner
	Utilisation float64 `json:"utilisation"`
	Basis       string  `json:"basis"`
}

// rod is a size of anchor: area that counts, mm², and hole in the plate, mm.
type rod struct {
	size       string
	area, hole float64
	diameter   float64
}

// inchRods: gross areas; holes of AISC Design Guide 1, 2nd ed., table 2.3.
var inchRods = []rod{
	{"3/4 in", 285, 33.3, 19.05}, {"7/8 in", 388, 39.7, 22.2}, {"1 in", 507, 46.0, 25.4}, {"1-1/4 in", 792, 52.4, 31.75}, {"1-1/2 in", 1140, 58.7, 38.1},
}

// metricRods: stress areas of ISO 898-1; holes 6 mm larger up to M24, 8 mm beyond
// (common practice, no source).
var metricRods = []rod{
	{"M16", 157, 22, 16}, {"M20", 245, 26, 20}, {"M24", 353, 30, 24}, {"M30", 561, 38, 30}, {"M36", 817, 44, 36}, {"M42", 1120, 50, 42}, {"M48", 1470, 56, 48},
}

// Of rods of 400 MPa ultimate strength (ASTM F1554 grade 36, property class 4.6).
const rodUltimateMPa = 400.0

// groutFriction of a steel plate on grout, AISC Design Guide 1 3.5.1 (from memory).
const groutFriction = 0.4

var errRods = errors.New("four rods of the largest size listed do not hold it: more rods, or a larger plate, by an engineer")

// rodsFor picks the smallest size that takes the plate's tension on two rods and the shear
// beyond friction on four, its shares of both added up: AISC 360 J3 (0.75·0.75 Fu A, 0.75·0.45
// Fu A) or EN 1993-1-8 table 3.4 (0.9 fub As/1.25, 0.6 fub As/1.25), from memory. Depth:
// φ 10 √f'c h^1.5 of ACI 318-14 17.4.2, φ = 0.70, one rod far from edges, from memory, and
// twelve diameters at least.
func rodsFor(plate BasePlate, shearN, leastN float64, p Pressure, opt CheckOptions) (*Rods, error) {
	r := Rods{Count: 4, TensionN: plate.TensionN / 2, FrictionN: groutFriction * max(leastN, 0),
		Basis: "rods of 400 MPa ultimate strength; friction 0.4 under the least load down; depth for one rod at least 1.5 depths from every edge and 3 from the next, else the engineer's; from memory: AISC 360 J3 or EN 1993-1-8 table 3.4, ACI 318-14 17.4.2"}
	r.ShearN = max(shearN-r.FrictionN, 0) / 4
	rods, pull, cut := metricRods, 0.9/1.25, 0.6/1.25
	if p.asce() {
		rods, pull, cut = inchRods, 0.75*0.75, 0.75*0.45
	}
	for _, x := range rods {
		r.Size, r.HoleMM = x.size, x.hole
		r.Utilisation = (r.TensionN/pull + r.ShearN/cut) / (rodUltimateMPa * x.area)
		r.EmbedMM = math.Ceil(max(12*x.diameter, math.Pow(r.TensionN/(0.70*10*math.Sqrt(opt.ConcreteMPa)), 2.0/3)))
		if r.Utilisation <= 1 {
			return &r, nil
		}
	}
	return &r, errRods
}
