package primitive

import (
	"cmp"
	"math"
	"slices"
)

// Chain is a roller chain of a standard: lengths in mm, the roller's diameter
// the largest, the inner width the least that the standard allows.
type Chain struct {
	Standard     string // ASME B29.1 or ISO 606 (its B series)
	Number       string // ANSI number, empty for the B series
	ISO          string // ISO 606 number
	PitchMM      float64
	RollerMM     float64
	InnerWidthMM float64
	FromMemory   bool // no published page was at hand for this row
}

// chains are the roller chains of ASME B29.1 and ISO 606. The A series and the
// small B chains were compared between published lists; where two lists swap the
// widths of 40 and 41 the one that agrees with the rollers stands.
func chains() []Chain {
	return []Chain{
		{"ASME B29.1", "25", "04C", 6.35, 3.3, 3.17, false},
		{"ASME B29.1", "35", "06C", 9.525, 5.08, 4.76, false},
		{"ASME B29.1", "41", "085", 12.7, 7.77, 6.35, false},
		{"ASME B29.1", "40", "08A", 12.7, 7.92, 7.94, false},
		{"ASME B29.1", "50", "10A", 15.875, 10.16, 9.52, false},
		{"ASME B29.1", "60", "12A", 19.05, 11.91, 12.7, false},
		{"ASME B29.1", "80", "16A", 25.4, 15.88, 15.88, false},
		{"ASME B29.1", "100", "20A", 31.75, 19.05, 19.05, false},
		{"ASME B29.1", "120", "24A", 38.1, 22.22, 25.4, false},
		{"ASME B29.1", "140", "28A", 44.45, 25.4, 25.4, false},
		{"ASME B29.1", "160", "32A", 50.8, 28.57, 31.75, false},
		{"ASME B29.1", "180", "36A", 57.15, 35.71, 35.71, false},
		{"ASME B29.1", "200", "40A", 63.5, 39.67, 38.1, false},
		{"ASME B29.1", "240", "48A", 76.2, 47.62, 47.62, false},
		{"ISO 606", "", "06B", 9.525, 6.35, 5.72, false},
		{"ISO 606", "", "08B", 12.7, 8.51, 7.75, false},
		{"ISO 606", "", "10B", 15.875, 10.16, 9.65, false},
		{"ISO 606", "", "12B", 19.05, 12.07, 11.68, true},
		{"ISO 606", "", "16B", 25.4, 15.88, 17.02, true},
		{"ISO 606", "", "20B", 31.75, 19.05, 19.56, true},
		{"ISO 606", "", "24B", 38.1, 25.4, 25.4, true},
		{"ISO 606", "", "28B", 44.45, 27.94, 30.99, true},
		{"ISO 606", "", "32B", 50.8, 29.21, 30.99, true},
	}
}

// Seats are what a wheel has for rollers, in mm at the scale that is asked for,
// with the half-widths of their 95 % intervals.
type Seats struct {
	Teeth                                    int
	RootMM, RootU95, DiameterMM, DiameterU95 float64
}

// How far a wheel may be off a chain's own: in its root diameter by 2 % of the
// pitch (worn or filed seats) and a thousandth of itself (scale of the scan), and
// in the diameter of a seat from a little under the roller to half-open. ISO 606
// asks for 1.01 d to about 1.1 d.
const (
	chainPitchShare = 0.02
	chainRootShare  = 0.001
	seatLeast       = 0.94
	seatMost        = 1.18
)

// ChainsThatFit lists the chains whose rollers lie in the seats at their pitch:
// the root diameter is the pitch diameter, pitch over sin(180°/teeth), less a
// roller (both standards). The one that fits best comes first.
func ChainsThatFit(s Seats) []Chain {
	if s.Teeth < leastTeeth || !(s.RootMM > 0 && s.DiameterMM > 0) {
		return nil
	}
	type fitting struct {
		Chain
		off float64
	}
	var list []fitting
	for _, c := range chains() {
		ideal := c.PitchMM/math.Sin(math.Pi/float64(s.Teeth)) - c.RollerMM
		slack := chainPitchShare*c.PitchMM + chainRootShare*s.RootMM + s.RootU95
		low, high := seatLeast*c.RollerMM-s.DiameterU95, seatMost*c.RollerMM+s.DiameterU95
		if off := math.Abs(s.RootMM - ideal); off <= slack && s.DiameterMM >= low && s.DiameterMM <= high {
			list = append(list, fitting{c, off/slack + math.Abs(s.DiameterMM/c.RollerMM-1)})
		}
	}
	slices.SortStableFunc(list, func(a, b fitting) int { return cmp.Compare(a.off, b.off) })
	var out []Chain
	for _, f := range list {
		out = append(out, f.Chain)
	}
	return out
}

// Seats returns those of a wheel whose teeth have round seats, all lengths times
// scale.
func (e *Element) Seats(scale float64) (Seats, bool) {
	var s Seats
	root, diameter := e.dimension("root_diameter_mm"), e.dimension("seat_diameter_mm")
	n, ok := e.Dim("tooth_count")
	if e.Kind != "toothed_wheel" || !ok || !(root.Value > 0 && diameter.Value > 0) {
		return s, false
	}
	return Seats{int(n), scale * root.Value, scale * root.U95, scale * diameter.Value, scale * diameter.U95}, true
}

func (e *Element) dimension(key string) Dimension {
	for _, d := range e.Dims {
		if d.Key == key {
			return d
		}
	}
	return Dimension{}
}
