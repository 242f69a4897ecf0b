package site

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// PlateStrip is a bound on what a joint does to a plate, disc or wheel that the frame
// takes as rigid: a strip as wide as the seam reaches takes the whole moment across the
// plate and the whole force. Metal beside it helps in truth.
type PlateStrip struct {
	ID          string   `json:"id"`
	With        string   `json:"with"`
	WidthMM     float64  `json:"width_mm"`
	ThickMM     float64  `json:"thickness_mm"`
	BendingNMM  float64  `json:"bending_nmm"`
	ForceN      float64  `json:"force_n"`
	StressMPa   float64  `json:"stress_mpa"`
	AllowMPa    float64  `json:"allow_mpa"`
	Utilisation float64  `json:"utilisation"`
	Combination string   `json:"combination,omitempty"`
	TowardsDeg  *float64 `json:"towards_deg,omitempty"`
	joint       int
	normal      r3.Vec
	corners     []r3.Vec // of the seam
}

// thickMM is the thickness of a flat piece, square to its axis; 0 of others.
func (p Piece) thickMM() float64 {
	switch p.Part.Kind {
	case "plate", "disc", "toothed_wheel", "ring":
		t, _ := p.Part.Size("thickness_mm")
		return t
	}
	return 0
}

// plateStrips are all joints of rigid flat pieces.
func (s *Structure) plateStrips(allow float64) []PlateStrip {
	var out []PlateStrip
	for i, p := range s.Pieces {
		t := p.thickMM()
		if len(s.BeamsOf[i]) > 0 || !(t > 0) {
			continue
		}
		for k, j := range s.Joints {
			if other := j.A + j.B - i; j.A == i || j.B == i {
				out = append(out, PlateStrip{ID: p.Part.ID, With: s.Pieces[other].Part.ID, ThickMM: t, AllowMPa: allow, joint: k, normal: p.Part.Frame.Axis, corners: j.Seam})
			}
		}
	}
	return out
}

func (x *PlateStrip) worse(s *Structure, c Combination, towards *float64, sol Solution) {
	w := sol.Links[s.Joints[x.joint].Link]
	bend := r3.Sub(w.MomentNMM, r3.Scale(r3.Dot(w.MomentNMM, x.normal), x.normal))
	m, f := r3.Norm(bend), r3.Norm(w.ForceN)
	width := x.ThickMM
	if m > 0 {
		width = max(width, reach(x.corners, r3.Scale(1/m, bend)))
	}
	stress := 6*m/(width*x.ThickMM*x.ThickMM) + f/(width*x.ThickMM)
	if stress > x.StressMPa {
		x.WidthMM, x.BendingNMM, x.ForceN, x.StressMPa, x.Utilisation = width, m, f, stress, stress/x.AllowMPa
		x.Combination, x.TowardsDeg = c.Name, towards
	}
}

// reach of points along a direction.
func reach(points []r3.Vec, way r3.Vec) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range points {
		d := r3.Dot(p, way)
		lo, hi = min(lo, d), max(hi, d)
	}
	return max(hi-lo, 0)
}

// worstPlates keeps the worst joint of each piece.
func worstPlates(all []PlateStrip) []PlateStrip {
	out := []PlateStrip{}
	for _, x := range all {
		if n := len(out); n > 0 && out[n-1].ID == x.ID {
			if x.StressMPa > out[n-1].StressMPa {
				out[n-1] = x
			}
			continue
		}
		out = append(out, x)
	}
	return out
}
