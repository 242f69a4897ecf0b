package stock

import "math"

// section is what a profile's outline is.
type section struct {
	class       string // box, angle or shape
	box         box
	thicknessMM float64 // angle
	corner      [2]float64
}

// sectionOf names a profile's section: a box fills its smallest rectangle but for
// rounded corners; an angle leaves one corner of it and has its perimeter.
func sectionOf(outline []Step) section {
	points := polyline(outline)
	if len(points) < 3 {
		return section{class: "shape"}
	}
	s := section{class: "shape", box: boxOf(points)}
	long, short := s.box.longMM, s.box.shortMM
	area := outlineAreaMM2(outline)
	switch {
	case !(short > 0):
	case area > boxFill*long*short && squareCorners(points, s.box):
		s.class = "box"
	default:
		s.angle(points, area, perimeterMM(outline))
	}
	return s
}

// boxFill: corners of 3 walls' radius and a wall of a tenth of a square's side
// leave 1 − (4−π)·0.3² = 0.92 of it; an octagon has 0.83.
const boxFill = 0.9

// squareCorners tells a rounded box from a hexagon or barrel: the middle halves
// of all sides lie on the rectangle, within 2 % of its short side.
func squareCorners(points [][2]float64, b box) bool {
	e := 0.02 * b.shortMM
	for _, at := range []float64{-0.25, 0, 0.25} {
		u, v := at*b.longMM, at*b.shortMM
		for _, p := range [][2]float64{{u, b.shortMM/2 - e}, {u, e - b.shortMM/2}, {b.longMM/2 - e, v}, {e - b.longMM/2, v}} {
			if !inside(points, b.at(p[0], p[1])) {
				return false
			}
		}
	}
	return true
}

// angle makes the section an angle where it is one. Legs a, b of thickness t
// have the area t(a+b−t), so t = ((a+b) − √((a+b)² − 4A)) / 2.
func (s *section) angle(points [][2]float64, area, perimeter float64) {
	a, b := s.box.longMM, s.box.shortMM
	root := (a+b)*(a+b) - 4*area
	if root < 0 || math.Abs(perimeter/(2*(a+b))-1) > 0.05 {
		return
	}
	t := (a + b - math.Sqrt(root)) / 2
	if t < 0.01*b || t > 0.5*b {
		return
	}
	// Half a thickness from each corner there is metal, but for one; the legs'
	// inner sides lie a thickness from the outer ones.
	missing := 0
	for _, corner := range [4][2]float64{{1, 1}, {-1, 1}, {-1, -1}, {1, -1}} {
		if !inside(points, s.box.at(corner[0]*(a-t)/2, corner[1]*(b-t)/2)) {
			missing++
			s.corner = corner
		}
	}
	heel := [2]float64{-s.corner[0], -s.corner[1]}
	if missing != 1 || inside(points, s.box.at(heel[0]*(a/2-1.5*t), heel[1]*(b/2-1.5*t))) {
		return
	}
	s.class, s.thicknessMM = "angle", t
}
