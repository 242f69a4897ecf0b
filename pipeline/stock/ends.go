package stock

import (
	"fmt"
	"iter"
	"math"
)

// seenEnds counts the ends of a family that nothing covers: of a tube with a bore
// all that were seen, at least one unless others meet its ends.
func (c *choosing) seenEnds(f Family) int {
	n := 0
	for _, i := range f.Members {
		own, met := 0, 0
		for _, e := range c.parts[i].Ends {
			switch {
			case e.Met:
				met++
			case e.Kind == "square" || e.Kind == "mitre" || e.Kind == "irregular":
				own++
			}
		}
		if own+met == 0 && f.Class == "hollow" && c.parts[i].Kind != "ring" {
			own = 1
		}
		n += own
	}
	return n
}

// rim is the mean wall that viewers see at open ends, at full size; 0 where none
// is seen.
func (c *choosing) rim(f Family) (mm float64) {
	sum, n := 0.0, 0.0
	if len(f.Lead) == 0 {
		return 0
	}
	for _, i := range f.Members {
		p := c.parts[i]
		w, ok := p.Size("wall_mm")
		if bore, seen := p.Size("section_bore_mm"); !ok && seen {
			w, ok = (f.Lead[0].ValueMM-bore)/2, true
		}
		if ok && w > 0 {
			sum, n = sum+w, n+1
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}

// ended adds to the candidates what is done at ends that are seen: a rim of the
// scan's wall by thicker tube or by a lip ring, a plate on the end of a tube that
// stands in for a solid bar.
func (c *choosing) ended(f Family, list []candidate) []candidate {
	n := float64(c.seenEnds(f))
	rim := 0.0
	if f.Class == "hollow" && n > 0 {
		rim = c.rim(f)
	}
	var out []candidate
	for _, x := range list {
		switch wall := x.size.WallMM; {
		case f.Class == "round" && wall > 0 && n > 0:
			x.end = "end plate"
			x.work += c.opt.EndWeight * n
		case rim > 0 && math.Abs(wall-rim) <= c.opt.limitMM(rim):
			x.end = "plain"
		case rim > 0:
			if thick, ok := c.scaledWall(f, x, rim); ok {
				out = append(out, thick)
			}
			x.end = "lip ring"
			x.work += c.opt.EndWeight * n
		}
		out = append(out, x)
	}
	return out
}

// scaledWall is the same outside with the wall of the scan, where that is made
// and no weaker than wall_min.
func (c *choosing) scaledWall(f Family, x candidate, rim float64) (candidate, bool) {
	s, ok := c.nearestWall(x.size, rim)
	if !ok || math.Abs(s.WallMM-rim) > c.opt.limitMM(rim) || s.WallMM < c.opt.WallMinMM || x.route != nil {
		return candidate{}, false
	}
	return candidate{size: s, end: "scaled wall", why: fmt.Sprintf("%s: that of the scan at full size, %s, which is seen at an open end", shown(s.WallMM), shown(rim)),
		buys: []string{s.Mark}}, true
}

// nearestWall is the stock of the same outside whose wall is nearest.
func (c *choosing) nearestWall(like Size, wall float64) (Size, bool) {
	var best *Size
	for s := range sameOutside(c.cat, like) {
		if best == nil || math.Abs(s.WallMM-wall) < math.Abs(best.WallMM-wall) {
			best = s
		}
	}
	if best == nil {
		return Size{}, false
	}
	return *best, true
}

// massOf is the mass of all members in another size, false where one is unknown.
func (c *choosing) massOf(f Family, s Size) (kg float64, ok bool) {
	ok = true
	for _, i := range f.Members {
		m, err := MassKG(c.parts[i], s, c.kgM3)
		kg, ok = kg+m, ok && err == nil
	}
	return kg, ok
}

// endMassKG is the mass of what closes or lines the ends, of all pieces.
func (c *choosing) endMassKG(p Pick) float64 {
	switch p.End {
	case "end plate":
		return c.lidsKG(p)
	case "lip ring":
		kg, _ := c.lips(p)
		return kg
	}
	return 0
}

// lid is the plate that closes an end: not thinner than the tube's wall.
func (c *choosing) lid(p Pick) Size {
	s, _ := c.plateFrom(max(c.opt.WallMinMM, p.Size.WallMM))
	return s
}

func (c *choosing) lidsKG(p Pick) float64 {
	return c.discsKG(p, p.Size.ODMM, 0, c.lid(p).ThicknessMM)
}

// discsKG is the mass of a disc or ring in each end that is seen.
func (c *choosing) discsKG(p Pick, outside, inside, deep float64) float64 {
	return float64(c.seenEnds(p.Family)) * math.Pi / 4 * (outside*outside - inside*inside) * deep * c.kgM3 * 1e-9
}

// lips are rings in the ends that make the rim as thick as the scan's; a tube that
// is thicker is bevelled from inside, for which nothing is counted.
func (c *choosing) lips(p Pick) (kg float64, text string) {
	rim, inner := c.rim(p.Family), p.Size.ODMM-2*p.Size.WallMM
	bore := max(p.Size.ODMM-2*rim, 0)
	if rim <= p.Size.WallMM {
		return 0, fmt.Sprintf("the ends are bevelled from inside until the rim is %s", shown(rim))
	}
	deep := max(rim, c.opt.WallMinMM)
	return c.discsKG(p, inner, bore, deep), fmt.Sprintf("%s, %s outside, %s inside, %s deep, welded into the ends",
		count(c.seenEnds(p.Family), "ring"), shown(inner), shown(bore), shown(deep))
}

// count is a number of things in words: 1 ring, 2 rings.
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// endDecision lists the ways to end an open tube, or one that stands in for a bar.
// Masses are against the way taken.
func (c *choosing) endDecision(p Pick) (Decision, bool) {
	if p.End == "" || p.End == "plain" {
		return Decision{}, false
	}
	d := Decision{Parts: p.Members, Letter: p.Letter, Taken: p.End}
	lid := Way{Name: "end plate", MassKG: c.lidsKG(p), Text: fmt.Sprintf("%s of %s of %s to close the ends", count(c.seenEnds(p.Family), "disc"), shown(p.Size.ODMM), c.lid(p).Mark)}
	if p.Class == "round" {
		d.What = fmt.Sprintf("a bar of the scan becomes a tube: open to the eye at %s", count(c.seenEnds(p.Family), "end"))
		d.Ways = []Way{lid, {Name: "plain", Text: "the ends stay open: a bore is seen where the scan has none"}}
		if solid := nearestTo(c.cat.Of("round"), p.Lead, func(Size) bool { return true }); solid != nil {
			kg, _ := c.massOf(p.Family, *solid)
			d.Ways = append(d.Ways, Way{Name: "solid", Mark: solid.Mark, ChangeMM: c.changeMM(p, *solid), MassKG: kg - p.MassKG + p.EndMassKG, Text: "the nearest round bar"})
		}
	} else {
		d.What = fmt.Sprintf("an open end is seen: its wall is %s at full size, the tube's %s", shown(c.rim(p.Family)), shown(p.Size.WallMM))
		d.Ways = append(c.rimWays(p), lid)
	}
	for i := range d.Ways {
		d.Ways[i].MassKG -= p.EndMassKG
	}
	return d, true
}

// rimWays are plain, scaled wall and lip ring; masses are against the bare tube.
func (c *choosing) rimWays(p Pick) []Way {
	s, rim := p.Size, c.rim(p.Family)
	strong := s
	if p.End == "scaled wall" { // the bare tube would be the strong one
		var same []Size
		for o := range sameOutside(c.cat, s) {
			same = append(same, *o)
		}
		if list, _ := walled(same, c.opt.WallMinMM); len(list) > 0 {
			strong = list[0]
		}
	}
	bare, _ := c.massOf(p.Family, s)
	kg, _ := c.massOf(p.Family, strong)
	out := []Way{{Name: "plain", Mark: strong.Mark, ChangeMM: strong.WallMM - rim, MassKG: kg - bare, Text: "the rim is as thick as the wall that strength asks for"}}
	if thick, ok := c.nearestWall(s, rim); ok {
		kg, _ := c.massOf(p.Family, thick)
		out = append(out, Way{Name: "scaled wall", Mark: thick.Mark, ChangeMM: thick.WallMM - rim, MassKG: kg - bare, Text: "the tube of this outside whose wall is nearest to the scan's"})
	}
	lip := p
	lip.Size = strong
	lipKG, text := c.lips(lip)
	return append(out, Way{Name: "lip ring", MassKG: lipKG + kg - bare, Text: text})
}

// sameOutside goes through the sizes that differ in nothing but the wall.
func sameOutside(cat Catalogue, like Size) iter.Seq[*Size] {
	same := outsideOf(&like)
	return func(yield func(*Size) bool) {
		for s := range cat.each(like.Form) {
			if outsideOf(s) == same && !yield(s) {
				return
			}
		}
	}
}
