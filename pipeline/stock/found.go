package stock

import "math"

// Found is a size of the maquette's own metal, at maquette scale, that was a
// standard one when it was bought. One is for all pieces of a family: pieces cut
// from one bar have the same error of that bar.
type Found struct {
	Part    int    // first piece that shows it
	Key     string // dimension, or across_flats_mm, chain_pitch_mm
	Forms   []string
	ValueMM float64
	U95MM   float64
}

// FoundIn lists the sizes of parts that may have been standard. Parts are at full
// size; ratio leads back to the maquette. Existing pieces are none of it.
func FoundIn(parts []Part, relations []Relation, ratio float64) []Found {
	var out []Found
	if !(ratio > 0) {
		return nil
	}
	for _, f := range Families(parts, relations) {
		if f.Made {
			continue
		}
		for _, l := range f.Lead {
			if forms := foundForms(f, parts[f.Members[0]], l.Key); forms != nil {
				out = append(out, Found{f.Members[0], l.Key, forms, l.ValueMM / ratio, l.U95MM / ratio})
			}
		}
		out = append(out, foundSmall(parts, f, ratio)...)
	}
	return out
}

// foundSmall looks at a family's pieces for washers, chain wheels and hexagons;
// pieces of one mark came of one box and are one find, their mean.
func foundSmall(parts []Part, f Family, ratio float64) []Found {
	var out []Found
	for _, look := range []struct {
		form string
		size func(Part) (Lead, bool)
	}{{"washer", washerSize}, {"chain", chainPitch}, {"hexagon", acrossFlats}} {
		number := map[string]int{} // finds of a mark, by its place in out
		count := map[int]float64{}
		for k, i := range f.Members {
			x, ok := look.size(parts[i])
			if !ok {
				continue
			}
			at, seen := number[f.Marks[k]]
			if !seen {
				at = len(out)
				number[f.Marks[k]] = at
				out = append(out, Found{Part: i, Key: x.Key, Forms: []string{look.form}})
			}
			n := count[at]
			out[at].ValueMM = (n*out[at].ValueMM + x.ValueMM/ratio) / (n + 1)
			out[at].U95MM = math.Hypot(n*out[at].U95MM, x.U95MM/ratio) / (n + 1)
			count[at]++
		}
	}
	return out
}

// washerSize is the outside diameter of a flat ring.
func washerSize(p Part) (Lead, bool) {
	x, ok := p.Size("outside_diameter_mm")
	return Lead{"outside_diameter_mm", x, p.U95("outside_diameter_mm")}, ok && x > 0 && p.Kind == "ring" && has(p, "thickness_mm")
}

// foundForms are the tables in which a lead may stand. A bar may be a tube whose
// bore nobody sees; what is rolled or cut keeps only its thickness.
func foundForms(f Family, p Part, key string) []string {
	switch f.Class {
	case "hollow":
		return []string{"pipe", "tube"}
	case "round":
		return []string{"round", "pipe", "tube", "rod"}
	case "formed":
		if p.Kind == "sphere" {
			return []string{"ball"}
		}
	case "flat", "rolled":
		return []string{"plate", "sheet", "flat"}
	case "strip":
		if key == "width_mm" {
			return []string{"flat", "square"}
		}
		return []string{"flat", "square", "plate", "sheet"}
	case "box", "angle":
		return []string{f.Class}
	}
	return nil
}

// chainPitch is the pitch P of the chain that a wheel's seats fit: the distance of
// neighbouring seats, or from PD = P/sin(180°/z) and PD = root + roller, the seat
// standing for the roller (ASME B29.1; its seat is 1.005 of the roller and 0.08 mm).
func chainPitch(p Part) (Lead, bool) {
	if p.Kind != "toothed_wheel" {
		return Lead{}, false
	}
	if x, ok := p.Size("seat_pitch_mm"); ok && x > 0 {
		return Lead{"chain_pitch_mm", x, p.U95("seat_pitch_mm")}, true
	}
	root, r := p.Size("root_diameter_mm")
	seat, s := p.Size("seat_diameter_mm")
	n, c := p.Size("tooth_count")
	if !r || !s || !c || n < 5 || seat <= 0 {
		return Lead{}, false
	}
	k := math.Sin(math.Pi / n)
	return Lead{"chain_pitch_mm", (root + seat/1.005) * k, math.Hypot(p.U95("root_diameter_mm"), p.U95("seat_diameter_mm")) * k}, true
}

// acrossFlats of a regular hexagon: its smallest box is 2/√3 longer than wide, and
// it fills √3/2 of the square of its width.
func acrossFlats(p Part) (Lead, bool) {
	points := polyline(p.Outline)
	if p.Kind != "profile" || len(points) < 6 {
		return Lead{}, false
	}
	b := boxOf(points)
	long, fill := b.longMM/b.shortMM*math.Sqrt(3)/2, outlineAreaMM2(p.Outline)/(b.shortMM*b.shortMM)*2/math.Sqrt(3)
	if math.Abs(long-1) > 0.03 || math.Abs(fill-1) > 0.03 {
		return Lead{}, false
	}
	return Lead{"across_flats_mm", b.shortMM, p.U95("length_mm")}, true
}
