package shop

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// Remedy is what takes the place of a tack that does not scale: a proposal with
// its size, for an engineer to design.
type Remedy struct {
	Kind       string  // sleeve, pin, slot-through or hidden gusset
	LengthMM   float64 // sleeve, pin: into each part; slot, gusset: along the part
	DiameterMM float64 // of a sleeve or pin
	ThickMM    float64 // wall of a sleeve, plate of a gusset or tab
	Why        string
}

// judge checks the seam against what hangs on it and proposes what helps.
func (j *WeldJoint) judge(parts []stock.Part, thickMM []float64, opt JointOptions) {
	h := &j.Hangs
	if h.Part < 0 || h.MassKG == 0 || j.ThickMM == 0 {
		return
	}
	weight := h.MassKG * gravity
	allowed := 0.30 * opt.WeldMPa
	why := ""
	stress := lineStress(j.Seam, r3.Vec{Z: -weight}, h.CentreMM)
	least := max(opt.SeamLeastMM, 4*j.LegMM) // four legs: least effective length, AWS D1.1, from memory
	switch free := j.LengthMM - j.TightMM; {
	case math.IsInf(stress, 0):
		why = "the parts meet in a point, or too sharply for any weld"
	case stress/allowed > opt.UseMost:
		why = fmt.Sprintf("dead weight alone uses %.0f %% of what the seam may carry", 100*stress/allowed)
	case free < least:
		why = fmt.Sprintf("%.0f mm of seam is a tack; the least is %.0f mm", free, least)
	}
	if !math.IsInf(stress, 0) {
		h.StressMPa, h.Use = stress, stress/allowed
	}
	if why == "" {
		return
	}
	arm := r3.Norm(r3.Cross(r3.Sub(h.CentreMM, j.AtMM), r3.Vec{Z: 1}))
	near := j.A + j.B - h.Part
	r := fitRemedy(parts[h.Part], parts[near], thickMM[h.Part], weight, weight*arm, j.ThickMM, opt)
	r.Why = why
	j.Remedy = &r
}

// fitRemedy chooses by what the hanging part is: a sleeve in a bore, a pin in a
// bar, a tab through a slot for a plate on a plate or tube, else a hidden gusset.
// Forces in N, moments in N·mm.
func fitRemedy(far, near stock.Part, farThickMM, shear, moment, thickMM float64, opt JointOptions) Remedy {
	bend := 0.6 * opt.YieldMPa * opt.UseMost // allowable of bending: AISC, allowable stress, from memory
	od, bore := roundMM(far), boreMM(far)
	if od == 0 {
		od = roundMM(near) // a pin may stand in the other part
	}
	round := far.Kind == "cone" || !IsFlat(far) && far.Kind != "profile"
	switch {
	case round && bore >= sleeveLeastMM:
		d := bore - sleevePlayMM
		if wall := max(3, 4*moment/(math.Pi*d*d*bend)); wall < d/4 {
			return Remedy{Kind: "sleeve", DiameterMM: d, ThickMM: math.Ceil(wall), LengthMM: socketMM(d, shear, moment, opt)}
		}
	case round && od > 0:
		if d := max(12, math.Ceil(math.Cbrt(32*moment/(math.Pi*bend)))); d <= od/2 {
			return Remedy{Kind: "pin", DiameterMM: d, LengthMM: socketMM(d, shear, moment, opt)}
		}
	}
	leg := MinFilletMM(thickMM)
	length := twoLinesMM(shear, moment, opt.UseMost*0.30*opt.WeldMPa*leg*math.Sqrt2/2)
	kind := "hidden gusset"
	if IsFlat(far) && (IsFlat(near) || boreMM(near) > 0 || near.Kind == "rolled_plate") {
		kind = "slot-through"
	}
	return Remedy{Kind: kind, ThickMM: thinner(thickMM, farThickMM), LengthMM: up5(max(length, opt.SeamLeastMM, 4*leg))}
}

// The smallest bore that takes a sleeve worth its name, and its play in the bore
// over all: common practice, no source.
const (
	sleeveLeastMM = 20
	sleevePlayMM  = 2
)

// socketMM is how deep a round of this diameter sits in each part: bearing over
// its length, from the moment straight from + to −, from the shear even, within
// 0.9 of yield (AISC 360 J7, from memory); 1.5 diameters at least.
//
// q d L² − V L − 6 M = 0
func socketMM(d, shear, moment float64, opt JointOptions) float64 {
	q := 0.9 * opt.YieldMPa * opt.UseMost * d
	deep := (shear + math.Sqrt(shear*shear+24*q*moment)) / (2 * q)
	return up5(max(deep, 1.5*d))
}

// twoLinesMM is the depth of two parallel lines of weld that carry q N/mm: bending
// modulus d²/3 (the line method), shear over both.
//
// (3M/d²)² + (V/2d)² = q²
func twoLinesMM(shear, moment, q float64) float64 {
	if moment == 0 {
		return shear / (2 * q)
	}
	v2 := shear * shear / 4
	x := 2 * q * q / (v2 + math.Sqrt(v2*v2+36*moment*moment*q*q)) // 1/d², the root that keeps its digits
	return 1 / math.Sqrt(x)
}

// boreMM is the inside diameter of a round hollow section, 0 of others.
func boreMM(p stock.Part) float64 {
	for _, key := range []string{"section_bore_mm", "inside_diameter_mm"} {
		if d, ok := p.Size(key); ok && (p.Kind == "tube" || key == "section_bore_mm") {
			return d
		}
	}
	return 0
}

func up5(mm float64) float64 { return 5 * math.Ceil(mm/5-1e-9) }
