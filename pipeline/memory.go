package pipeline

import "runtime/debug"

// A mesh takes facetBytes a facet, and garbage may come to garbageBytes, or to a
// twentieth of the mesh, before it is collected. Meshes hold no pointers, so that to
// look through one takes no time, however large it is.
const (
	facetBytes   = 70
	garbageBytes = 12 << 20
)

// lean makes the collector keep garbage small beside a scan of so many facets,
// where as a rule it lets it grow to the size of all that lives; beside a small one,
// of which the fits make more garbage than all that lives, to twice that. undo sets
// it back.
func lean(facets int) (undo func()) {
	percent := 100 * garbageBytes / max(facetBytes*facets, 1)
	old := debug.SetGCPercent(min(max(percent, 5), 200))
	return func() { debug.SetGCPercent(old) }
}

// tidyLeast are the facets from which room matters more than the moment that it takes
// to give it back.
const tidyLeast = 1_000_000

// tidy collects garbage beside a scan of so many facets and gives its room back to the
// system, before lists of all facets are made.
func tidy(facets int) {
	if facets >= tidyLeast {
		debug.FreeOSMemory()
	}
}
