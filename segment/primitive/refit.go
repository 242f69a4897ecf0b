package primitive

import "gonum.org/v1/gonum/spatial/r3"

// Refit fits what the patch was found to be to other facets of the same piece:
// it starts from the axis of like and tries no other kind. Where the fit is not
// as good as that one, the patch is recognised afresh.
func Refit(p *Patch, like Element, opt Options) Element {
	if e, ok := refit(p, like, opt); ok {
		return e
	}
	return Recognise(p, opt)
}

// Extend fits what like is to a patch that takes in more than like's own; tried
// is false for kinds that have no start from a known axis, ok where it holds.
func Extend(p *Patch, like Element, opt Options) (e Element, ok, tried bool) {
	if _, _, tried = refitProposal(p, like); tried {
		e, ok = refit(p, like, opt)
	}
	return e, ok, tried
}

// What a refit may be worse by: its facets are chosen by the first fit's own
// surface, so that its scatter hardly grows and little of its surface is lost.
// refitExplained is more than a first fit needs, which still has weld in it.
const (
	refitRMS       = 1.2
	refitCoverage  = 0.1
	refitExplained = 0.9
	refitSeen      = 0.6 // of a plate, or a turn: less may be a part of a ring or profile
)

func refit(p *Patch, like Element, opt Options) (Element, bool) {
	propose, axis, ok := refitProposal(p, like)
	if !ok || len(p.Facet) == 0 {
		return Element{}, false
	}
	scout := p.thin(scoutVertices)
	var list []candidate
	for _, c := range propose(scout, axis) {
		if c.settle(scout, opt, scouting) {
			list = append(list, c)
		}
	}
	rank(list)
	for i := range list {
		c := &list[i]
		if !c.measure(p, opt) || c.explained < refitExplained {
			continue
		}
		e := c.element(p)
		good := e.Kind == like.Kind && e.Section == like.Section && len(e.Hidden) <= len(like.Hidden) &&
			e.RMSMM <= refitRMS*max(like.RMSMM, p.NoiseMM) && e.Coverage >= like.Coverage-refitCoverage
		return e, good
	}
	return Element{}, false
}

// refitProposal is the proposal that like came from, with its axis; ok is false
// for kinds whose start needs a search of its own, or whose name the outline
// decides.
func refitProposal(p *Patch, like Element) (propose proposal, axis []motion, ok bool) {
	d := like.Frame.Axis
	if norm(d) == 0 || like.Standing() { // the face that nobody saw is no weld beside it
		return nil, nil, false
	}
	bare := []motion{{f: newFrame(r3.Vec{}, d)}}
	located := []motion{{f: newFrame(r3.Sub(like.Frame.OriginMM, p.OriginMM), d), located: true}}
	if len(like.Lands) > 0 {
		return proposeStepped, bare, true
	}
	switch s := like.solid.(type) {
	case *round:
		return proposeRound, bare, s.free || like.Coverage > refitSeen
	case *torus:
		return proposeTorus, located, like.Coverage > refitSeen
	case *toothedWheel:
		return proposeSlab, bare, true
	case *plate: // of which little was seen, weld, or no side, it may be something else
		return proposeSlab, bare, like.Kind == "plate" && like.Coverage > refitSeen && !like.hides("length_mm", "width_mm")
	case *bend:
		return proposeBend, located, true
	case *sector:
		return proposeSector, located, true
	case *chain:
		return proposeChain, nil, true
	}
	return nil, nil, false
}
