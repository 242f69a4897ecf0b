package site

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
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
	HoldsL    float64 `json:"holds_l,omitempty"` // rain, where an open end of a straight tube looks up and nothing drains
	Advice    string  `json:"advice"`
	LowestMM  float64 `json:"lowest_mm"`
	HighestMM float64 `json:"highest_mm"`
	insideMM2 float64
	rains     bool // an open end looks up
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
		h.HoldsL, h.rains = p.holds(b)
		h.Closed = h.OpenEnds == 0 && len(p.Part.Holes) == 0
		h.VentMM = max(ventLeastMM, math.Ceil(ventShare*b.diagonalMM))
		h.VentCount = 1
		if b.volumeMM3 > ventVolume {
			h.VentMM, h.VentCount = max(h.VentMM, 50), int(math.Ceil(b.volumeMM3/ventVolume))
		}
		h.Advice = h.advice()
		out = append(out, h)
	}
	return out
}

// holds is what a straight tube keeps below the brim of its open end, the other end being
// shut: the bore's area times the length of its axis under the level of the brim. rains
// says that an open end looks up.
func (p Piece) holds(b boredSection) (litres float64, rains bool) {
	open := 0
	var up stock.End
	for _, e := range p.Part.Ends {
		if e.Met || e.Kind == "hidden" {
			continue
		}
		open++
		if e.Out.Z > upwardSine {
			up, rains = e, true
		}
	}
	axis := p.Part.Frame.Axis
	if !rains || open > 1 || p.Part.Kind != "tube" || math.Abs(axis.Z) < upwardSine {
		return 0, rains
	}
	if axis.Z < 0 {
		axis = r3.Scale(-1, axis)
	}
	u := r3.Unit(r3.Cross(axis, leastOf(axis)))
	v := r3.Cross(axis, u)
	brim := math.Inf(1)
	for k := range 72 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 72)
		w := r3.Scale(b.boreMM/2, r3.Add(r3.Scale(cos, u), r3.Scale(sin, v)))
		brim = min(brim, w.Z-r3.Dot(up.Out, w)/r3.Dot(up.Out, axis)*axis.Z)
	}
	return b.areaMM2 * max(min(b.axisMM+brim/axis.Z, b.axisMM), 0) / 1e6, rains
}

// leastOf is the axis of SITE that is least parallel to a direction.
func leastOf(d r3.Vec) r3.Vec {
	switch x, y, z := math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z); {
	case x <= y && x <= z:
		return r3.Vec{X: 1}
	case y <= z:
		return r3.Vec{Y: 1}
	}
	return r3.Vec{Z: 1}
}

func (h Hollow) advice() string {
	if h.Closed {
		return fmt.Sprintf("seal with welds all round, or drain at its lowest point and vent at its highest; never galvanise it closed: water in it bursts it. For galvanising %d hole of %.0f mm at each end, as near the end as can be, opposite each other",
			h.VentCount, h.VentMM)
	}
	if h.HoldsL > 0 {
		return fmt.Sprintf("open to the rain, holds up to %.1f l: close the end with a plate, or drill a drain of %.0f mm at its lowest point", h.HoldsL, min(drainMM, h.BoreMM/2))
	}
	if h.rains {
		return "open to the rain: close the end with a plate, or drill a drain at its lowest point"
	}
	return "open ends do not look up: leave them open to drain, or close them all round"
}

// upwardSine is that of the slope from which rain falls into an open end.
const upwardSine = 0.1
