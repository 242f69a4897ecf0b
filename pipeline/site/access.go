package site

import (
	"cmp"
	"fmt"
	"math"
	"slices"

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

// vDeg: two surfaces that meet at less than this make a V in which a head or neck is
// held (CPSC pub. 325, 3.3 and figure 5).
const vDeg = 55.0

// Access is what a visitor may be caught, cut, burnt by or fall from.
type Access struct {
	Preliminary string       `json:"preliminary"`
	Code        string       `json:"code"`
	Basis       []string     `json:"basis"`
	NotCovered  []string     `json:"not_covered"`
	Openings    []Opening    `json:"openings"` // those in a range: of pieces, then between them
	Trapping    int          `json:"trapping"` // openings and V's for a head within reach: what the gate counts
	Ledges      []Ledge      `json:"ledges"`   // footholds, lowest first
	ClimbMM     float64      `json:"climb_mm"` // highest foothold that is reached from the ground
	FallMM      float64      `json:"fall_mm"`  // from the highest standing surface that is reached
	Protrusions []Protrusion `json:"protrusions"`
	Edges       []SharpEdges `json:"edges"`
	Metal       *InTheSun    `json:"metal,omitempty"`
	Shadows     []Shadow     `json:"-"` // for drawings
}

// Opening is one place in a published range, or several alike of one piece.
type Opening struct {
	ID       string     `json:"id"`
	With     string     `json:"with,omitempty"` // the other piece
	What     string     `json:"what"`
	Count    int        `json:"count"`
	AcrossMM float64    `json:"across_mm,omitempty"` // between opposing surfaces
	AngleDeg float64    `json:"angle_deg,omitempty"`
	LowestMM float64    `json:"lowest_mm"` // height of the lowest over the ground
	AtMM     [3]float64 `json:"at_mm"`     // the lowest
	Bounded  string     `json:"bounded"`   // all round, or partly
	Traps    string     `json:"traps"`     // head, finger
	Reached  bool       `json:"reached"`   // from the ground or from a surface on which people stand
}

// accessTo looks for what the flood's columns, the pieces' sizes and the room between
// them tell. groundMM is how high people get from the ground.
func accessTo(pieces []Piece, contacts []stock.Contact, f *flooded, groundMM float64) Access {
	a := Access{Preliminary: preliminary, Code: "CPSC pub. 325, ASTM F1487, EN 1176-1, borrowed from playgrounds for want of a standard for sculpture; the site's own risk assessment decides",
		Basis: []string{"head: over 89 and under 229 mm between opposing surfaces, V's under 55 degrees that open upwards; finger: 9.5 to 25.4 mm",
			fmt.Sprintf("reach: %.0f mm over the ground, %.0f mm over every surface on which people can stand and %.0f mm beside it", groundMM, reachOverMM, reachAsideMM),
			"standing surface: over 2 × 2 in, under 30 degrees (CPSC pub. 325); foothold: 15 mm deep and 50 mm long (from memory); climbed from one to the next up to 45 in (CPSC pub. 362) and 600 mm aside",
			"protrusions: ring gauges of 12.7, 25.4 and 38.1 mm, 6.4, 12.7 and 19 mm thick (from memory)", edgeBasis()},
		NotCovered: []string{"finger gaps between pieces, openings that change when something moves or bends, loops for cords and scarves, glass, water, electricity, things to trip over"},
		Openings:   []Opening{}, Protrusions: []Protrusion{}, Edges: []SharpEdges{}, Shadows: shadowsOf(pieces), Ledges: f.ledgesOf(pieces)}
	r := grasp{groundMM, a.Ledges}
	for _, l := range a.Ledges {
		if l.Reached {
			a.ClimbMM = max(a.ClimbMM, l.HeightMM)
			if l.Stands {
				a.FallMM = max(a.FallMM, l.HeightMM)
			}
		}
	}
	for _, p := range pieces {
		a.Openings = append(a.Openings, p.openings(r)...)
		a.Protrusions = append(a.Protrusions, p.protrusions(r)...)
		if e, ok := p.sharpEdges(r); ok {
			a.Edges = append(a.Edges, e)
		}
	}
	for _, c := range contacts {
		a.vee(pieces, c, r)
	}
	a.between(pieces, r)
	sortBy(a.Edges, func(e SharpEdges) float64 { return -e.EdgeM })
	for _, o := range a.Openings {
		if o.Reached && o.Traps == "head" {
			a.Trapping += o.Count
		}
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
func (p Piece) openings(r grasp) []Opening {
	var out []Opening
	low, _, _ := p.lowest(0)
	place := p.Part.Frame.OriginMM
	place.Z = low
	add := func(what string, across float64, at r3.Vec) {
		t := traps(across)
		if t == "" {
			return
		}
		reached := r.touches(at.X, at.Y, at.Z)
		for i := range out {
			if o := &out[i]; o.What == what && o.Traps == t && o.Reached == reached && math.Abs(o.AcrossMM-across) <= 0.5 {
				if o.Count++; at.Z < o.LowestMM {
					o.LowestMM, o.AtMM = at.Z, [3]float64{at.X, at.Y, at.Z}
				}
				return
			}
		}
		out = append(out, Opening{ID: p.Part.ID, What: what, Count: 1, AcrossMM: across, LowestMM: at.Z, AtMM: [3]float64{at.X, at.Y, at.Z}, Bounded: "all round", Traps: t, Reached: reached})
	}
	for _, h := range p.Part.Holes {
		at := place
		if p.Part.Kind != "rolled_plate" { // its holes are given on the developed surface
			at = p.Part.Frame.Point(h.CentreMM[0], h.CentreMM[1], 0)
		}
		add("hole", holeAcrossMM(h), at)
	}
	x := measured{part: p.Part}
	switch p.Part.Kind {
	case "ring":
		inside := x.maybe("inside_diameter_mm")
		if p.Part.Section == "round" {
			inside = x.maybe("centreline_diameter_mm") - x.maybe("section_diameter_mm")
		}
		add("ring", inside, place)
	case "toothed_wheel":
		add("bore", x.maybe("bore_diameter_mm"), p.Part.Frame.OriginMM)
		if n := x.maybe("tooth_count"); n > 0 { // a tooth is half its pitch where it was not measured
			pitch := math.Pi * (x.maybe("tip_diameter_mm") + x.maybe("root_diameter_mm")) / 2 / n
			wide := x.maybe("tooth_width_mm")
			if wide == 0 {
				wide = pitch / 2
			}
			add("gap between teeth", pitch-wide, place)
		}
	case "coil":
		round, pitch := math.Pi*x.maybe("centreline_diameter_mm"), x.maybe("pitch_mm")
		if round > 0 && x.maybe("turns") > 1 {
			add("gap between turns", pitch*round/math.Hypot(round, pitch)-x.maybe("section_diameter_mm"), place)
		}
	case "tube":
		for _, e := range p.Part.Ends {
			if !e.Met && e.Kind != "hidden" {
				at := place
				if e.Out != (r3.Vec{}) {
					at = e.AtMM
				}
				add("open end", x.maybe("inside_diameter_mm"), at)
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
func (a *Access) vee(pieces []Piece, c stock.Contact, r grasp) {
	if c.A < 0 || c.B < 0 || c.A >= len(pieces) || c.B >= len(pieces) || !(c.AngleDeg > 1 && c.AngleDeg < vDeg) || len(c.Seam) == 0 {
		return
	}
	for _, p := range []Piece{pieces[c.A], pieces[c.B]} {
		if k := p.Part.Kind; k != "tube" && k != "bar" && k != "profile" {
			return
		}
	}
	low := c.Seam[0].PointMM
	for _, x := range c.Seam {
		if x.PointMM.Z < low.Z {
			low = x.PointMM
		}
	}
	a.Openings = append(a.Openings, Opening{ID: pieces[c.A].Part.ID, With: pieces[c.B].Part.ID, What: "V between two pieces", Count: 1, AngleDeg: c.AngleDeg,
		LowestMM: low.Z, AtMM: [3]float64{low.X, low.Y, low.Z}, Bounded: "partly", Traps: "head", Reached: r.touches(low.X, low.Y, low.Z)})
}

// between adds openings that several pieces bound, and V's that open upwards, up to where
// anybody reaches. What one piece bounds by itself is told from its sizes, but for bent,
// rolled and unknown pieces.
func (a *Access) between(pieces []Piece, r grasp) {
	c, ok := clearanceOf(pieces, r.topMM(), headHighMM/2+cubeMM)
	if !ok {
		if len(pieces) > 0 {
			a.NotCovered = append(a.NotCovered, "openings between pieces: the work is too large for cubes that would show them")
		}
		return
	}
	a.Basis = append(a.Basis, fmt.Sprintf("openings between pieces: room in cubes of %.0f mm, widths between the surfaces themselves; one that touches the ground is free there", c.pitch))
	first := len(a.Openings)
	for _, t := range straitsOf(&c) {
		t.refined(pieces)
		p, q := pieces[min(t.a.piece, t.b.piece)], pieces[max(t.a.piece, t.b.piece)]
		o := Opening{ID: p.Part.ID, Count: 1, LowestMM: t.atMM.Z, AtMM: [3]float64{t.atMM.X, t.atMM.Y, t.atMM.Z}, Traps: "head", Reached: r.touches(t.atMM.X, t.atMM.Y, t.atMM.Z)}
		if t.a.piece != t.b.piece {
			o.With = q.Part.ID
		} else if k := p.Part.Kind; k != "arc" && k != "freeform" && k != "rolled_plate" && k != "profile" {
			continue
		}
		switch {
		case t.doors >= 2 && traps(t.acrossMM) == "head":
			o.What, o.Bounded, o.AcrossMM = "opening between pieces", "all round", t.acrossMM
		case t.doors == 1 && t.angleDeg > 1 && t.angleDeg < vDeg && t.opens.Z > upwardSine*r3.Norm(t.opens) && !a.knows(o):
			o.What, o.Bounded, o.AngleDeg = "V between two pieces", "partly", t.angleDeg
		default:
			continue
		}
		a.Openings = append(a.Openings, o)
	}
	slices.SortStableFunc(a.Openings[first:], func(x, y Opening) int {
		return cmp.Or(cmp.Compare(x.LowestMM, y.LowestMM), cmp.Compare(x.ID, y.ID), cmp.Compare(x.With, y.With))
	})
}

// knows tells whether the V of two pieces is listed.
func (a *Access) knows(o Opening) bool {
	return slices.ContainsFunc(a.Openings, func(x Opening) bool { return x.AngleDeg > 0 && x.ID == o.ID && x.With == o.With })
}
