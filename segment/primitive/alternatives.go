package primitive

// mostAlternatives bounds the list; what ranks lower is of no use to anyone.
const mostAlternatives = 3

// alternatives are the other kinds that were eligible, in order of rank, but for
// the kind that was taken. The deviations are those of the scouting fit.
func alternatives(list []candidate, kind string) []Alternative {
	var out []Alternative
	seen := map[string]bool{kind: true}
	for i := range list {
		if k := list[i].kind(); !seen[k] && len(out) < mostAlternatives {
			seen[k] = true
			out = append(out, Alternative{Kind: k, RMSMM: list[i].rmsMM})
		}
	}
	return out
}

// kind is what the candidate would be called by its form alone.
func (c *candidate) kind() string {
	switch s := c.sol.(type) {
	case *round:
		return s.kind()
	case *torus:
		return "ring"
	case *toothedWheel:
		return "toothed_wheel"
	case *bend, *chain:
		return "arc"
	case *coil:
		return "coil"
	case *sector:
		if s.ro-s.ri >= s.widthMM() {
			return "arc"
		}
		return "rolled_plate"
	case *coneSection:
		return "rolled_plate"
	case *sphere:
		return "sphere"
	case *cone:
		return "cone"
	}
	return "plate"
}

func (c *round) kind() string {
	flat := c.lengthMM() <= c.ro
	switch {
	case flat && c.ri > 0:
		return "ring"
	case flat:
		return "disc"
	case c.ri > 0:
		return "tube"
	}
	return "bar"
}
