package synthetic

// decimated returns s with about the given share of its facets.
func decimated(s Shell, share float64) Shell {
	return s
}
