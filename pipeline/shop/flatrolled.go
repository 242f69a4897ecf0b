package shop

import (
	"fmt"
	"math"

	"pointup/pipeline/draw"
)

// rolled develops a rolled plate: u along the arc of its middle surface, v along
// the axis. Plate that is rolled to many times its thickness keeps the length of
// its middle (K = 0.5: the neutral line of a press brake moves inwards only at
// tight bends). Flat ends are added for the rolls and trimmed after.
func (f *Flat) rolled(s *sizes, opt FlatOptions) {
	inside, w, sweep := s.need("inside_diameter_mm"), s.need("width_mm"), s.need("sweep_deg")
	r := inside/2 + f.ThicknessMM/2
	l, more := r*sweep*math.Pi/180, opt.PreBendTimes*f.ThicknessMM
	f.Outer = polygon([2]float64{-more, -w / 2}, [2]float64{l + more, -w / 2}, [2]float64{l + more, w / 2}, [2]float64{-more, w / 2})
	f.Notes = append(f.Notes, fmt.Sprintf("rolled to %.1f mm inside radius through %.2f°, axis across the arrow; developed %.1f mm on the middle surface", inside/2, sweep, l))
	if more > 0 {
		for _, u := range [2]float64{0, l} {
			f.line(draw.Bend, draw.Segment(u, -w/2, u, w/2))
		}
		f.Notes = append(f.Notes, fmt.Sprintf("%.1f mm at each end beyond the dashed lines is for the rolls; trim it after rolling, or press the ends to the radius first", more))
	}
	f.Notes = append(f.Notes, formingNote(inside/2, f.ThicknessMM))
}

// rolledCone develops a cone on the middle of its wall: a sector about the apex.
func (f *Flat) rolledCone(s *sizes) error {
	large, small, h := s.need("large_diameter_mm")/2, s.maybe("small_diameter_mm")/2, s.need("height_mm")
	if s.missing != "" {
		return nil
	}
	d, ok := developCone(large, small, h, f.ThicknessMM)
	if !ok {
		return fmt.Errorf("a cone of %.1f and %.1f mm over %.1f mm with a wall of %.1f mm cannot be developed", 2*large, 2*small, h, f.ThicknessMM)
	}
	var err error
	if f.Outer, err = sectorLoop(d.outer, d.inner, d.sweep); err != nil {
		return err
	}
	f.Notes = append(f.Notes,
		fmt.Sprintf("rolled to a cone, developed on the middle of the wall: radii %.1f and %.1f mm, %.3f°", d.outer, d.inner, d.sweep*180/math.Pi),
		"one seam along a straight edge; its place is the maker's, best where it is least seen")
	return nil
}

// cone is a developed cone: the sector's radii and sweep.
type cone struct{ outer, inner, sweep float64 }

// developCone: on the middle of the wall the radius is the outer one less half
// the wall times √(1 + slope²); divided by the sine of half the angle at the apex
// it is the distance from the apex. ok is false for a cylinder or a wall that
// fills the cone.
func developCone(large, small, h, wall float64) (c cone, ok bool) {
	if large < small {
		large, small = small, large
	}
	slope := (large - small) / h
	sin := slope / math.Hypot(1, slope)
	less := wall / 2 * math.Hypot(1, slope)
	if sin < 1e-6 || large-less <= 0 {
		return cone{}, false
	}
	return cone{(large - less) / sin, math.Max(0, (small-less)/sin), 2 * math.Pi * sin}, true
}

// RollBack is where a point of the blank lies after rolling, in the rolled
// plate's own frame: on the middle surface of the radius.
func RollBack(u, v, radiusMM float64) (x, y, z float64) {
	sin, cos := math.Sincos(u / radiusMM)
	return radiusMM * cos, radiusMM * sin, v
}

// Tube that is rolled of plate: a rectangle of its middle girth less the root
// gap of its seam.
func RolledTube(mark string, outsideMM, wallMM, lengthMM, rootGapMM float64, opt FlatOptions) (Flat, error) {
	if err := opt.check(); err != nil {
		return Flat{}, err
	}
	girth := math.Pi*(outsideMM-wallMM) - rootGapMM
	if !(wallMM > 0 && outsideMM > 2*wallMM && lengthMM > 0 && girth > 0 && rootGapMM >= 0) || math.IsInf(girth+lengthMM, 0) {
		return Flat{}, fmt.Errorf("%s: a tube of %g × %g mm, %g mm long, with a gap of %g mm cannot be rolled", mark, outsideMM, wallMM, lengthMM, rootGapMM)
	}
	f := Flat{Mark: mark, Kind: "tube", ThicknessMM: wallMM,
		Outer: polygon([2]float64{0, -lengthMM / 2}, [2]float64{girth, -lengthMM / 2}, [2]float64{girth, lengthMM / 2}, [2]float64{0, lengthMM / 2})}
	f.Notes = append(f.Notes, fmt.Sprintf("rolled to %.1f mm outside; π × (outside − wall) less a root gap of %.1f mm; seam along the tube, away from what is seen", outsideMM, rootGapMM),
		formingNote(outsideMM/2-wallMM, wallMM))
	f.setOut(opt)
	f.measure(opt)
	return f, f.sound()
}
