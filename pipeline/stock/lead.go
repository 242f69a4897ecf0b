package stock

import "math"

// demand is what one part asks of stock: its class and the sizes that lead.
type demand struct {
	class string
	lead  []Lead
}

// demandOf says what of a part stock has to match; see Lead.
func demandOf(p Part) demand {
	switch p.Kind {
	case "tube", "bar", "arc", "coil", "ring":
		if p.Section == "flat" || has(p, "thickness_mm") {
			return leads(p, "flat", "thickness_mm")
		}
		key := "outside_diameter_mm"
		if !has(p, key) {
			key = "section_diameter_mm"
		}
		return leads(p, hollowOrRound(p), key)
	case "disc", "toothed_wheel":
		return leads(p, "flat", "thickness_mm")
	case "rolled_plate":
		return leads(p, "rolled", "thickness_mm")
	case "plate":
		if isStrip(p) {
			return leads(p, "strip", "thickness_mm", "width_mm")
		}
		return leads(p, "flat", "thickness_mm")
	case "profile":
		return profileDemand(p)
	case "sphere":
		return leads(p, "formed", "diameter_mm")
	case "cone":
		return leads(p, "formed", "large_diameter_mm")
	}
	return demand{class: "free"}
}

func has(p Part, key string) bool {
	x, ok := p.Size(key)
	return ok && x > 0
}

// leads gathers sizes; one that the scan cannot show leads nothing.
func leads(p Part, class string, keys ...string) demand {
	d := demand{class: class}
	for _, k := range keys {
		if has(p, k) {
			x, _ := p.Size(k)
			d.lead = append(d.lead, Lead{k, x, p.U95(k)})
		}
	}
	return d
}

// hollowOrRound: a bore that was seen has to be there.
func hollowOrRound(p Part) string {
	if has(p, "wall_mm") || has(p, "inside_diameter_mm") || has(p, "section_bore_mm") {
		return "hollow"
	}
	return "round"
}

// stripShare: a rectangle that is shorter than twice its width is cut from plate,
// a longer one may be flat bar: common practice, no source.
const stripShare = 2

func isStrip(p Part) bool {
	l, _ := p.Size("length_mm")
	w, _ := p.Size("width_mm")
	if w <= 0 || l < stripShare*w {
		return false
	}
	if len(p.Outline) == 0 {
		return true
	}
	b := boxOf(polyline(p.Outline))
	return outlineAreaMM2(p.Outline) > 0.97*b.longMM*b.shortMM && len(p.Outline) <= 8
}

// profileDemand takes sizes from the outline; it is as well known as the length,
// whose ends are fitted to as many points.
func profileDemand(p Part) demand {
	s, u := sectionOf(p.Outline), p.U95("length_mm")
	d := demand{class: s.class}
	if s.box.shortMM > 0 {
		d.lead = []Lead{{"height_mm", s.box.longMM, u}, {"width_mm", s.box.shortMM, u}}
	}
	if s.class == "angle" {
		d.lead = append(d.lead, Lead{"thickness_mm", s.thicknessMM, u})
	}
	return d
}

// of is what a size of stock shows for a lead.
func (s Size) Of(key string) float64 {
	switch key {
	case "outside_diameter_mm", "section_diameter_mm", "diameter_mm", "large_diameter_mm":
		return s.ODMM
	case "thickness_mm":
		if s.Form == "square" {
			return s.HeightMM
		}
		return s.ThicknessMM
	case "width_mm":
		return s.WidthMM
	case "height_mm":
		return s.HeightMM
	}
	return math.NaN()
}
