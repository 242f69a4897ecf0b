package stock

import (
	"math"
	"slices"
)

// AsStock returns the parts with the sizes of their stock: outside and section
// diameters, walls and bores, thicknesses, widths of bars, outlines of sections.
// Lengths, cut outlines and frames stay; rolled plate keeps its middle surface.
// What stock decides has no uncertainty and is hidden no more. Existing parts, and
// those without stock, are the same.
func AsStock(parts []Part, c Choice) []Part {
	out := slices.Clone(parts)
	for _, f := range c.Families {
		if f.Made || f.Missing {
			continue
		}
		for _, i := range f.Members {
			out[i] = ofStock(parts[i], f)
		}
	}
	return out
}

// ofStock is one part made of a size.
func ofStock(p Part, f Pick) Part {
	p.Dims, p.Hidden, p.Outline = slices.Clone(p.Dims), slices.Clone(p.Hidden), slices.Clone(p.Outline)
	s := f.Size
	switch f.Class {
	case "hollow", "round":
		p.roundStock(s)
	case "flat", "strip":
		p.flatStock(s)
	case "rolled":
		p.rolledStock(s)
	case "box", "angle", "shape":
		p.Outline = sectionStock(p.Outline, f)
	case "formed":
		if s.WallMM > 0 {
			p.set("wall_mm", s.WallMM)
		}
	}
	return p
}

// set gives a dimension the exact value of stock, at its place or at the end.
func (p *Part) set(key string, mm float64) {
	d := Dim{Key: key, Value: mm}
	p.Hidden = slices.DeleteFunc(p.Hidden, func(k string) bool { return k == key })
	if i := slices.IndexFunc(p.Dims, func(x Dim) bool { return x.Key == key }); i >= 0 {
		p.Dims[i] = d
		return
	}
	p.Dims = append(p.Dims, d)
}

func (p *Part) drop(keys ...string) {
	p.Dims = slices.DeleteFunc(p.Dims, func(d Dim) bool { return slices.Contains(keys, d.Key) })
}

// roundStock sets outside, wall and bore by the keys of the kind. A bar that is
// made of tube becomes a tube, a tube that is made of bar a bar.
func (p *Part) roundStock(s Size) {
	bore := s.ODMM - 2*s.WallMM
	switch p.Kind {
	case "tube", "bar":
		p.set("outside_diameter_mm", s.ODMM)
		if p.Kind = "tube"; s.WallMM == 0 {
			p.Kind = "bar"
			p.drop("wall_mm", "inside_diameter_mm")
			return
		}
		p.set("inside_diameter_mm", bore)
		p.set("wall_mm", s.WallMM)
	default:
		p.set("section_diameter_mm", s.ODMM)
		if s.WallMM == 0 {
			p.drop("section_bore_mm")
			return
		}
		p.set("section_bore_mm", bore)
	}
}

// rolledStock moves the concave face so that the middle surface stays. On a cone
// the face moves square to the slope, of which width/slant is the cosine.
func (p *Part) rolledStock(s Size) {
	t, seen := p.Size("thickness_mm")
	in := t - s.ThicknessMM
	width, w := p.Size("width_mm")
	if slant, conical := p.Size("slant_mm"); conical && w && slant > 0 {
		in *= width / slant
	}
	for _, key := range []string{"inside_diameter_mm", "large_inside_diameter_mm", "small_inside_diameter_mm"} {
		if old, known := p.Size(key); known && seen {
			p.set(key, old+in)
		}
	}
	p.set("thickness_mm", s.ThicknessMM)
}

// flatStock sets the thickness and, of bar, the width. An outline is that of the
// face, or of the end of a flat bar: it is stretched with the sizes.
func (p *Part) flatStock(s Size) {
	oldT, _ := p.Size("thickness_mm")
	oldW, _ := p.Size("width_mm")
	length, _ := p.Size("length_mm")
	t, w := s.Of("thickness_mm"), s.WidthMM
	if w == 0 {
		w = oldW
	}
	if p.Kind == "plate" && len(p.Outline) > 1 {
		b := boxOf(polyline(p.Outline))
		_, _, face := outlineOfFace(p.Outline, length, oldW)
		switch {
		case face && w != oldW:
			p.Outline = stretched(p.Outline, b, 1, w/b.shortMM)
		case !face && oldT > 0 && near(b.longMM, oldW) && near(b.shortMM, oldT):
			p.Outline = stretched(p.Outline, b, w/b.longMM, t/b.shortMM)
		}
	}
	p.set("thickness_mm", t)
	if s.WidthMM > 0 {
		p.set("width_mm", w)
	}
}

func near(a, b float64) bool { return math.Abs(a-b) <= 0.05*max(a, b) }

// stretched scales an outline about the origin of its frame along a box's axes,
// long one by u, short one by v.
func stretched(outline []Step, b box, u, v float64) []Step {
	sin, cos := math.Sincos(b.angle)
	move := func(p [2]float64) [2]float64 {
		x, y := u*(cos*p[0]+sin*p[1]), v*(-sin*p[0]+cos*p[1])
		return [2]float64{cos*x - sin*y, sin*x + cos*y}
	}
	out := slices.Clone(outline)
	for i := range out {
		out[i].To = move(out[i].To)
		if out[i].Arc {
			out[i].Via = move(out[i].Via)
		}
	}
	return out
}

// sectionStock is the outline of a section of stock where the scan's lay: a sharp
// box or angle about the same centroid, other sections stretched.
func sectionStock(outline []Step, f Pick) []Step {
	sec, s := sectionOf(outline), f.Size
	long, short := s.HeightMM, s.WidthMM
	if !(sec.box.shortMM > 0) || !(short > 0) {
		return outline
	}
	h, w := long/2, short/2
	switch {
	case f.Class == "box" && s.WallMM > 0 || s.Form == "square" || s.Form == "box":
		return placed(sec.box, [][2]float64{{-h, -w}, {h, -w}, {h, w}, {-h, w}}, [2]float64{})
	case f.Class == "angle" && s.ThicknessMM > 0:
		x, y, t := -sec.corner[0], -sec.corner[1], s.ThicknessMM // towards the heel
		points := [][2]float64{{x * h, y * w}, {-x * h, y * w}, {-x * h, y * (w - t)}, {x * (h - t), y * (w - t)}, {x * (h - t), -y * w}, {x * h, -y * w}}
		if x*y < 0 { // as listed they run clockwise
			slices.Reverse(points)
		}
		return placed(sec.box, points, centroid(points))
	}
	return stretched(outline, sec.box, long/sec.box.longMM, short/sec.box.shortMM)
}

// placed turns points of a box's own axes to the frame of the part, whose origin
// is the section's centroid.
func placed(b box, points [][2]float64, centroid [2]float64) []Step {
	b.centre = [2]float64{}
	var out []Step
	for _, p := range points {
		out = append(out, Step{To: b.at(p[0]-centroid[0], p[1]-centroid[1])})
	}
	return out
}

// centroid of a polygon.
func centroid(points [][2]float64) [2]float64 {
	var a, x, y float64
	for i, p := range points {
		q := points[(i+1)%len(points)]
		c := p[0]*q[1] - p[1]*q[0]
		a, x, y = a+c, x+c*(p[0]+q[0]), y+c*(p[1]+q[1])
	}
	return [2]float64{x / (3 * a), y / (3 * a)}
}
