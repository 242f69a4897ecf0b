package stock

import (
	"fmt"
	"slices"
	"strings"
)

// routes are the names by which ways to make odd sizes are banned.
var routes = []string{"rolled", "mitred", "turned", "laminated", "machined", "built up", "formed"}

// without takes out banned forms, standards and marks; a ban that names nothing
// is an error.
func (c Catalogue) without(ban []string) (Catalogue, error) {
	if len(ban) == 0 {
		return c, nil
	}
	marks := map[string]bool{}
	for _, b := range ban {
		word := strings.ToLower(strings.TrimSpace(b))
		known := slices.Contains(Forms(), word) || slices.Contains(routes, word)
		for _, s := range c.Sizes {
			if s.Form == word || strings.EqualFold(s.Standard, strings.TrimSpace(b)) {
				marks[s.Mark], known = true, true
			}
		}
		if s, ok := c.Find(b); ok {
			marks[s.Mark], known = true, true
		}
		if !known {
			return Catalogue{}, fmt.Errorf("the ban %q names no form, route, standard or mark; the forms are %s; the routes are %s; the nearest marks are %s",
				b, strings.Join(Forms(), ", "), strings.Join(routes, ", "), strings.Join(c.Suggest(b), ", "))
		}
	}
	if len(marks) == 0 {
		return c, nil
	}
	var left []Size
	for _, s := range c.Sizes {
		if !marks[s.Mark] {
			left = append(left, s)
		}
	}
	return Catalogue{}.add(left, markKey)
}

func (o Options) bans(route string) bool {
	return slices.ContainsFunc(o.Ban, func(b string) bool { return strings.EqualFold(strings.TrimSpace(b), route) })
}
