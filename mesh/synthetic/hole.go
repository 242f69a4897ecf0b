package synthetic

import (
	"fmt"
	"math"
)

// Hole is an opening through a plate-like shape, in the frame its outline is
// drawn in.
type Hole struct {
	Shape      string     `json:"shape"`     // round, slot, diamond, rectangle or other
	CentreMM   [2]float64 `json:"centre_mm"` // u, v; other: the origin of Outline
	DiameterMM float64    `json:"diameter_mm,omitempty"`
	AcrossMM   [2]float64 `json:"across_mm"`         // long, short: over all; a diamond's diagonals
	AngleDeg   float64    `json:"angle_deg"`         // of the long way from u
	Outline    []Step     `json:"outline,omitempty"` // other: about CentreMM, turned by AngleDeg
}

// RoundHole is a round hole.
func RoundHole(x, y, diameterMM float64) Hole {
	return Hole{Shape: "round", CentreMM: [2]float64{x, y}, DiameterMM: diameterMM}
}

// LongHole is a slot, diamond or rectangle, its long way turned from x.
func LongHole(shape string, x, y, longMM, shortMM, angleDeg float64) Hole {
	return Hole{Shape: shape, CentreMM: [2]float64{x, y}, AcrossMM: [2]float64{longMM, shortMM}, AngleDeg: angleDeg}
}

// loop returns the hole's edge, clockwise.
func (h Hole) loop(of string) (loop, error) {
	of += ": " + h.Shape + " hole"
	if h.Shape == "round" {
		return circle(h.CentreMM[0], h.CentreMM[1], h.DiameterMM/2).wound(true), positive(of, "diameter", h.DiameterMM)
	}
	outline, err := h.outline(of)
	if err != nil {
		return nil, err
	}
	l, err := loopOf(of, moved(outline, h.CentreMM, rad(h.AngleDeg)))
	if err != nil {
		return nil, err
	}
	return l.wound(true), nil
}

// outline returns the hole's steps before it is turned and moved.
func (h Hole) outline(of string) ([]Step, error) {
	if h.Shape == "other" {
		return h.Outline, nil
	}
	l, s := h.AcrossMM[0]/2, h.AcrossMM[1]/2
	if err := positive(of, "short way", 2*s); err != nil {
		return nil, err
	}
	if !(l >= s && l <= 1e6) || (h.Shape == "slot" && l == s) {
		return nil, fmt.Errorf("%s: %g mm long, %g mm across; the long way comes first", of, 2*l, 2*s)
	}
	switch h.Shape {
	case "rectangle":
		return Rectangle(2*l, 2*s), nil
	case "diamond":
		return Polygon([2]float64{-l, 0}, [2]float64{0, -s}, [2]float64{l, 0}, [2]float64{0, s}), nil
	case "slot":
		m := l - s
		return []Step{Line(m, -s), ArcVia(l, 0, m, s), Line(-m, s), ArcVia(-l, 0, -m, -s)}, nil
	}
	return nil, fmt.Errorf("%s: no such shape; choose round, slot, diamond, rectangle or other", of)
}

// moved turns an outline by an angle about its origin, then moves it.
func moved(outline []Step, by [2]float64, angle float64) []Step {
	s, c := math.Sincos(angle)
	turn := func(p [2]float64) [2]float64 {
		return [2]float64{by[0] + c*p[0] - s*p[1], by[1] + s*p[0] + c*p[1]}
	}
	out := make([]Step, len(outline))
	for i, o := range outline {
		out[i] = Step{To: turn(o.To), Arc: o.Arc}
		if o.Arc {
			out[i].Via = turn(o.Via)
		}
	}
	return out
}

// region joins an outer loop and holes, each wound for its side.
func region(of string, outer loop, holes []Hole) ([]loop, error) {
	out := []loop{outer.wound(false)}
	for _, h := range holes {
		l, err := h.loop(of)
		if err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	return out, nil
}
