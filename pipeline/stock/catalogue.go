package stock

import (
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"
)

// Catalogue is what may be bought: sizes in the order of their tables. The zero
// value is empty.
type Catalogue struct {
	Sizes []Size
	index map[string]int // key of a mark → Sizes
}

// Find returns the size of a mark, whatever its case and blanks: "nps 8 sch40",
// "HSS8.625X0.322", "CHS 219.1 x 6.3", "FB 50x6", "PL 1/2 in", "PL 0.5 in".
func (c Catalogue) Find(mark string) (Size, bool) {
	i, ok := c.index[markKey(mark)]
	if !ok {
		return Size{}, false
	}
	return c.Sizes[i], true
}

// Suggest returns up to three marks that are most like an unknown one: like
// words, then like numbers.
func (c Catalogue) Suggest(mark string) []string {
	type near struct {
		at   int
		away float64
	}
	want := markTokens(mark)
	var found []near
	for i, s := range c.Sizes {
		least := tokensAway(want, markTokens(s.Mark))
		for _, also := range s.Also {
			least = min(least, tokensAway(want, markTokens(also)))
		}
		found = append(found, near{i, least})
	}
	slices.SortStableFunc(found, func(a, b near) int { return compare(a.away, b.away) })
	var out []string
	for _, n := range found[:min(3, len(found))] {
		out = append(out, c.Sizes[n.at].Mark)
	}
	return out
}

// find is Find with an error that names the nearest marks.
func (c Catalogue) find(mark string) (Size, error) {
	s, ok := c.Find(mark)
	if !ok {
		return Size{}, fmt.Errorf("no stock has the mark %q; the nearest are %s; write one of them, or add a table with it (metal.tables)", mark, strings.Join(c.Suggest(mark), ", "))
	}
	return s, nil
}

// add puts sizes at the end; one whose mark exists takes its place, so that a
// user's row overrides a table's. keyOf is markKey of a mark.
func (c Catalogue) add(sizes []Size, keyOf func(mark string) string) (Catalogue, error) {
	out := Catalogue{Sizes: make([]Size, 0, len(c.Sizes)+len(sizes)), index: make(map[string]int, len(c.index)+2*len(sizes))}
	out.Sizes = append(out.Sizes, c.Sizes...)
	maps.Copy(out.index, c.index)
	for _, s := range sizes {
		key := keyOf(s.Mark)
		at, known := out.index[key]
		if !known {
			at = len(out.Sizes)
			out.index[key], out.Sizes = at, append(out.Sizes, s)
		}
		out.Sizes[at] = s
		for _, m := range s.Also {
			key := keyOf(m)
			if was, taken := out.index[key]; taken && was != at {
				return Catalogue{}, fmt.Errorf("the mark %s stands for %s already", m, out.Sizes[was].Mark)
			}
			out.index[key] = at
		}
	}
	return out, nil
}

// Of returns the sizes of some forms, in the order of the tables.
func (c Catalogue) Of(forms ...string) []Size {
	var out []Size
	for s := range c.each(forms...) {
		out = append(out, *s)
	}
	return out
}

// each goes through the same in place.
func (c Catalogue) each(forms ...string) iter.Seq[*Size] {
	return func(yield func(*Size) bool) {
		for i := range c.Sizes {
			if s := &c.Sizes[i]; slices.Contains(forms, s.Form) && !yield(s) {
				return
			}
		}
	}
}
