package primitive

import "gonum.org/v1/gonum/spatial/r3"

// MayRun tells whether a patch may be a profile along d, an approximate direction: a
// look at a thinned one, many times faster than Recognise; false only where not even a
// start for one is found.
func MayRun(p *Patch, d r3.Vec) bool {
	scout := p.thin(scoutVertices)
	d, ok := alongWalls(scout, d)
	if !ok {
		return false
	}
	if _, ok := startSlab(scout, d); ok {
		return true
	}
	if _, ok := startStanding(scout, d); ok {
		return true
	}
	if _, ok := prismStart(scout, d); ok {
		return true
	}
	_, ok = endlessStart(scout, d)
	return ok
}
