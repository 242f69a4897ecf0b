package shop

import (
	"cmp"
	"math"
	"slices"
)

// fewPieces is what the exact search is given at the end of a dive.
const fewPieces = 24

// dive makes whole bars of the linear programme: it takes the whole parts of its
// patterns, or where there are none the pattern of which it wants most, solves
// the programme again for what is left, and ends with the exact search.
func (t barTask) dive(basis []weighted, rounds, steps int) []pattern {
	need := slices.Clone(t.need)
	var bars []pattern
	for basis != nil {
		bars = take(bars, basis, need)
		sub, of := t.only(need)
		if len(of) == 0 {
			return bars
		}
		if sub.pieces() <= fewPieces {
			quick := sub.heuristics()
			found, _ := sub.search(quick, sub.simpleBound(), steps)
			return append(bars, widen(sub.better(quick, found), of, len(t.size))...)
		}
		_, rest := sub.linear(rounds)
		if rest == nil {
			return nil
		}
		basis = basis[:0]
		for i, p := range widen(patterns(rest), of, len(t.size)) {
			basis = append(basis, weighted{p, rest[i].bars})
		}
	}
	return nil
}

// take puts bars of a basis on the plan, at least one, and their pieces off need.
func take(bars []pattern, basis []weighted, need []int) []pattern {
	slices.SortStableFunc(basis, func(a, b weighted) int {
		return cmp.Or(cmp.Compare(b.bars, a.bars), slices.Compare(b.take, a.take))
	})
	for i, w := range basis {
		whole := int(math.Floor(w.bars + 1e-6))
		if i == 0 {
			whole = max(whole, 1)
		}
		for range whole {
			cut := make([]int, len(need))
			some := false
			for k, n := range w.take {
				cut[k] = min(n, need[k])
				some = some || cut[k] > 0
			}
			if !some {
				break
			}
			for k, n := range cut {
				need[k] -= n
			}
			bars = append(bars, pattern{w.stock, cut})
		}
	}
	return bars
}

// only is the task of what is still needed; of says which size each of its sizes is.
func (t barTask) only(need []int) (sub barTask, of []int) {
	sub = t
	sub.size, sub.need = nil, nil
	for i, n := range need {
		if n > 0 {
			sub.size, sub.need, of = append(sub.size, t.size[i]), append(sub.need, n), append(of, i)
		}
	}
	return sub, of
}

func (t barTask) pieces() int {
	sum := 0
	for _, n := range t.need {
		sum += n
	}
	return sum
}

func patterns(basis []weighted) []pattern {
	out := make([]pattern, len(basis))
	for i, w := range basis {
		out[i] = w.pattern
	}
	return out
}

// widen takes patterns of a part of the task to all sizes.
func widen(bars []pattern, of []int, sizes int) []pattern {
	out := make([]pattern, len(bars))
	for i, b := range bars {
		out[i] = pattern{b.stock, make([]int, sizes)}
		for k, n := range b.take {
			out[i].take[of[k]] = n
		}
	}
	return out
}
