package stock

import (
	"fmt"
	"math"
)

// thinShare: a section whose mean thickness is under a fifth of its width is of
// plate strips as it is (channel, tee); a fuller one is closed with skins.
const thinShare = 0.2

// builtShape makes a section of plate strips: the whole round of a box or other
// closed section, the legs of an angle or other thin one.
func (c *choosing) builtShape(f Family) []candidate {
	sec := c.parts[f.Members[0]].Outline
	area, round := outlineAreaMM2(sec), perimeterMM(sec)
	if len(f.Lead) < 2 || !(round > 0) {
		return nil
	}
	high, wide := f.Lead[0].ValueMM, f.Lead[1].ValueMM
	thin := 2 * area / round
	if f.Class != "box" && thin < thinShare*wide {
		return c.strips(f, thin, round/2-thin)
	}
	p, ok := c.plateFrom(c.opt.WallMinMM)
	if !ok || 2*p.ThicknessMM >= wide {
		return c.solidShape(f, area, high, wide)
	}
	t := p.ThicknessMM
	developed := round - 4*t // corners: each side stands on the next
	s := Size{Mark: fmt.Sprintf("built up %s x %s x %s", tenth(high), tenth(wide), plain(t)), Form: "built up", System: p.System, Standard: p.Standard,
		HeightMM: high, WidthMM: wide, WallMM: t, WallDesignMM: t, MassKGM: developed * 1e-3 * p.MassKGM2, FromMemory: p.FromMemory, Source: p.Source}
	r := Route{Kind: "built up", From: []Size{p}, DevelopedMM: developed, Text: fmt.Sprintf("strips of %s welded or folded round the section, %s developed", p.Mark, shown(developed))}
	return []candidate{{size: s, route: &r, why: fmt.Sprintf("%s: the thinnest plate not under wall_min", shown(t))}}
}

// strips is a thin open section of the plate nearest to its thickness.
func (c *choosing) strips(f Family, thick, developed float64) []candidate {
	best, away := Size{}, math.Inf(1)
	for _, p := range c.cat.Of("plate", "sheet") {
		if d := math.Abs(p.ThicknessMM - thick); d < away {
			best, away = p, d
		}
	}
	if math.IsInf(away, 0) {
		return nil
	}
	high, wide, t := f.Lead[0].ValueMM, f.Lead[1].ValueMM, best.ThicknessMM
	s := Size{Mark: fmt.Sprintf("built up %s x %s x %s", tenth(high), tenth(wide), plain(t)), Form: "built up", System: best.System, Standard: best.Standard,
		HeightMM: high, WidthMM: wide, ThicknessMM: t, MassKGM: developed * 1e-3 * best.MassKGM2, FromMemory: best.FromMemory, Source: best.Source}
	r := Route{Kind: "built up", From: []Size{best}, DevelopedMM: developed, Text: fmt.Sprintf("strips of %s, %s developed", best.Mark, shown(developed))}
	return []candidate{{size: s, route: &r}}
}

// solidShape is a section too small to be hollow: machined from the lightest bar
// that holds it.
func (c *choosing) solidShape(f Family, area, high, wide float64) []candidate {
	best, found := Size{}, false
	for _, s := range c.cat.Of("round", "square") {
		holds := s.ODMM >= math.Hypot(high, wide) || s.Form == "square" && s.WidthMM >= high
		if holds && (!found || s.MassKGM < best.MassKGM) {
			best, found = s, true
		}
	}
	if !found {
		return nil
	}
	s := Size{Mark: fmt.Sprintf("machined %s x %s of %s", tenth(high), tenth(wide), best.Mark), Form: "machined", System: best.System, Standard: best.Standard,
		HeightMM: high, WidthMM: wide, MassKGM: area * steelKGM3 * 1e-6, FromMemory: best.FromMemory, Source: best.Source}
	r := Route{Kind: "machined", From: []Size{best}, TakeOffMM: max(best.ODMM, best.WidthMM) - wide, Text: "machine the section from " + best.Mark}
	return []candidate{{size: s, route: &r}}
}

// smallWalls: a ball or cone under ten walls is turned from the solid. Common
// practice, no source.
const smallWalls = 10.0

// formed are balls and cones of plate; small ones are turned from round bar.
func (c *choosing) formed(f Family) []candidate {
	if bar := c.turnedSolid(f); bar != nil {
		return bar
	}
	p, ok := c.plateFrom(c.opt.WallMinMM)
	if !ok || len(f.Lead) == 0 {
		return nil
	}
	r := Route{Kind: "formed", From: []Size{p}, Seams: 1, DevelopedMM: math.Pi * (f.Lead[0].ValueMM - p.ThicknessMM)}
	if c.parts[f.Members[0]].Kind == "sphere" {
		r.Text = fmt.Sprintf("two halves pressed or spun of %s, one seam round the middle", p.Mark)
	} else {
		r.Text = fmt.Sprintf("roll %s to a cone, one seam; %s developed at the large end", p.Mark, shown(r.DevelopedMM))
	}
	return []candidate{{size: formedOf(f, p), route: &r, why: fmt.Sprintf("%s: the thinnest plate not under wall_min", shown(p.ThicknessMM))}}
}

// turnedSolid is a small ball or cone from the thinnest bar that holds it.
func (c *choosing) turnedSolid(f Family) []candidate {
	if len(f.Lead) == 0 || f.Lead[0].ValueMM >= smallWalls*c.opt.WallMinMM || c.opt.bans("turned") {
		return nil
	}
	d := f.Lead[0].ValueMM
	var best *Size
	for _, s := range c.cat.Of("round") {
		if s.ODMM >= d && (best == nil || s.ODMM < best.ODMM) {
			best = &s
		}
	}
	if best == nil {
		return nil
	}
	s := Size{Mark: fmt.Sprintf("turned %s of %s", tenth(d), best.Mark), Form: "turned", System: best.System, Standard: best.Standard, ODMM: d,
		WallMM: d / 2, WallDesignMM: d / 2, FromMemory: best.FromMemory, Source: best.Source}
	r := Route{Kind: "turned", From: []Size{*best}, TakeOffMM: best.ODMM - d, Text: fmt.Sprintf("turn the solid from %s", best.Mark)}
	return []candidate{{size: s, route: &r, why: "solid: too small to be formed of plate"}}
}

// formedOf is a shell of a plate.
func formedOf(f Family, p Size) Size {
	s := Size{Mark: "formed of " + p.Mark, Form: "formed", System: p.System, Standard: p.Standard, WallMM: p.ThicknessMM, WallDesignMM: p.ThicknessMM,
		FromMemory: p.FromMemory, Source: p.Source}
	if len(f.Lead) > 0 {
		s.ODMM = f.Lead[0].ValueMM
		s.Mark = fmt.Sprintf("formed %s of %s", tenth(s.ODMM), p.Mark)
	}
	return s
}

// asMade is the section of a piece that exists at full size, by its own sizes.
func asMade(p Part) Size {
	get := func(key string) float64 {
		x, _ := p.Size(key)
		return x
	}
	s := Size{Mark: "as made", Form: "as made", System: "own", Standard: "exists at full size", Source: "the scan"}
	s.ODMM = max(get("outside_diameter_mm"), get("section_diameter_mm"), get("diameter_mm"))
	s.WallMM = get("wall_mm")
	if bore := get("section_bore_mm"); bore > 0 {
		s.WallMM = (s.ODMM - bore) / 2
	}
	s.WallDesignMM, s.ThicknessMM = s.WallMM, get("thickness_mm")
	switch {
	case s.ThicknessMM > 0:
		s.MassKGM2 = s.ThicknessMM * steelKGM3 * 1e-3
	case p.Kind == "profile":
		b := boxOf(polyline(p.Outline))
		s.HeightMM, s.WidthMM, s.MassKGM = b.longMM, b.shortMM, outlineAreaMM2(p.Outline)*steelKGM3*1e-6
	case p.Kind == "sphere" || p.Kind == "cone":
	default:
		s.MassKGM = s.areaMM2() * steelKGM3 * 1e-6
	}
	return s
}
