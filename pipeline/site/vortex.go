package site

import "math"

// Vortex is a tube at which eddies may come in step with the frame.
type Vortex struct {
	ID          string  `json:"id"`
	DiameterMM  float64 `json:"diameter_mm"`
	FrequencyHz float64 `json:"frequency_hz"`
	CriticalMPS float64 `json:"critical_mps"` // speed at which they come in step
	LimitMPS    float64 `json:"limit_mps"`    // up to which it matters
	Basis       string  `json:"basis"`
}

// Strouhal number of a circular cylinder, EN 1991-1-4 table E.1; slender is longer
// than six diameters, and the window ends at 1.25 times the speed at the piece's top
// (E.1.2). All from memory.
const (
	strouhal      = 0.18
	slenderVortex = 6.0
	windowVortex  = 1.25
)

// vortexOf lists slender round pieces and frequencies of the frame that meet in a wind
// of the site. Fatigue that follows from it is not checked.
func vortexOf(pieces []Piece, p Pressure, frequenciesHz []float64) []Vortex {
	var out []Vortex
	for _, piece := range pieces {
		d, length := piece.widthMM(), piece.reachMM()
		if !piece.rounded() || piece.Part.Kind == "sphere" || !(length > slenderVortex*d) {
			continue
		}
		_, top := piece.heights()
		limit := windowVortex * p.SpeedAt(top)
		for _, f := range frequenciesHz {
			if critical := f * d / 1000 / strouhal; critical <= limit {
				out = append(out, Vortex{ID: piece.Part.ID, DiameterMM: d, FrequencyHz: f, CriticalMPS: critical, LimitMPS: limit,
					Basis: "EN 1991-1-4 E.1, Strouhal number 0.18 (from memory); a frequency of the frame, not of the piece alone"})
			}
		}
	}
	return out
}

// reachMM is the longest side of a piece's box.
func (p Piece) reachMM() float64 {
	if l, ok := p.Part.Size("length_mm"); ok {
		return l
	}
	if len(p.PointsMM) == 0 {
		return 0
	}
	lo, hi := p.PointsMM[0], p.PointsMM[0]
	for _, x := range p.PointsMM {
		lo.X, lo.Y, lo.Z = min(lo.X, x.X), min(lo.Y, x.Y), min(lo.Z, x.Z)
		hi.X, hi.Y, hi.Z = max(hi.X, x.X), max(hi.Y, x.Y), max(hi.Z, x.Z)
	}
	return math.Max(hi.X-lo.X, math.Max(hi.Y-lo.Y, hi.Z-lo.Z))
}
