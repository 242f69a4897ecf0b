package primitive

import "fmt"

// whyFreeform says in a sentence which kind came nearest to a freeform and what
// spoke against it.
func whyFreeform(p *Patch, opt Options) string {
	scout := p.thin(whyVertices)
	directions := principalDirections(scout)
	bare, located := unlocated(directions), slidingMotions(scout, directions)
	var best *candidate
	try := func(list []proposal, axes []motion) {
		for _, propose := range list {
			for _, c := range propose(scout, axes) {
				c.settle(scout, opt, scouting)
				if c.explained > 0 && (best == nil || c.explained > best.explained) {
					best = &c
				}
			}
		}
	}
	try(simple, bare)
	try(axisless, nil)
	try(swept, located)
	const none = "no known kind: "
	if best == nil || best.explained < 0.3 {
		return none + "no axis, direction or sweep was found along which the surface repeats itself"
	}
	var e Element
	alone := *scout
	alone.full = nil // no search for holes in the whole: only the kind's name is wanted
	best.describe(&e, best.fit, &alone)
	if most := limit(p, best.sizeMM, opt); best.formMM > most || best.rmsMM > most {
		return fmt.Sprintf("%sthe nearest, %s, is off by %.2g mm, more than the limit of %.2g mm; its surfaces account for %.0f %% of the scan",
			none, e.Kind, max(best.formMM, best.rmsMM), most, 100*best.explained)
	}
	if best.explained < best.leastExplained() {
		return fmt.Sprintf("%sthe surfaces of the nearest, %s, account for only %.0f %% of the scan", none, e.Kind, 100*best.explained)
	}
	return fmt.Sprintf("%sthe scan shows too little of the nearest, %s", none, e.Kind)
}

// whyVertices are fewer than decide on a kind: they need only tell which is near.
const whyVertices = 1500
