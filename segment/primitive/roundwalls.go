package primitive

import "math"

// roundWalls tells, before an outline is fitted to the walls of a closed scan, what
// plate.plainRound would say of it, and that there are no teeth: the outer wall is a
// circle within half of what either allows, and all inside are circles about the
// same centre.
func roundWalls(p *Patch, outer *wallLoop, inner []wallLoop) bool {
	if p.OpenEdges > 0 {
		return false
	}
	q, r, _, _, ok := circleOf(outer.Chain)
	if !ok || turnSeen(outer.Chain, q) < 1 {
		return false
	}
	most := max(4*p.NoiseMM, teethShare*r/2)
	for _, x := range [][][2]float64{outer.Chain, outer.Point} {
		for _, a := range x {
			if math.Abs(hypot(a[0]-q[0], a[1]-q[1])-r) > most {
				return false
			}
		}
	}
	for i := range inner {
		if !roundAbout(p, &inner[i], q, ownShare*r) {
			return false
		}
	}
	return true
}

// roundAbout tells a round hole whose centre is within offMM of q.
func roundAbout(p *Patch, w *wallLoop, q [2]float64, offMM float64) bool {
	c, r, rms, _, ok := circleOf(wallPoints(*w))
	return ok && insideChain(c, w.Chain) && rms < max(2*p.NoiseMM, 0.02*r) && hypot(c[0]-q[0], c[1]-q[1]) <= offMM
}
