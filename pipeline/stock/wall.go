package stock

import (
	"fmt"
	"slices"
)

// strongWall picks the wall of sizes that differ in nothing else: the thinnest
// common one that is not under wallMin; else the thinnest of any schedule that is
// not under it nor under the thinnest common one; else the thickest. wallMin is
// the nominal wall: checks of strength take WallDesignMM.
func strongWall(sizes []Size, wallMinMM float64) (s Size, why string) {
	sorted := slices.Clone(sizes)
	slices.SortStableFunc(sorted, func(a, b Size) int { return compare(a.WallMM, b.WallMM) })
	enough := func(s Size) bool { return s.WallMM >= wallMinMM-1e-9 }
	thin := slices.IndexFunc(sorted, func(s Size) bool { return s.Common })
	for i := max(thin, 0); i < len(sorted); i++ {
		if s := sorted[i]; enough(s) && s.Common {
			return s, fmt.Sprintf("%s: the thinnest common wall not under %s (wall_min)", shown(s.WallMM), shown(wallMinMM))
		}
	}
	for i := max(thin, 0); i < len(sorted); i++ {
		if s := sorted[i]; enough(s) {
			return s, fmt.Sprintf("%s: no common wall reaches %s (wall_min), this is the thinnest that does", shown(s.WallMM), shown(wallMinMM))
		}
	}
	s = sorted[len(sorted)-1]
	return s, fmt.Sprintf("%s: the thickest there is, under %s (wall_min)", shown(s.WallMM), shown(wallMinMM))
}

// outside are the sizes by which walls are grouped: all that is seen from outside.
type outside struct {
	form, system          string
	odMM, widthMM, highMM float64
}

func outsideOf(s *Size) outside {
	return outside{s.Form, s.System, s.ODMM, s.WidthMM, s.HeightMM}
}

// walled reduces sizes to one wall for each outside, in the order in which the
// outsides come in the tables.
func walled(sizes []Size, wallMinMM float64) (out []Size, why map[string]string) {
	why = map[string]string{}
	var order [][]Size
	at := map[outside]int{}
	for _, s := range sizes {
		k := outsideOf(&s)
		i, known := at[k]
		if !known || s.WallMM == 0 {
			i = len(order)
			at[k] = i
			order = append(order, nil)
		}
		order[i] = append(order[i], s)
	}
	for _, group := range order {
		s := group[0]
		if s.WallMM > 0 {
			var because string
			s, because = strongWall(group, wallMinMM)
			why[s.Mark] = because
		}
		out = append(out, s)
	}
	return out, why
}
