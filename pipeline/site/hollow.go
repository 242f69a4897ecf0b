package site

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Hollow is a piece with a bore: closed all round, or open to the weather.
type Hollow struct {
	ID        string  `json:"id"`
	BoreMM    float64 `json:"bore_mm"` // of a box the smaller side inside
	VolumeL   float64 `json:"volume_l"`
	InsideM2  float64 `json:"inside_m2"`
	Closed    bool    `json:"closed"`
	OpenEnds  int     `json:"open_ends"`
	VentMM    float64 `json:"vent_mm"` // least hole at each end for galvanising
	VentCount int     `json:"vent_count"`
	Advice    string  `json:"advice"`
	LowestMM  float64 `json:"lowest_mm"`
	HighestMM float64 `json:"highest_mm"`
	insideMM2 float64
}

// boredSection is the inside of a hollow piece: its section and the length of its axis.
type boredSection struct {
	boreMM, areaMM2, roundMM, wallMM, axisMM float64
	diagonalMM                               float64 // of the outside of the section
	endless                                  bool    // a ring, a ball: it has no ends
	volumeMM3, insideMM2                     float64
}

// hollow is what a piece encloses; false where it is solid or its sizes are not
// known. Volumes by Pappus' rule; ends are square to the axis or cut about it.
func (p Piece) hollow() (boredSection, bool) {
	x := measured{part: p.Part}
	var b boredSection
	round := func(od, bore, axis float64) {
		b = boredSection{boreMM: bore, areaMM2: math.Pi / 4 * bore * bore, roundMM: math.Pi * bore, wallMM: (od - bore) / 2, axisMM: axis, diagonalMM: od}
	}
	section := func() (float64, float64) { return x.maybe("section_diameter_mm"), x.maybe("section_bore_mm") }
	switch p.Part.Kind {
	case "tube":
		round(x.maybe("outside_diameter_mm"), x.maybe("inside_diameter_mm"), x.maybe("length_mm"))
	case "arc", "coil":
		od, bore := section()
		round(od, bore, x.maybe("developed_length_mm"))
	case "ring":
		od, bore := section()
		round(od, bore, math.Pi*x.maybe("centreline_diameter_mm"))
		b.endless = true
	case "sphere":
		d, t := x.maybe("diameter_mm"), x.maybe("wall_mm")
		in := d - 2*t
		if !(t > 0 && in > 0) {
			return b, false
		}
		return boredSection{boreMM: in, wallMM: t, diagonalMM: d, endless: true, volumeMM3: math.Pi / 6 * in * in * in, insideMM2: math.Pi * in * in}, true
	case "profile":
		if t := p.Size.WallMM; p.Size.Form == "box" && t > 0 {
			h, w := p.Size.HeightMM-2*t, p.Size.WidthMM-2*t
			b = boredSection{boreMM: min(h, w), areaMM2: h * w, roundMM: 2 * (h + w), wallMM: t, axisMM: x.maybe("length_mm"), diagonalMM: math.Hypot(p.Size.HeightMM, p.Size.WidthMM)}
		}
	}
	b.volumeMM3, b.insideMM2 = b.areaMM2*b.axisMM, b.roundMM*b.axisMM
	return b, b.boreMM > 0 && b.wallMM > 0 && b.axisMM > 0
}

// Vent holes for galvanising: Galvanizers Association of Australia, design manual,
// structural sections: at each end, of a quarter of the section's diagonal, 10 mm at
// least, and one of 50 mm for every half cubic metre; two of the same area serve too.
const (
	ventShare   = 0.25
	ventLeastMM = 10.0
	ventVolume  = 0.5e9
)

// hollowsOf lists the pieces with a bore. An end that stands on another piece is
// closed by it (stock.MeetEnds), one that nobody saw too.
func hollowsOf(pieces []Piece) []Hollow {
	out := []Hollow{}
	for _, p := range pieces {
		b, ok := p.hollow()
		if !ok {
			continue
		}
		h := Hollow{ID: p.Part.ID, BoreMM: b.boreMM, VolumeL: b.volumeMM3 / 1e6, InsideM2: b.insideMM2 / 1e6, insideMM2: b.insideMM2}
		h.LowestMM, h.HighestMM = p.heights()
		for _, e := range p.Part.Ends {
			if !b.endless && !e.Met && e.Kind != "hidden" {
				h.OpenEnds++
			}
		}
		h.Closed = h.OpenEnds == 0 && len(p.Part.Holes) == 0
		h.VentMM = max(ventLeastMM, math.Ceil(ventShare*b.diagonalMM))
		h.VentCount = 1
		if b.volumeMM3 > ventVolume {
			h.VentMM, h.VentCount = max(h.VentMM, 50), int(math.Ceil(b.volumeMM3/ventVolume))
		}
		h.Advice = h.advice(p)
		out = append(out, h)
	}
	return out
}

func (h Hollow) advice(p Piece) string {
	if h.Closed {
		return fmt.Sprintf("seal with welds all round, or drain at its lowest point and vent at its highest; never galvanise it closed: water in it bursts it. For galvanising %d hole of %.0f mm at each end, as near the end as can be, opposite each other",
			h.VentCount, h.VentMM)
	}
	up := false
	for _, e := range p.Part.Ends {
		if !e.Met && e.Kind != "hidden" && e.Out != (r3.Vec{}) && e.Out.Z > upwardSine {
			up = true
		}
	}
	if up {
		return "open to the rain: close the end with a plate, or drill a drain at its lowest point"
	}
	return "open ends do not look up: leave them open to drain, or close them all round"
}

// upwardSine is that of the slope from which rain falls into an open end.
const upwardSine = 0.1
