package fitup

import (
	"math"
	"slices"
)

// conflicts names what cannot close.
//
// Where contacts that cannot all close are balanced, each pulls with its residual
// times its weight, and the pulls hold each other: at the least sum of squares the
// rows' residuals times the rows add up to next to nothing. So a contact that pulls
// is in a conflict, and those that share a part which is free to move are in one.
func (m *model) conflicts(joints []Joint) []Conflict {
	open := make([]bool, len(joints))
	none := true
	for k, j := range joints {
		open[k] = left(j) > m.opt.CloseMM && (j.Way != "through" || m.held(k))
		none = none && !open[k]
	}
	if none {
		return nil
	}
	var out []Conflict
	for _, set := range m.joined(open) {
		c := Conflict{Contacts: set}
		for _, k := range set {
			c.WorstMM = max(c.WorstMM, left(joints[k]))
			c.Parts = append(c.Parts, joints[k].A, joints[k].B)
		}
		slices.Sort(c.Parts)
		c.Parts = slices.Compact(c.Parts)
		out = append(out, c)
	}
	return out
}

// left is what of a joint is not closed.
func left(j Joint) float64 {
	if j.Way == "through" {
		return j.OffMM
	}
	return math.Abs(j.GapMM)
}

// held tells a part that passes through a bore or hole of its own.
func (m *model) held(k int) bool {
	for _, x := range m.keeps {
		if x.contact == k {
			return x.held
		}
	}
	return false
}

// joined gathers contacts that share a part free to move.
func (m *model) joined(open []bool) [][]int {
	set := make([]int, len(open))
	for i := range set {
		set[i] = i
	}
	at := map[int]int{}
	for k, c := range m.contacts {
		if !open[k] {
			continue
		}
		for _, p := range []int{c.A, c.B} {
			if m.bodies[p].fixed {
				continue
			}
			if o, ok := at[p]; ok {
				merge(set, o, k)
			}
			at[p] = k
		}
	}
	var out [][]int
	for k := range open {
		if !open[k] || set[k] != k {
			continue
		}
		var list []int
		for i := range set {
			if open[i] && set[i] == k {
				list = append(list, i)
			}
		}
		out = append(out, list)
	}
	return out
}

// merge gives all of two sets the lower number.
func merge(set []int, a, b int) {
	from, to := max(set[a], set[b]), min(set[a], set[b])
	for i := range set {
		if set[i] == from {
			set[i] = to
		}
	}
}
