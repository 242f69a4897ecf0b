package shop

import "math"

// simpleBound is the greater of what the material needs and, for one stock
// length, Martello and Toth's L2 times that length.
func (t barTask) simpleBound() int64 {
	total, rate := 0.0, math.Inf(1)
	for i, n := range t.need {
		total += float64(n) * float64(t.size[i])
	}
	for s, l := range t.stock {
		rate = min(rate, float64(l)/float64(t.room[s]))
	}
	bound := t.up(total * rate)
	if len(t.stock) == 1 {
		bound = max(bound, t.l2(t.room[0])*t.stock[0])
	}
	return bound
}

// l2 counts bars of one room: pieces over half of it share no bar with one
// another, and what is left beside them holds only so much of the smaller ones.
func (t barTask) l2(room int64) int64 {
	best := int64(0)
	for k := -1; k < len(t.size); k++ {
		limit := int64(0)
		if k >= 0 {
			limit = t.size[k]
		}
		if limit > room/2 {
			continue
		}
		var alone, half, free, small int64
		for i, s := range t.size {
			n := int64(t.need[i])
			switch {
			case s > room-limit:
				alone += n
			case 2*s > room:
				half += n
				free += n * (room - s)
			case s >= limit:
				small += n * s
			}
		}
		more := int64(0)
		if small > free {
			more = (small - free + room - 1) / room
		}
		best = max(best, alone+half+more)
	}
	return best
}
