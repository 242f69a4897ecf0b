package stock

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pointup/pipeline/quantity"
)

// The bounds of routes: common practice, no source.
const (
	rolledLeastMM  = 150.0  // least outside diameter of a tube that is rolled and seamed
	rolledThinness = 100.0  // greatest outside diameter in walls, for a seam that stays round
	turnedMostMM   = 400.0  // greatest diameter on a lathe
	turnedLongMM   = 3000.0 // and greatest length
	turnedShare    = 0.2    // most that is turned off, of the diameter
	machinedShare  = 0.25   // most that is machined off, of the thickness
	layersMost     = 3      // plates that are laminated
	skinsLeast     = 6.0    // thickness of a built-up plate in skins
)

// routeWeight is the work of a route, in changed pieces: common practice, no
// source.
var routeWeight = map[string]float64{"rolled": 0.5, "mitred": 1.5, "turned": 0.5, "laminated": 0.3, "machined": 1, "built up": 1, "formed": 1}

// odd lists the routes of a size for which no stock is within the limits.
func (c *choosing) odd(f Family) []candidate {
	var all []candidate
	switch f.Class {
	case "hollow", "round":
		all = append(c.rolled(f), c.turned(f)...)
	case "flat", "strip", "rolled":
		all = append(c.laminated(f), append(c.machined(f), c.builtPlate(f)...)...)
	case "box", "angle", "shape":
		all = c.builtShape(f)
	case "formed":
		all = c.formed(f)
	}
	var out []candidate
	for _, x := range all {
		if !c.opt.bans(x.route.Kind) {
			x.work = routeWeight[x.route.Kind] * float64(len(f.Members))
			for _, s := range x.route.From {
				x.buys = append(x.buys, s.Mark)
			}
			slices.Sort(x.buys)
			x.buys = slices.Compact(x.buys)
			out = append(out, x)
		}
	}
	return out
}

// plateFrom is the thinnest plate of at least a thickness; sheet where there is
// no plate.
func (c *choosing) plateFrom(mm float64) (Size, bool) {
	for _, form := range []string{"plate", "sheet"} {
		var best *Size
		for s := range c.cat.each(form) {
			if s.ThicknessMM >= mm-1e-9 && (best == nil || s.ThicknessMM < best.ThicknessMM) {
				best = s
			}
		}
		if best != nil {
			return *best, true
		}
	}
	return Size{}, false
}

// bent tells whether any piece of a family is an arc, ring or coil.
func (c *choosing) bent(f Family) bool {
	return slices.ContainsFunc(f.Members, func(i int) bool {
		k := c.parts[i].Kind
		return k == "arc" || k == "ring" || k == "coil"
	})
}

// rolled is a tube of plate with one seam; a bend of it is mitred of short
// lengths, no chord of which leaves the centreline by more than the limit.
func (c *choosing) rolled(f Family) []candidate {
	if len(f.Lead) == 0 || f.Lead[0].ValueMM < rolledLeastMM {
		return nil
	}
	od := f.Lead[0].ValueMM
	plate, ok := c.plateFrom(max(c.opt.WallMinMM, od/rolledThinness))
	if !ok {
		return nil
	}
	t := plate.ThicknessMM
	s := Size{Mark: fmt.Sprintf("rolled %s x %s", tenth(od), plain(t)), Form: "rolled", System: plate.System, Standard: plate.Standard, ODMM: od, WallMM: t,
		WallDesignMM: t, MassKGM: math.Pi * (od - t) * 1e-3 * plate.MassKGM2, FromMemory: plate.FromMemory, Source: plate.Source}
	r := Route{Kind: "rolled", From: []Size{plate}, DevelopedMM: math.Pi * (od - t), Seams: 1}
	r.Text = fmt.Sprintf("roll %s to %s outside, one seam; developed width %s", plate.Mark, shown(od), shown(r.DevelopedMM))
	if c.bent(f) {
		r.Kind, r.Segments = "mitred", c.segments(f)
		s.Mark, s.Form = strings.Replace(s.Mark, "rolled", "mitred", 1), "mitred"
		r.Text += fmt.Sprintf("; mitred from straight lengths, %d to a whole turn", r.Segments)
	}
	return []candidate{{size: s, route: &r, why: fmt.Sprintf("%s: the thinnest plate not under wall_min nor 1/%.0f of the diameter", shown(t), rolledThinness)}}
}

// segments of a whole turn whose chords leave the arc by the limit: the rise is
// R(1 − cos(π/n)).
func (c *choosing) segments(f Family) int {
	n := 8
	for _, i := range f.Members {
		d, _ := c.parts[i].Size("centreline_diameter_mm")
		if x := 1 - 2*c.opt.limitMM(d)/max(d, 1); d > 0 && x > -1 && x < 1 {
			n = max(n, int(math.Ceil(math.Pi/math.Acos(x))))
		}
	}
	return min(n, 360)
}

// turned takes the next larger bar or tube down to size, before it is bent; the
// wall that is left reaches wall_min.
func (c *choosing) turned(f Family) []candidate {
	if len(f.Lead) == 0 || f.Lead[0].ValueMM > turnedMostMM || c.longest(f) > turnedLongMM {
		return nil
	}
	od := f.Lead[0].ValueMM
	var best *Size
	for s := range c.cat.each(formsOf(f.Class)...) {
		off := s.ODMM - od
		if off < 0 || off > turnedShare*od || s.WallMM > 0 && s.WallMM-off/2 < c.opt.WallMinMM {
			continue
		}
		if best == nil || s.MassKGM < best.MassKGM {
			best = s
		}
	}
	if best == nil {
		return nil
	}
	off := best.ODMM - od
	s := Size{Mark: fmt.Sprintf("turned %s of %s", tenth(od), best.Mark), Form: "turned", System: best.System, Standard: best.Standard, ODMM: od, FromMemory: best.FromMemory, Source: best.Source}
	why := "solid"
	if best.WallMM > 0 {
		s.WallMM = best.WallMM - off/2
		s.WallDesignMM = max(best.WallDesignMM-off/2, 0)
		why = fmt.Sprintf("%s: left of %s, not under wall_min", shown(s.WallMM), shown(best.WallMM))
	}
	s.MassKGM = s.areaMM2() * steelKGM3 * 1e-6
	r := Route{Kind: "turned", From: []Size{*best}, TakeOffMM: off, Text: fmt.Sprintf("turn %s down by %s to %s", best.Mark, shown(off), shown(od))}
	if c.bent(f) {
		r.Text += " before it is bent"
	}
	return []candidate{{size: s, route: &r, why: why}}
}

// shown prints a length in words: mm, and from 10 mm on feet and inches to a
// sixteenth beside it.
func shown(mm float64) string {
	text := quantity.Decimal(mm, 2) + " mm"
	if math.Abs(mm) >= 10 {
		text = quantity.Decimal(mm, 1) + " mm (" + quantity.FeetInches(mm) + ")"
	}
	return text
}

// longest is the greatest length of a family's pieces along their axes; one that
// is not known counts as none.
func (c *choosing) longest(f Family) float64 {
	most := 0.0
	for _, i := range f.Members {
		m := massing{p: c.parts[i]}
		if l := m.lengthMM(); len(m.unknown) == 0 {
			most = max(most, l)
		}
	}
	return most
}

// tenth prints mm to a tenth.
func tenth(mm float64) string { return fmt.Sprintf("%.1f", mm) }
