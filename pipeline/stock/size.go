package stock

import "math"

// Size is one item of stock as it is sold, or a section that is made of stock
// where none is sold (see Route). What a form does not have is 0.
//
//	pipe, tube      ODMM, WallMM, WallDesignMM       tube: round hollow section
//	box             HeightMM ≥ WidthMM, WallMM, WallDesignMM
//	angle           HeightMM ≥ WidthMM (legs), ThicknessMM
//	round           ODMM
//	square          WidthMM = HeightMM
//	flat            WidthMM, ThicknessMM
//	plate, sheet    ThicknessMM
type Size struct {
	Mark     string   // as Find reads it: NPS 8 Sch 40, HSS4X4X1/4, PL 12
	Also     []string // other marks of the same thing: NPS 8 STD
	Form     string   // of Forms, or made: rolled, mitred, turned, laminated, machined, built up, formed, as made
	System   string   // us, metric, or own
	Standard string

	ODMM, WallMM, WallDesignMM     float64 // design wall: what strength may count on
	WidthMM, HeightMM, ThicknessMM float64
	MassKGM                        float64 // kg for 1 m of length; built up plate: of its edge
	MassKGM2                       float64 // kg for 1 m² of plate or sheet
	Common                         bool    // its wall is of a schedule that most dealers keep
	FromMemory                     bool    // no published page was at hand for the row
	Source                         string  // how far the row was checked
}

// Forms of stock, in the order in which they are preferred where all else is equal.
func Forms() []string {
	return []string{"pipe", "tube", "box", "angle", "round", "square", "flat", "plate", "sheet"}
}

// steelKGM3 is the density behind the masses of the tables: EN 1991-1-1, ASME
// B36.10M. (AISC's 490 lb/ft³ is 7849.)
const steelKGM3 = 7850.0

const (
	inchMM      = 25.4
	poundFootKG = 0.45359237 / 0.3048 // kg/m of 1 lb/ft
)

// areaMM2 is the section's area by its sizes: sharp corners, no fillets.
func (s Size) areaMM2() float64 {
	switch {
	case s.ODMM > 0 && s.WallMM > 0:
		return math.Pi * (s.ODMM - s.WallMM) * s.WallMM
	case s.ODMM > 0:
		return math.Pi / 4 * s.ODMM * s.ODMM
	case s.WallMM > 0:
		return 2 * (s.HeightMM + s.WidthMM - 2*s.WallMM) * s.WallMM
	case s.HeightMM > 0 && s.ThicknessMM > 0:
		return (s.HeightMM + s.WidthMM - s.ThicknessMM) * s.ThicknessMM
	case s.HeightMM > 0:
		return s.HeightMM * s.WidthMM
	}
	return s.WidthMM * s.ThicknessMM
}
