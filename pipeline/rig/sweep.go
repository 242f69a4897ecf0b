package rig

import (
	"fmt"
	"math"

	"pointup/pipeline/job"
)

// Vehicle is rigid, a load among them: a box with one fixed axle across it.
type Vehicle struct {
	WidthMM float64
	FrontMM float64 // from the fixed axle to the front end
	RearMM  float64 // to the rear end
}

// SweptMM is the width that a vehicle sweeps on a circle whose outer edge has a
// radius, when its outermost corner runs along that edge. The line of the fixed axle goes
// through the middle of the circle, so that the inner side is nearest to it at the
// axle, at r, and the corner of the longer end farthest, at R: R² = (r + width)² +
// end². From that, R - r = R - √(R² - end²) + width. It is the greatest of a long
// turn; driving in and out of it takes no more. False where the vehicle is too large
// for the circle. The derivation is ours.
func (v Vehicle) SweptMM(outerMM float64) (float64, bool) {
	end := max(v.FrontMM, v.RearMM)
	if !(outerMM > end) {
		return 0, false
	}
	r := math.Sqrt(outerMM*outerMM-end*end) - v.WidthMM
	return outerMM - r, r >= 0
}

// Whether a load goes through a passage.
const (
	Passes    = "passes"     // with the fixed axle anywhere under it
	Depends   = "depends"    // on the vehicle: passes with the axle under its middle, not at its end
	TooNarrow = "too narrow" // with the axle anywhere
	NotJudged = "not judged" // no width is given
)

// Passing is a load at one place of the route.
type Passing struct {
	Passage    int     // in the job's order, from 0
	SweptMinMM float64 // fixed axle under the middle of the load; 0 where the curve is too tight
	SweptMaxMM float64 // at its end; 0 where the curve is too tight
	RoomMM     float64 // width of the passage less the smaller
	Passes     string
	SlopeDeg   float64
	Stands     bool // it does not tip on the slope, lying across or along
}

// Route is a load over the job's route.
type Route struct {
	Passings    []Passing
	Assumptions []string
	Cautions    []string
}

// Haul takes a load, as it lies, over a route. A passage's radius is that of its middle
// line, or of its outer edge where no width is given. The load is the only thing
// that is known of the vehicle: its fixed axle may be anywhere under it, so that two
// widths are told, of the middle (steered at both ends) and of the end.
func Haul(r Rest, route []job.Passage) (Route, error) {
	if !(r.LengthMM > 0 && r.WidthMM > 0) || math.IsInf(r.LengthMM*r.WidthMM, 0) {
		return Route{}, fmt.Errorf("a load of %v by %v mm; give one over 0", r.LengthMM, r.WidthMM)
	}
	var out Route
	for i, p := range route {
		x, err := passing(r, p)
		if err != nil {
			return out, fmt.Errorf("passage %d of the route: %w", i+1, err)
		}
		x.Passage = i
		out.Passings = append(out.Passings, x)
	}
	out.Assumptions = []string{
		"the load is the longest and widest thing on the way: a rigid box with one fixed axle across it, under its middle at best, at its end at worst",
		"a steady turn along the outer edge of the passage, over its whole width",
	}
	out.Cautions = []string{Preliminary,
		"not promised: tractor and trailer (drive the curve with the haulier's own chart), kerbs, poles, overhead lines, side slopes, humps on which a low bed grounds, axle loads, permits",
		"on a slope the load is taken at rest: braking and bends need lashings (EN 12195-1, from memory)"}
	return out, nil
}

func passing(r Rest, p job.Passage) (Passing, error) {
	for _, x := range []*float64{p.WidthMM, p.RadiusMM, p.Slope} {
		if x != nil && (!(*x >= 0) || math.IsInf(*x, 0)) {
			return Passing{}, fmt.Errorf("its width, radius or slope is %v; give 0 or more", *x)
		}
	}
	x := Passing{Passes: NotJudged, Stands: true, SweptMinMM: r.WidthMM, SweptMaxMM: r.WidthMM}
	wide, fitsMin, fitsMax := math.Inf(1), true, true
	if p.WidthMM != nil {
		wide = *p.WidthMM
	}
	if p.RadiusMM != nil {
		outer := *p.RadiusMM
		if p.WidthMM != nil {
			outer += wide / 2
		}
		x.SweptMinMM, fitsMin = Vehicle{r.WidthMM, r.LengthMM / 2, r.LengthMM / 2}.SweptMM(outer)
		x.SweptMaxMM, fitsMax = Vehicle{r.WidthMM, r.LengthMM, 0}.SweptMM(outer)
		x.SweptMinMM, x.SweptMaxMM = known(x.SweptMinMM, fitsMin), known(x.SweptMaxMM, fitsMax)
	}
	switch {
	case !fitsMin || x.SweptMinMM > wide:
		x.Passes = TooNarrow
	case p.WidthMM == nil:
	case !fitsMax || x.SweptMaxMM > wide:
		x.Passes = Depends
	default:
		x.Passes = Passes
	}
	if p.WidthMM != nil && fitsMin {
		x.RoomMM = wide - x.SweptMinMM
	}
	if p.Slope != nil {
		x.SlopeDeg = math.Atan(*p.Slope) / deg
		x.Stands = r.TipDeg > x.SlopeDeg
	}
	return x, nil
}

func known(x float64, ok bool) float64 {
	if ok {
		return x
	}
	return 0
}
