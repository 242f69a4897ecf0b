package stock

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// thickness that a flat family shows; 0 where its edges are hidden.
func thickness(f Family) float64 {
	for _, l := range f.Lead {
		if l.Key == "thickness_mm" {
			return l.ValueMM
		}
	}
	return 0
}

// oddPlate is a plate of an odd thickness.
func oddPlate(form string, t float64, of []Size) Size {
	marks := make([]string, len(of))
	s := Size{Form: form, System: of[0].System, Standard: of[0].Standard, ThicknessMM: t, Source: of[0].Source}
	for i, p := range of {
		marks[i] = p.Mark
		s.FromMemory = s.FromMemory || p.FromMemory
	}
	s.Mark = fmt.Sprintf("%s %s of %s", form, tenth(t), strings.Join(marks, " + "))
	return s
}

// laminated lays two or three plates on one another: the sum nearest to the
// thickness, fewest layers first. Layers of bent plate are rolled each to its own
// radius.
func (c *choosing) laminated(f Family) []candidate {
	t := thickness(f)
	plates := c.cat.Of("plate")
	if t == 0 || len(plates) == 0 {
		return nil
	}
	slices.SortStableFunc(plates, func(a, b Size) int { return compare(b.ThicknessMM, a.ThicknessMM) })
	for n := 2; n <= layersMost; n++ {
		best, away := layers(plates, t, n)
		if best == nil || away > c.opt.limitMM(t) {
			continue
		}
		sum, mass := 0.0, 0.0
		for _, p := range best {
			sum, mass = sum+p.ThicknessMM, mass+p.MassKGM2
		}
		s := oddPlate("laminated", sum, best)
		s.MassKGM2 = mass
		r := Route{Kind: "laminated", From: best, Text: fmt.Sprintf("%d layers, plug- and edge-welded, %s together", n, shown(sum))}
		if f.Class == "rolled" {
			r.Text += "; each is rolled to its own radius"
		}
		return []candidate{{size: s, route: &r}}
	}
	return nil
}

// layers returns n plates, falling, whose sum is nearest to t; plates are sorted,
// thickest first. Of very long lists only pairs are tried.
func layers(plates []Size, t float64, n int) (best []Size, away float64) {
	away = math.Inf(1)
	if n > 2 && len(plates) > 500 {
		return nil, away
	}
	pick := make([]Size, 0, n)
	var walk func(from int, left float64)
	walk = func(from int, left float64) {
		if len(pick) == n-1 { // the last is looked up, not tried
			at, _ := slices.BinarySearchFunc(plates[from:], left, func(p Size, want float64) int { return compare(want, p.ThicknessMM) })
			for i := max(from, from+at-1); i < min(len(plates), from+at+1); i++ {
				if d := math.Abs(left - plates[i].ThicknessMM); d < away-1e-9 {
					best, away = append(slices.Clone(pick), plates[i]), d
				}
			}
			return
		}
		for i := from; i < len(plates); i++ {
			if plates[i].ThicknessMM < left {
				pick = append(pick, plates[i])
				walk(i, left-plates[i].ThicknessMM)
				pick = pick[:len(pick)-1]
			}
		}
	}
	walk(0, t)
	return best, away
}

// machined takes the next thicker plate down.
func (c *choosing) machined(f Family) []candidate {
	t := thickness(f)
	p, ok := c.plateFrom(t)
	if t == 0 || !ok || p.ThicknessMM-t > machinedShare*t {
		return nil
	}
	s := oddPlate("machined", t, []Size{p})
	s.MassKGM2 = t * steelKGM3 * 1e-3
	off := p.ThicknessMM - t
	r := Route{Kind: "machined", From: []Size{p}, TakeOffMM: off, Text: fmt.Sprintf("machine %s off %s", shown(off), p.Mark)}
	if f.Class == "rolled" {
		r.Text += " before it is rolled"
	}
	return []candidate{{size: s, route: &r}}
}

// builtPlate is two skins with a strip between them along all edges; wheels have
// too many.
func (c *choosing) builtPlate(f Family) []candidate {
	t := thickness(f)
	skin, ok := c.plateFrom(c.opt.WallMinMM)
	if !ok || t < skinsLeast*skin.ThicknessMM || slices.ContainsFunc(f.Members, func(i int) bool { return c.parts[i].Kind == "toothed_wheel" }) {
		return nil
	}
	s := oddPlate("built up", t, []Size{skin})
	strip := t - 2*skin.ThicknessMM
	s.MassKGM2, s.MassKGM = 2*skin.MassKGM2, strip*1e-3*skin.MassKGM2
	r := Route{Kind: "built up", From: []Size{skin}, StripMM: strip,
		Text: fmt.Sprintf("two skins of %s and a strip %s wide along all edges and holes, hollow between", skin.Mark, shown(strip))}
	return []candidate{{size: s, route: &r}}
}
