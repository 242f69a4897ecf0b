package site

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// Openings in which people may be trapped: CPSC Public Playground Safety Handbook (pub.
// 325), 3.5 and 9 in for heads; 3/8 and 1 in for fingers (Caring for Our Children
// 6.2.1.9).
const (
	headLowMM, headHighMM     = 88.9, 228.6
	fingerLowMM, fingerHighMM = 9.525, 25.4
)

// vDeg: two long pieces that meet at less than this make a V in which a head or neck is
// held (CPSC pub. 325, from memory).
const vDeg = 55.0

// Access is what a visitor may get caught in.
type Access struct {
	Preliminary string    `json:"preliminary"`
	Code        string    `json:"code"`
	Basis       []string  `json:"basis"`
	NotCovered  []string  `json:"not_covered"`
	Openings    []Opening `json:"openings"` // those in a range, by piece
}

// Opening is one place in a published range, or several alike of one piece.
type Opening struct {
	ID       string  `json:"id"`
	With     string  `json:"with,omitempty"` // the other piece of a V
	What     string  `json:"what"`
	Count    int     `json:"count"`
	AcrossMM float64 `json:"across_mm,omitempty"` // between opposing surfaces
	AngleDeg float64 `json:"angle_deg,omitempty"`
	LowestMM float64 `json:"lowest_mm"` // height of the lowest over the ground
	Traps    string  `json:"traps"`     // head, finger
	Reached  bool    `json:"reached"`   // within reach from the ground
}

// Openings looks at holes, bores, gaps of coils and teeth, and V's of contacts. reachMM
// is how high people get from the ground.
func Openings(pieces []Piece, contacts []stock.Contact, reachMM float64) Access {
	a := Access{Preliminary: preliminary, Code: "CPSC pub. 325, borrowed from playgrounds: there is no standard for sculpture; the site's own risk assessment decides",
		Basis:      []string{"head: over 89 and under 229 mm between opposing surfaces; finger: 9.5 to 25.4 mm", fmt.Sprintf("reach: %.0f mm over the ground", reachMM)},
		NotCovered: []string{"openings bounded by several pieces, other standing surfaces than the ground, sharp edges, protrusions, ledges, hot surfaces"}, Openings: []Opening{}}
	for _, p := range pieces {
		a.Openings = append(a.Openings, p.openings(reachMM)...)
	}
	for _, c := range contacts {
		a.vee(pieces, c, reachMM)
	}
	return a
}

// traps names what a width holds; empty for none.
func traps(acrossMM float64) string {
	switch {
	case acrossMM > headLowMM && acrossMM < headHighMM:
		return "head"
	case acrossMM >= fingerLowMM && acrossMM <= fingerHighMM:
		return "finger"
	}
	return ""
}

// openings of one piece: like ones are one entry.
func (p Piece) openings(reachMM float64) []Opening {
	var out []Opening
	low, _, _ := p.lowest(0)
	add := func(what string, across, height float64) {
		t := traps(across)
		if t == "" {
			return
		}
		for i := range out {
			if o := &out[i]; o.What == what && o.Traps == t && math.Abs(o.AcrossMM-across) <= 0.5 {
				o.Count, o.LowestMM = o.Count+1, min(o.LowestMM, height)
				o.Reached = o.LowestMM <= reachMM
				return
			}
		}
		out = append(out, Opening{ID: p.Part.ID, What: what, Count: 1, AcrossMM: across, LowestMM: height, Traps: t, Reached: height <= reachMM})
	}
	for _, h := range p.Part.Holes {
		height := low
		if p.Part.Kind != "rolled_plate" { // its holes are given on the developed surface
			height = p.Part.Frame.Point(h.CentreMM[0], h.CentreMM[1], 0).Z
		}
		add("hole", holeAcrossMM(h), height)
	}
	x := measured{part: p.Part}
	switch p.Part.Kind {
	case "ring":
		inside := x.maybe("inside_diameter_mm")
		if p.Part.Section == "round" {
			inside = x.maybe("centreline_diameter_mm") - x.maybe("section_diameter_mm")
		}
		add("ring", inside, low)
	case "toothed_wheel":
		add("bore", x.maybe("bore_diameter_mm"), low)
		if n := x.maybe("tooth_count"); n > 0 { // a tooth is half its pitch where it was not measured
			pitch := math.Pi * (x.maybe("tip_diameter_mm") + x.maybe("root_diameter_mm")) / 2 / n
			wide := x.maybe("tooth_width_mm")
			if wide == 0 {
				wide = pitch / 2
			}
			add("gap between teeth", pitch-wide, low)
		}
	case "coil":
		round, pitch := math.Pi*x.maybe("centreline_diameter_mm"), x.maybe("pitch_mm")
		if round > 0 && x.maybe("turns") > 1 {
			add("gap between turns", pitch*round/math.Hypot(round, pitch)-x.maybe("section_diameter_mm"), low)
		}
	case "tube":
		for _, e := range p.Part.Ends {
			if !e.Met && e.Kind != "hidden" {
				height := low
				if e.Out != (r3.Vec{}) {
					height = e.AtMM.Z
				}
				add("open end", x.maybe("inside_diameter_mm"), height)
			}
		}
	}
	return out
}

func (m *measured) maybe(key string) float64 {
	x, _ := m.part.Size(key)
	return x
}

// holeAcrossMM is the least distance between opposing surfaces of a hole: of a diamond
// between its parallel sides, of another outline its least width over all directions of its sides.
func holeAcrossMM(h stock.Hole) float64 {
	long, short := h.AcrossMM[0], h.AcrossMM[1]
	switch {
	case h.Shape == "round":
		return h.DiameterMM
	case h.Shape == "diamond" && long > 0:
		return long * short / math.Hypot(long, short)
	case short > 0 || len(h.Outline) == 0:
		return short
	}
	points := flattened(h.Outline)
	least := math.Inf(1)
	for i, p := range points {
		q := points[(i+1)%len(points)]
		l := math.Hypot(q[0]-p[0], q[1]-p[1])
		if l == 0 {
			continue
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, r := range points {
			d := ((q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0])) / l
			lo, hi = min(lo, d), max(hi, d)
		}
		least = min(least, hi-lo)
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}

// vee adds a contact of two long pieces that meet at a narrow angle.
func (a *Access) vee(pieces []Piece, c stock.Contact, reachMM float64) {
	if c.A < 0 || c.B < 0 || c.A >= len(pieces) || c.B >= len(pieces) || !(c.AngleDeg > 1 && c.AngleDeg < vDeg) || len(c.Seam) == 0 {
		return
	}
	for _, p := range []Piece{pieces[c.A], pieces[c.B]} {
		if k := p.Part.Kind; k != "tube" && k != "bar" && k != "profile" {
			return
		}
	}
	low := math.Inf(1)
	for _, x := range c.Seam {
		low = min(low, x.PointMM.Z)
	}
	a.Openings = append(a.Openings, Opening{ID: pieces[c.A].Part.ID, With: pieces[c.B].Part.ID, What: "V between two pieces", Count: 1, AngleDeg: c.AngleDeg,
		LowestMM: low, Traps: "head", Reached: low <= reachMM})
}
