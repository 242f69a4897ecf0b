package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A bent rod whose straight leg another piece crosses comes as a bend and a rod:
// that rod's axis leads into the bend's own end. So does one that no more than a bead parts
// from its bend.
const (
	legNear   = 0.65 // of the section: the bend's surface this near to the rod's axis is of its end
	legPoints = 20   // of such surface, at least
	legAcross = 0.3  // mean cosine between its normals and the axis, at most
)

// legGap are points on a rod's axis, a millimetre apart, from its end to that of
// the bend whose leg it may be; nil where their sections differ, the axis does not
// lead there, or the gap is too long to tell.
func legGap(bend, rod Piece) []r3.Vec {
	section, _ := bend.Element.Dim("section_diameter_mm")
	diameter, ok := rod.Element.Dim("outside_diameter_mm")
	if !ok || math.Abs(section-diameter) > sameSize*max(section, diameter) {
		return nil
	}
	d, c := rod.Element.Frame.Axis, rod.Element.Frame.OriginMM
	low, high := reach(rod.Patch, rod.Element)
	up, upward := legEnd(bend, c, d, section, high)
	down, downward := legEnd(bend, c, r3.Scale(-1, d), section, -low)
	most := bridgeMost * max(high-low, bend.Patch.SizeMM)
	switch {
	case upward && up-high <= most && (!downward || up-high < down+low):
		return pointsOn(c, d, high, up)
	case downward && down+low <= most:
		return pointsOn(c, d, low, -down)
	}
	return nil
}

// legEnd is where, beyond a height along an axis, the surface of a bend of the
// given section begins to run along it; ok is false where it does not.
func legEnd(bend Piece, at, axis r3.Vec, sectionMM, beyond float64) (height float64, ok bool) {
	type spot struct{ h, lean float64 }
	var near []spot
	height = math.Inf(1)
	for i, q := range bend.Patch.P {
		w := r3.Sub(r3.Add(q, bend.Patch.OriginMM), at)
		h := r3.Dot(w, axis)
		if h > beyond && r3.Norm2(w)-h*h < legNear*legNear*sectionMM*sectionMM {
			near = append(near, spot{h, math.Abs(r3.Dot(bend.Patch.N[i], axis))})
			height = min(height, h)
		}
	}
	n, lean := 0, 0.0
	for _, s := range near {
		if s.h < height+sectionMM {
			n++
			lean += s.lean
		}
	}
	return height, n >= legPoints && lean <= legAcross*float64(n)
}
