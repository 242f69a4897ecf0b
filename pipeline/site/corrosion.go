package site

import (
	"fmt"
	"math"
	"strings"
)

// Corrosion is how much metal the air takes over the life of the work.
type Corrosion struct {
	Category  string     `json:"category"` // ISO 9223
	LifeYears float64    `json:"life_years"`
	Finish    string     `json:"finish"`  // bare, weathering, galvanised, painted, stainless
	LossMM    float64    `json:"loss_mm"` // off each exposed face, upper bound of the category
	ZincYears float64    `json:"zinc_years,omitempty"`
	Walls     []WallLeft `json:"walls"` // thinnest left first
	Says      []string   `json:"says"`
}

// WallLeft is what a piece keeps of its thinnest part.
type WallLeft struct {
	ID          string  `json:"id"`
	ThicknessMM float64 `json:"thickness_mm"`
	Faces       int     `json:"faces"` // exposed ones: 2 unless the inside is closed
	LossMM      float64 `json:"loss_mm"`
	LeftMM      float64 `json:"left_mm"`
}

// Upper bounds of the first-year loss in µm: carbon steel by ISO 9223:2012 table 2
// (three copies), zinc of the same table from memory.
func firstYearUM(category string) (steel, zinc float64) {
	switch category {
	case "C1":
		return 1.3, 0.1
	case "C2":
		return 25, 0.7
	case "C3":
		return 50, 2.1
	case "C4":
		return 80, 4.2
	case "C5":
		return 200, 8.4
	}
	return 700, 25
}

// Exponents of ISO 9224: carbon steel 0.523 (one implementation, used twice), zinc
// 0.813 (from memory).
const (
	steelPower, zincPower = 0.523, 0.813
	steadyYears           = 20.0 // from then on the loss grows in a straight line (from memory)
)

// lossUM is the loss after a time: r·t^b, and its tangent at 20 years after that.
func lossUM(firstYear, power, years float64) float64 {
	if years <= steadyYears {
		return firstYear * math.Pow(years, power)
	}
	return firstYear * (math.Pow(steadyYears, power) + power*math.Pow(steadyYears, power-1)*(years-steadyYears))
}

// yearsFor is when a loss is reached.
func yearsFor(firstYear, power, um float64) float64 {
	if t := math.Pow(um/firstYear, 1/power); t <= steadyYears {
		return t
	}
	return steadyYears + (um/firstYear-math.Pow(steadyYears, power))/(power*math.Pow(steadyYears, power-1))
}

// zincUM is the least mean coating of hot-dip galvanising on steel of a thickness
// (ISO 1461, table of articles that are not centrifuged; from memory).
func zincUM(thicknessMM float64) float64 {
	switch {
	case thicknessMM > 6:
		return 85
	case thicknessMM > 3:
		return 70
	case thicknessMM >= 1.5:
		return 55
	}
	return 45
}

// finishOf reads what the metal is left as from the job's words; "" for metals that
// these laws are not for.
func finishOf(grade, finish string) string {
	has := func(text string, words ...string) bool {
		text = strings.ToLower(text)
		for _, w := range words {
			if strings.Contains(text, w) {
				return true
			}
		}
		return false
	}
	switch {
	case has(grade, "304", "316", "stainless", "1.43", "1.44"):
		return "stainless"
	case has(grade, "6061", "5052", "alum", "bronze", "copper", "c655", "c836", "c875"):
		return ""
	case has(finish, "galv", "zinc"):
		return "galvanised"
	case has(finish, "paint", "coat", "powder", "lacquer"):
		return "painted"
	case has(grade, "weathering", "a588", "a242", "a606", "j0w", "j2w") || has(finish, "weather"):
		return "weathering"
	}
	return "bare"
}

// corrosionOf takes every piece's wall through the life of the work.
func corrosionOf(pieces []Piece, hollows []Hollow, opt WeatherOptions) *Corrosion {
	c := &Corrosion{Category: opt.Corrosivity, LifeYears: opt.LifeYears, Finish: finishOf(opt.Grade, opt.Finish), Walls: []WallLeft{}}
	if opt.Corrosivity == "" || opt.LifeYears <= 0 || c.Finish == "" {
		return nil
	}
	steel, zinc := firstYearUM(opt.Corrosivity)
	bare := lossUM(steel, steelPower, opt.LifeYears) / 1000
	c.LossMM = bare
	c.Says = append(c.Says, fmt.Sprintf("ISO 9223 %s, upper bound: %g µm in the first year on bare carbon steel; ISO 9224: r·t^%g, in a straight line after %g years", opt.Corrosivity, steel, steelPower, steadyYears))
	switch c.Finish {
	case "stainless":
		c.LossMM = 0
		c.Says = []string{"stainless steel: no allowance for even loss; pits, crevices and tea stains decide, and salt (sea, roads) brings them: keep the grade's record, wash it, no crevice may hold water"}
	case "weathering":
		c.Says = append(c.Says, "weathering steel: counted as carbon steel, which is safe; its rust protects only where it dries out, and not within 2 km of the sea unless the salt was measured")
	case "painted":
		c.Says = append(c.Says, "paint: as if it were never renewed and gone from the start; while it is kept whole the loss is near none")
	case "galvanised":
		c.ZincYears = yearsFor(zinc, zincPower, zincUM(math.Inf(1)))
		c.Says = append(c.Says, fmt.Sprintf("zinc: %g µm in the first year, r·t^%g; coating of ISO 1461 by thickness (both from memory); when it is gone the steel starts as new", zinc, zincPower))
	}
	closed := map[string]bool{}
	for _, h := range hollows {
		closed[h.ID] = h.Closed
	}
	for _, p := range pieces {
		t, inside := p.thinnestMM()
		if !(t > 0) {
			continue
		}
		w := WallLeft{ID: p.Part.ID, ThicknessMM: t, Faces: 2, LossMM: c.LossMM}
		if inside && closed[p.Part.ID] {
			w.Faces = 1
		}
		if c.Finish == "galvanised" {
			w.LossMM = lossUM(steel, steelPower, max(opt.LifeYears-yearsFor(zinc, zincPower, zincUM(t)), 0)) / 1000
		}
		w.LeftMM = max(t-float64(w.Faces)*w.LossMM, 0)
		c.Walls = append(c.Walls, w)
	}
	if c.Finish == "galvanised" {
		c.LossMM = lossUM(steel, steelPower, max(opt.LifeYears-c.ZincYears, 0)) / 1000
	}
	sortBy(c.Walls, func(w WallLeft) float64 { return w.LeftMM })
	return c
}

// thinnestMM is the wall of a hollow piece (inside: one face of it looks inward), else
// the thickness between two faces.
func (p Piece) thinnestMM() (t float64, inside bool) {
	x := measured{part: p.Part}
	if h, ok := p.hollow(); ok {
		return h.wallMM, true
	}
	for _, key := range []string{"thickness_mm", "section_diameter_mm", "outside_diameter_mm", "diameter_mm", "small_diameter_mm"} {
		if v := x.maybe(key); v > 0 {
			return v, false
		}
	}
	if p.Size.ThicknessMM > 0 {
		return p.Size.ThicknessMM, false
	}
	return min(p.Size.HeightMM, p.Size.WidthMM), false
}
