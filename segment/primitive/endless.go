package primitive

// associate fits the candidate's solid. A tube or bar of which a few facets look
// like an end that the scan does not show may have no fit: it is tried again
// without that end.
func (c *candidate) associate(p *Patch, coarse bool) (association, error) {
	r, ok := c.sol.(*round)
	if !ok || !r.free {
		return associate(p, c.sol, c.gateMM, coarse)
	}
	before := *r
	a, err := associate(p, r, c.gateMM, coarse)
	for k := lowEnd; k <= highEnd && err != nil; k++ {
		*r = before
		if r.seen[k] {
			r.seen[k] = false
			a, err = associate(p, r, c.gateMM, coarse)
		}
	}
	return a, err
}
