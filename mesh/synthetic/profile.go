package synthetic

import (
	"fmt"
	"math"
)

// Profile is a straight piece of any section; the axis runs through the
// section's centroid, z from -LengthMM/2 to LengthMM/2, x and y those of the
// section. Openings are drawn in the section's frame and run the whole length.
type Profile struct {
	Section  []Step
	Openings []Hole
	LengthMM float64
	Ends     [2]End
}

// Hexagon returns a hexagonal bar's section by its width across flats.
func Hexagon(acrossFlatsMM float64) []Step {
	corners := make([][2]float64, 6)
	r := acrossFlatsMM / math.Sqrt(3)
	for i := range corners {
		corners[i] = [2]float64{r * cosine(float64(i)*math.Pi/3), r * sine(float64(i)*math.Pi/3)}
	}
	return Polygon(corners...)
}

// Angle returns the section of an angle: legs along x and y, measured over the
// back, both of one thickness.
func Angle(legXMM, legYMM, thicknessMM float64) []Step {
	t := thicknessMM
	return Polygon([2]float64{0, 0}, [2]float64{legXMM, 0}, [2]float64{legXMM, t},
		[2]float64{t, t}, [2]float64{t, legYMM}, [2]float64{0, legYMM})
}

// Channel returns the section of a channel: web along y, flanges along x.
func Channel(heightMM, flangeMM, webThicknessMM, flangeThicknessMM float64) []Step {
	h, b, w, f := heightMM, flangeMM, webThicknessMM, flangeThicknessMM
	return Polygon([2]float64{0, 0}, [2]float64{b, 0}, [2]float64{b, f}, [2]float64{w, f},
		[2]float64{w, h - f}, [2]float64{b, h - f}, [2]float64{b, h}, [2]float64{0, h})
}

// Tee returns the section of a tee: flange along x, stem down y.
func Tee(flangeMM, heightMM, flangeThicknessMM, stemThicknessMM float64) []Step {
	b, h, f, s := flangeMM/2, heightMM, flangeThicknessMM, stemThicknessMM/2
	return Polygon([2]float64{-s, 0}, [2]float64{s, 0}, [2]float64{s, h - f}, [2]float64{b, h - f},
		[2]float64{b, h}, [2]float64{-b, h}, [2]float64{-b, h - f}, [2]float64{-s, h - f})
}

// Box returns a piece of square-cornered box section.
func Box(widthMM, heightMM, wallMM, lengthMM float64) Profile {
	return Profile{
		Section:  Rectangle(widthMM, heightMM),
		Openings: []Hole{{Shape: "other", Outline: Rectangle(widthMM-2*wallMM, heightMM-2*wallMM)}},
		LengthMM: lengthMM,
	}
}

// loops returns the section's loops about its centroid, and the centroid.
func (p Profile) loops() ([]loop, [2]float64, error) {
	var c [2]float64
	outer, err := loopOf("profile", p.Section)
	if err != nil {
		return nil, c, err
	}
	loops, err := region("profile", outer, p.Openings)
	if err != nil {
		return nil, c, err
	}
	var area, mx, my float64
	for _, l := range loops {
		a, x, y := l.moments()
		area, mx, my = area+a, mx+x, my+y
	}
	if !(area > 0) {
		return nil, c, fmt.Errorf("profile: the openings leave no section; make them smaller")
	}
	c = [2]float64{mx / area, my / area}
	for _, l := range loops {
		for i := range l {
			l[i] = l[i].shifted(-c[0], -c[1])
		}
	}
	return loops, c, nil
}

func (e edge) shifted(x, y float64) edge {
	for _, p := range []*[2]float64{&e.from, &e.to, &e.centre} {
		p[0], p[1] = p[0]+x, p[1]+y
	}
	return e
}

func (p Profile) plan(edgeMM float64) (plan, error) {
	loops, _, err := p.loops()
	if err != nil {
		return plan{}, err
	}
	var reach float64
	for _, q := range dense(loops[0]) {
		reach = max(reach, math.Hypot(q[0], q[1]))
	}
	s, err := cut("profile", loops, reach, p.LengthMM, p.Ends, edgeMM)
	if err != nil {
		return plan{}, err
	}
	out, err := s.plan(edgeMM)
	if err != nil {
		return plan{}, fmt.Errorf("profile: %w", err)
	}
	return out, nil
}

func (p Profile) truth() Truth {
	t := straight("profile", Dim{"length_mm", p.LengthMM})
	loops, c, err := p.loops()
	if err != nil {
		return t
	}
	outline := p.Section
	if raw, _ := loopOf("profile", p.Section); raw != nil {
		if area, _, _ := raw.moments(); area < 0 {
			outline = backwards(outline)
		}
	}
	t.Outline = moved(outline, [2]float64{-c[0], -c[1]}, 0)
	t.Ends = p.Ends[:]
	if b := smallestBox(hull(dense(loops[0]))); len(loops) == 1 && solidBox(loops[0], b) {
		return p.bar(b)
	}
	return t
}

// solidBox says that a section fills its rectangle: such a piece is a plate.
func solidBox(l loop, b box) bool {
	area, _, _ := l.moments()
	return area > b.length*b.width*(1-1e-9)
}

// bar is the truth of a profile of solid rectangular section: a plate lying on
// its larger section side.
func (p Profile) bar(b box) Truth {
	sizes := []struct {
		mm  float64
		dir [3]float64
	}{
		{p.LengthMM, [3]float64{0, 0, 1}},
		{b.length, [3]float64{cosine(b.angle), sine(b.angle), 0}},
		{b.width, [3]float64{-sine(b.angle), cosine(b.angle), 0}},
	}
	for i := range sizes { // falling, three of them
		for k := i + 1; k < 3; k++ {
			if sizes[k].mm > sizes[i].mm {
				sizes[i], sizes[k] = sizes[k], sizes[i]
			}
		}
	}
	t := straight("plate",
		Dim{"thickness_mm", sizes[2].mm},
		Dim{"length_mm", sizes[0].mm},
		Dim{"width_mm", sizes[1].mm},
		Dim{"hole_count", 0})
	t.Axis, t.Ref = vec(sizes[2].dir), vec(sizes[0].dir)
	t.Outline = Rectangle(sizes[0].mm, sizes[1].mm)
	return t
}
