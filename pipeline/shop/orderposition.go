package shop

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Positions of welding, as lengths of seam are kept by them. ISO 6947 calls them
// PA, PB and PC, PF and PG, PD and PE.
const (
	WeldFlat = iota
	WeldHorizontal
	WeldVertical
	WeldOverhead
)

// Positions are their names.
func Positions() [4]string { return [4]string{"flat", "horizontal", "vertical", "overhead"} }

// positionOf is the position in which a bit of seam is welded while up points
// upward: by the slope of the seam, and how far the face of the weld is turned
// about it, from straight down (0°) to straight up (180°). Limits: AWS D1.1,
// tabulation of positions of groove and of fillet welds, from memory: level to
// 15°; flat from 150°; horizontal a fillet from 125°, a groove from 80°; slopes over
// 15° the same limit divides vertical from overhead; from 80° on all is vertical.
func positionOf(s SeamBit, up r3.Vec, groove bool) int {
	slope := math.Asin(min(1, math.Abs(r3.Dot(s.Way, up)))) * 180 / math.Pi
	if slope > 80 {
		return WeldVertical
	}
	across := func(v r3.Vec) r3.Vec { return unitOr0(r3.Sub(v, r3.Scale(r3.Dot(v, s.Way), s.Way))) }
	face := math.Acos(max(-1, min(1, -r3.Dot(across(s.Face), across(up))))) * 180 / math.Pi
	low := 125.0
	if groove {
		low = 80
	}
	const hair = 1e-9 // a limit itself belongs to the easier position
	switch {
	case face < low-hair:
		return WeldOverhead
	case slope > 15+hair:
		return WeldVertical
	case face < 150-hair:
		return WeldHorizontal
	}
	return WeldFlat
}

// positionsOf are the lengths of a joint's seam by position, mm.
func positionsOf(j WeldJoint, up r3.Vec) (mm [4]float64) {
	for _, s := range j.Seam {
		if s.LengthMM > 0 {
			mm[positionOf(s, up, j.Kind == "groove")] += s.LengthMM
		}
	}
	return mm
}
