package primitive

import "slices"

// saidShare widens the form limit where somebody who has the piece in hand says
// what it is: thrice the usual, so that a badly dented tube is still fitted as
// one, but no plate ever as a ring.
const saidShare = 3

// RecogniseAs fits the kind that the user says the patch is; ok is false where it
// cannot be that: no candidate of the kind lies within thrice the form limit.
//
// Kinds that differ by what was seen or by proportion alone follow the user: a
// bar becomes a tube with a hidden bore, a disc a ring with one, a short tube a
// flat ring and the other way round.
func RecogniseAs(p *Patch, opt Options, kind string) (e Element, ok bool) {
	if len(p.Facet) == 0 {
		return freeform(p), kind == "freeform"
	}
	if kind == "freeform" {
		return freeform(p), true
	}
	if e = Recognise(p, opt); e.become(kind) {
		return e, true
	}
	opt.FormShare *= saidShare
	opt.FormNoise *= saidShare
	for _, c := range everyCandidate(p, opt) {
		if !c.measure(p, opt) {
			continue
		}
		if x := c.element(p); x.become(kind) {
			return x, true
		}
	}
	return e, false
}

// everyCandidate lists what is eligible of all proposals, best first.
func everyCandidate(p *Patch, opt Options) []candidate {
	scout := p.thin(scoutVertices)
	directions := principalDirections(scout)
	bare, located := unlocated(directions), slidingMotions(scout, directions)
	var list []candidate
	try := func(proposals []proposal, axes []motion) {
		for _, propose := range proposals {
			for _, c := range propose(scout, axes) {
				if c.settle(scout, opt, scouting) {
					list = append(list, c)
				}
			}
		}
	}
	try(simple, bare)
	try(axisless, nil)
	try([]proposal{proposeSlab, proposeStepped, proposePrism}, bare)
	try([]proposal{proposeChain}, nil)
	try([]proposal{proposeRound}, elsewhere(located, directions))
	try([]proposal{proposeTorus}, located)
	try(swept, located)
	rank(list)
	return list
}

// element describes the settled candidate.
func (c *candidate) element(p *Patch) Element {
	var e Element
	fitted := p.thin(fitVertices)
	c.fit.weigh(fitted, c.sol)
	c.describe(&e, c.fit, fitted)
	e.RMSMM, e.Coverage = c.rmsMM, c.coverage
	e.solid, e.solidOriginMM = c.sol, p.OriginMM
	deviate(&e, p, c)
	return e
}

// become turns the element into another kind of the same shape, where only what
// was seen, or a proportion, tells them apart.
func (e *Element) become(kind string) bool {
	round := map[string]string{"bar": "length_mm", "tube": "length_mm", "disc": "thickness_mm", "ring": "thickness_mm"}
	from, to := round[e.Kind], round[kind]
	switch {
	case e.Kind == kind:
		return true
	case from == "" || to == "" || e.Section == "round" || len(e.Holes) > 0:
		return false
	}
	_, bore := e.Dim("inside_diameter_mm")
	if bored := kind == "tube" || kind == "ring"; bore && !bored {
		return false // what has a bore is no bar
	}
	e.rename(from, to)
	e.Notes = slices.DeleteFunc(e.Notes, func(s string) bool { return s == "hollow: unknown" })
	e.Hidden = slices.DeleteFunc(e.Hidden, func(s string) bool { return s == "wall_mm" || s == "inside_diameter_mm" })
	e.Dims = slices.DeleteFunc(e.Dims, func(d Dimension) bool { return d.Key == "wall_mm" })
	e.Kind, e.Section = kind, ""
	switch kind {
	case "ring":
		e.Section = "flat"
		if !bore {
			e.hide("inside_diameter_mm")
		}
	case "tube":
		if bore {
			e.addWall()
		} else {
			e.hide("inside_diameter_mm", "wall_mm")
		}
	}
	return true
}

// rename gives a dimension another key.
func (e *Element) rename(from, to string) {
	for i := range e.Dims {
		if e.Dims[i].Key == from {
			e.Dims[i].Key = to
		}
	}
	for i := range e.Hidden {
		if e.Hidden[i] == from {
			e.Hidden[i] = to
		}
	}
}

// addWall gives a tube that was a ring its wall: half the difference of the
// diameters, whose errors are added as if each were wholly in the wall.
func (e *Element) addWall() {
	var out, in Dimension
	for _, d := range e.Dims {
		switch d.Key {
		case "outside_diameter_mm":
			out = d
		case "inside_diameter_mm":
			in = d
		}
	}
	e.add("wall_mm", (out.Value-in.Value)/2, (out.U95+in.U95)/2)
}
