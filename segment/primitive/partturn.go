package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Gaps in a turn's round, degrees: in a scan with open edges a smaller one may
// be what the scanner did not see.
// Of a gap over gapLongDeg one end of the piece in sight tells the same as both.
const (
	gapDeg     = 4
	gapOpenDeg = 40
	gapLongDeg = 120
)

// turnGapDeg is the longest part of the candidate's turn that holds no facet,
// degrees, less what facets of this size leave between their centres; 0 for what
// is no full turn.
func (c *candidate) turnGapDeg(p *Patch) float64 {
	var f frame
	var radius float64
	switch s := c.sol.(type) {
	case *round:
		if s.ri == 0 {
			return 0
		}
		f, radius = s.f, s.ri
	case *torus:
		f, radius = s.f, s.rc
	default:
		return 0
	}
	const sectors = 720
	var filled [sectors]bool
	for _, q := range p.FacetC {
		u, v, _ := f.local(q)
		filled[min(int((math.Atan2(v, u)+math.Pi)/(2*math.Pi)*sectors), sectors-1)] = true
	}
	_, gap := longestGap(filled[:])
	return max(float64(gap)*360/sectors-1.5*p.EdgeMM/radius*180/math.Pi, 0)
}

// halfTurn tells a full turn of which an open scan lacks more than things across
// it hide.
func (c *candidate) halfTurn(p *Patch) bool {
	return p.OpenEdges > 0 && c.turnGapDeg(p) > gapLongDeg
}

// parted tells whether the candidate is a full turn of which a closed scan lacks
// a part.
func (c *candidate) parted(p *Patch) bool { return c.turnGapDeg(p) > gapDeg }

// partOfTurn tells that a full turn, ring, tube or disc, lacks a part of its
// round while a swept piece with its ends in sight explains as much: then it is
// that piece, whose place in the list is given, not a ring that the scan saw
// little of.
func partOfTurn(p *Patch, c *candidate, list []candidate) (at int, ok bool) {
	least := float64(gapDeg)
	if p.OpenEdges > 0 {
		least = gapOpenDeg
	}
	gap := c.turnGapDeg(p)
	if gap < least {
		return 0, false
	}
	for i := range list {
		o := &list[i]
		seen, arc := o.endsInSight()
		if !arc || seen == 0 || seen == 1 && gap < gapLongDeg {
			continue
		}
		enough := c.explained - 0.05
		if gap > gapLongDeg { // the wide gate of a large turn reaches over the ends
			enough = min(enough, refitExplained)
			if seen == 2 && o.sheet && o.rmsMM <= c.rmsMM { // the walls of its holes are not known yet
				enough = min(enough, minExplained)
			}
		}
		if o.explained >= enough && o.rmsMM <= 1.5*max(c.rmsMM, p.NoiseMM) {
			return i, true
		}
	}
	return 0, false
}

// endsInSight is the number of its ends that a part of a turn shows; ok is false
// for what is none.
func (c *candidate) endsInSight() (n int, ok bool) {
	var ends arcEnds
	switch s := c.sol.(type) {
	case *bend:
		ends = s.ends
	case *sector:
		ends = s.ends
	case *coneSection:
		ends = s.ends
	default:
		return 0, false
	}
	for _, seen := range ends.seen {
		if seen {
			n++
		}
	}
	return n, true
}

// partFirst puts the part of a turn before the full turn that it is too.
func partFirst(list []candidate, p *Patch) {
	if len(list) == 0 {
		return
	}
	if i, ok := partOfTurn(p, &list[0], list); ok {
		toFront(list, i)
	}
}

// turnFirst puts a full turn before a part of one of which no end is seen, where
// it explains as much and only lacks what something across it can hide.
func turnFirst(list []candidate, p *Patch) {
	if len(list) == 0 || p.OpenEdges == 0 {
		return
	}
	if _, cone := list[0].sol.(*coneSection); cone {
		return
	}
	if seen, arc := list[0].endsInSight(); !arc || seen > 0 {
		return
	}
	for i := range list {
		c := list[i]
		if c.fullTurn() && c.turnGapDeg(p) < gapOpenDeg && c.explained >= list[0].explained-0.05 && c.rmsMM <= 1.5*max(list[0].rmsMM, p.NoiseMM) {
			toFront(list, i)
			return
		}
	}
}

// slabFirst puts a plate before a disc or ring of which an open scan shows less
// than half, where its rim or bore is no closer to what is seen of them than
// dents would be, and the plate fits: between two faces that both have, a turn
// of any size has a rim that dents could explain.
func slabFirst(list []candidate, p *Patch, opt Options) {
	if len(list) == 0 || p.OpenEdges == 0 || !list[0].sizeable() {
		return
	}
	for i := range list {
		if _, ok := list[i].sol.(*plate); !ok || list[0].formMM <= limit(p, list[i].sizeMM, opt) || list[i].rmsMM > 1.5*max(list[0].rmsMM, p.NoiseMM) || list[i].explained < refitExplained {
			continue
		}
		if list[0].covers(p, opt); list[0].coverage >= 0.5 {
			return
		}
		toFront(list, i)
		return
	}
}

// faceFirst puts a flat bar between its two broad faces before the same one between
// its edges or ends, where it fits as well: its frame stands on the faces.
func faceFirst(list []candidate, p *Patch) {
	if len(list) == 0 {
		return
	}
	on, ok := list[0].sol.(*plate)
	if !ok || len(on.inner) > 0 || !on.rectangular() || on.thicknessMM() <= on.box.WidthMM*1.0001 {
		return
	}
	sin, cos := math.Sincos(on.box.AngleRad)
	short := on.f.dir(-sin, cos, 0)
	for i := range list {
		c := list[i]
		if pl, ok := c.sol.(*plate); ok && math.Abs(r3.Dot(pl.f.D, short)) > facingCos && c.rmsMM <= 1.2*max(list[0].rmsMM, p.NoiseMM) && c.explained >= list[0].explained-0.05 {
			toFront(list, i)
			return
		}
	}
}

// rolledFirst puts a rolled plate before the same one found between its edges, where it
// fits as well, by the bounds of turnFirst and a scatter that its name does not change:
// the walls of its holes are not known yet. Between edges is what has more wall than face.
func rolledFirst(list []candidate, p *Patch) {
	first := slices.IndexFunc(list, func(c candidate) bool {
		on, ok := c.sol.(*plate)
		return ok && !on.rectangular() && on.perimeterMM*on.thicknessMM() > 2*on.netMM2
	})
	if first < 0 {
		return
	}
	for i := first + 1; i < len(list); i++ {
		c := list[i]
		if c.kind() == "rolled_plate" && c.rmsMM <= 1.1*max(list[first].rmsMM, p.NoiseMM) && c.explained >= list[first].explained-0.05 {
			toFront(list[first:], i-first)
			return
		}
	}
}

// facingCos is that of the angle between a plate's normal and the short side of the
// same plate seen from its edge.
const facingCos = 0.999

// fullTurn tells a ring of either section.
func (c *candidate) fullTurn() bool {
	switch s := c.sol.(type) {
	case *round:
		return !s.free && s.ri > 0
	case *torus:
		return true
	}
	return false
}
