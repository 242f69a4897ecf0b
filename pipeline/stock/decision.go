package stock

import (
	"fmt"
	"math"
	"slices"
)

// decisions lists what the user may turn round about a family.
func (c *choosing) decisions(p Pick, list []candidate) []Decision {
	var out []Decision
	if d, ok := c.endDecision(p); ok {
		out = append(out, d)
	}
	if d, ok := c.bendDecision(p); ok {
		out = append(out, d)
	}
	d := Decision{Parts: p.Members, Letter: p.Letter, Taken: p.Size.Mark}
	nearest := c.nearestWay(p)
	switch {
	case p.Made || p.Class == "free":
	case p.Missing:
		d.What, d.Taken = "no stock within the limits and no route: name the nearest to accept its change, or add a table", "none"
		out = append(out, with(d, nearest))
	case p.Pinned && !p.Within:
		d.What = fmt.Sprintf("the stock that was named changes the scan by %s, more than the limit", shown(p.ChangeMM))
		d.Ways = []Way{{Name: "as named", Mark: p.Size.Mark, ChangeMM: p.ChangeMM}}
		out = append(out, with(d, nearest))
	case p.Route != nil && !p.Pinned:
		d.What = "no stock within the limits: the size is odd"
		for _, x := range list {
			kg, _ := c.massOf(p.Family, x.size)
			d.Ways = append(d.Ways, Way{Name: x.route.Kind, MassKG: kg - p.MassKG, ChangeMM: c.changeMM(p, x.size), Text: x.route.Text})
		}
		out = append(out, with(d, nearest))
	case p.Size.Form == "round" && p.Class == "round":
		if tube := c.tubeInstead(p); tube != nil {
			d.What = "a solid bar, where a tube of the next size weighs less than half: name it to accept its change"
			d.Ways = []Way{{Name: "solid", Mark: p.Size.Mark, ChangeMM: p.ChangeMM}, *tube}
			out = append(out, d)
		}
	case p.Size.WallMM > 0 && p.Size.WallMM < c.opt.WallMinMM-1e-9:
		d.What = fmt.Sprintf("the thickest wall of this outside is %s, under wall_min", shown(p.Size.WallMM))
		d.Ways = []Way{{Name: "as chosen", Mark: p.Size.Mark, ChangeMM: p.ChangeMM}}
		out = append(out, d)
	}
	return out
}

// tubeInstead is the nearest tube to a solid bar, where it weighs less than half.
func (c *choosing) tubeInstead(p Pick) *Way {
	list, _ := walled(c.cat.Of("pipe", "tube"), c.opt.WallMinMM)
	tube := nearestTo(list, p.Lead, func(s Size) bool { return s.WallMM >= c.opt.WallMinMM })
	if tube == nil || tube.MassKGM > p.Size.MassKGM/2 {
		return nil
	}
	kg, _ := c.massOf(p.Family, *tube)
	return &Way{Name: "tube", Mark: tube.Mark, ChangeMM: c.changeMM(p, *tube), MassKG: kg - p.MassKG, Text: "its ends need plates where they are seen"}
}

func with(d Decision, w *Way) Decision {
	if w != nil {
		d.Ways = append(slices.Clone(d.Ways), *w)
	}
	return d
}

// nearestWay is to take the nearest stock whatever its change.
func (c *choosing) nearestWay(p Pick) *Way {
	if p.Nearest == nil {
		return nil
	}
	kg, _ := c.massOf(p.Family, *p.Nearest)
	return &Way{Name: "nearest stock", Mark: p.Nearest.Mark, ChangeMM: c.changeMM(p, *p.Nearest), MassKG: kg - p.MassKG, Text: "name it as stock to accept its change"}
}

func (c *choosing) changeMM(p Pick, s Size) float64 {
	_, worst := c.opt.strain(s, p.Lead)
	if worst < 0 {
		return 0
	}
	return s.Of(p.Lead[worst].Key) - p.Lead[worst].ValueMM
}

// bendLeast is the least radius of a centreline, in outside diameters, that three
// rolls or a simple former make; from memory, no source.
const bendLeast = 3.0

// bendDecision lists how tight bends are made.
func (c *choosing) bendDecision(p Pick) (Decision, bool) {
	least := math.Inf(1)
	for _, i := range p.Members {
		for _, part := range append([]Part{c.parts[i]}, segmentParts(c.parts[i])...) {
			if d, ok := part.Size("centreline_diameter_mm"); ok && p.Size.ODMM > 0 {
				least = min(least, d/2/p.Size.ODMM)
			}
		}
	}
	if least >= bendLeast || p.Made || p.Size.Form == "mitred" {
		return Decision{}, false
	}
	return Decision{Parts: p.Members, Letter: p.Letter, Taken: "bent with a mandrel or hot",
		What: fmt.Sprintf("the centreline's radius is %.1f outside diameters, under %.0f: rolls would fold the wall", least, bendLeast),
		Ways: []Way{{Name: "bent with a mandrel or hot", Mark: p.Size.Mark, Text: "ask the bender before buying"},
			{Name: "mitred", Mark: p.Size.Mark, Text: fmt.Sprintf("straight lengths, %d to a whole turn", c.segments(p.Family))}}}, true
}

// segmentParts are the segments of a compound bend as parts with their sizes.
func segmentParts(p Part) []Part {
	var out []Part
	for _, s := range p.Segments {
		out = append(out, Part{Kind: s.Kind, Dims: s.Dims})
	}
	return out
}
