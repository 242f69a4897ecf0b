package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// associate fits the candidate's solid. A tube or bar of which a few facets look
// like an end that the scan does not show may have no fit: it is tried again
// without that end. So is a rolled plate or flat arc that stands on one edge, of
// which nothing is seen.
func (c *candidate) associate(p *Patch, to aim) (association, error) {
	if s, ok := c.sol.(*sector); ok {
		a, err := associate(p, s, c.gateMM, to, c.settled)
		if err != nil && s.conceal(a) {
			return associate(p, s, c.gateMM, to, c.settled)
		}
		return a, err
	}
	r, ok := c.sol.(*round)
	if !ok || !r.free {
		return associate(p, c.sol, c.gateMM, to, c.settled)
	}
	before := *r
	a, err := associate(p, r, c.gateMM, to, c.settled)
	for k := lowEnd; k <= highEnd && err != nil; k++ {
		*r = before
		if r.seen[k] {
			r.seen[k] = false
			a, err = associate(p, r, c.gateMM, to, c.settled)
		}
	}
	return a, err
}

// endsFirst puts a tube or bar before the same one of which fewer ends were
// found: from a poor start, ends are overlooked.
func endsFirst(list []candidate) {
	if len(list) == 0 {
		return
	}
	first, ok := list[0].sol.(*round)
	if !ok || !first.free {
		return
	}
	for i := range list {
		c := list[i]
		r, ok := c.sol.(*round)
		if ok && r.free && r.endsSeen() > first.endsSeen() && math.Abs(r.ro-first.ro) < 0.02*first.ro &&
			math.Abs(r3.Dot(r.f.D, first.f.D)) > 0.9998 && c.explained >= list[0].explained-0.01 {
			toFront(list, i)
			return
		}
	}
}

func (c *round) endsSeen() int {
	n := 0
	for _, s := range c.seen[lowEnd:] {
		if s {
			n++
		}
	}
	return n
}
