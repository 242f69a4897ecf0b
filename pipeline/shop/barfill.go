package shop

import (
	"math"
	"slices"
)

// heuristics returns the best of some quick plans; it always finds one.
func (t barTask) heuristics() []pattern {
	var best []pattern
	for only := range t.stock {
		if t.room[only] >= t.size[0] {
			best = t.better(best, t.bestFit(only))
			best = t.better(best, t.fullest([]int{only}))
		}
	}
	all := make([]int, len(t.stock))
	for i := range all {
		all[i] = i
	}
	return t.better(best, t.fullest(all))
}

// shrink gives each bar the shortest stock length that holds what is on it.
func (t barTask) shrink(bars []pattern) []pattern {
	for i := range bars {
		for t.room[bars[i].stock] >= t.used(bars[i].take) && bars[i].stock > 0 && t.room[bars[i].stock-1] >= t.used(bars[i].take) {
			bars[i].stock--
		}
	}
	return bars
}

// bestFit puts each piece, longest first, on the bar that it fills best.
func (t barTask) bestFit(stock int) []pattern {
	var bars []pattern
	var left []int64
	for i, n := range t.need {
		for ; n > 0; n-- {
			best := -1
			for b, l := range left {
				if l >= t.size[i] && (best < 0 || l < left[best]) {
					best = b
				}
			}
			if best < 0 {
				bars = append(bars, pattern{stock, make([]int, len(t.size))})
				left, best = append(left, t.room[stock]), len(left)
			}
			bars[best].take[i]++
			left[best] -= t.size[i]
		}
	}
	return t.shrink(bars)
}

// fullest fills one bar after the other: the longest piece that is left, and
// beside it what leaves the least; of several stock lengths the one that is used
// to the greatest share.
func (t barTask) fullest(stocks []int) []pattern {
	need := slices.Clone(t.need)
	var bars []pattern
	for {
		first := slices.IndexFunc(need, func(n int) bool { return n > 0 })
		if first < 0 {
			return t.shrink(bars)
		}
		best, share := pattern{}, -1.0
		for _, s := range stocks {
			if t.room[s] < t.size[first] {
				continue
			}
			take := t.fill(need, first, t.room[s])
			if x := float64(t.used(take)) / float64(t.room[s]); x > share {
				best, share = pattern{s, take}, x
			}
		}
		if share < 0 {
			return nil
		}
		for i, n := range best.take {
			need[i] -= n
		}
		bars = append(bars, best)
	}
}

// fill returns the counts, one of the size first among them, that leave the
// least of a room; of equal ones those with longer pieces.
func (t barTask) fill(need []int, first int, room int64) []int {
	take := make([]int, len(t.size))
	take[first] = 1
	best, bestLeft := slices.Clone(take), int64(math.MaxInt64)
	steps := 20_000
	var walk func(i int, left int64)
	walk = func(i int, left int64) {
		if left < bestLeft {
			bestLeft = left
			copy(best, take)
		}
		for ; i < len(t.size) && bestLeft > 0 && steps > 0; i++ {
			steps--
			most := min(int64(need[i]-take[i]), left/t.size[i])
			for k := most; k > 0 && bestLeft > 0 && steps > 0; k-- {
				take[i] += int(k)
				walk(i+1, left-k*t.size[i])
				take[i] -= int(k)
			}
		}
	}
	walk(first, room-t.size[first])
	return best
}
