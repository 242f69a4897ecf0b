package shop

import (
	"math/rand/v2"
	"slices"
)

// manyPieces is the longest list that is mended more than once.
const manyPieces = 200

// repairs mends a plan with several orders of random numbers while it lies above
// the bound.
func (t barTask) repairs(bars []pattern, bound int64, rounds int) []pattern {
	best := bars
	for seed := range uint64(6) {
		if t.cost(best) <= bound || seed > 0 && t.pieces() > manyPieces {
			break
		}
		best = t.better(best, t.repair(bars, bound, rounds, seed))
	}
	return best
}

// repair takes some bars of a plan apart and fills them anew, over and over, and
// keeps what makes full bars fuller and the rest emptier, until a bar falls away
// or the rounds are spent. Random numbers have a fixed seed.
//
// The measure is Falkenauer's (Journal of Heuristics 2 (1996) 5), the sum of the
// squares of what is on the bars.
func (t barTask) repair(bars []pattern, bound int64, rounds int, seed uint64) []pattern {
	if bars == nil {
		return nil
	}
	r := rand.New(rand.NewPCG(seed, 1996))
	now := slices.Clone(bars)
	for range rounds {
		if t.cost(now) <= bound || len(now) < 2 {
			break
		}
		pick := t.pickBars(r, now)
		old := make([]pattern, len(pick))
		need := make([]int, len(t.size))
		for i, b := range pick {
			old[i] = now[b]
			for k, n := range now[b].take {
				need[k] += n
			}
		}
		fresh := t.refill(r, need, old)
		if fresh == nil || t.cost(fresh) > t.cost(old) || t.cost(fresh) == t.cost(old) && t.squares(fresh) < t.squares(old) {
			continue
		}
		for i, b := range pick {
			if i < len(fresh) {
				now[b] = fresh[i]
			} else {
				now[b].take = nil
			}
		}
		now = slices.DeleteFunc(now, func(p pattern) bool { return p.take == nil })
	}
	return now
}

// pickBars chooses two to five bars, the emptiest more often than not.
func (t barTask) pickBars(r *rand.Rand, bars []pattern) []int {
	n := min(2+r.IntN(4), len(bars))
	var pick []int
	if r.IntN(2) == 0 {
		empty, most := 0, int64(-1)
		for i, b := range bars {
			if left := t.room[b.stock] - t.used(b.take); left > most {
				empty, most = i, left
			}
		}
		pick = append(pick, empty)
	}
	for len(pick) < n {
		if b := r.IntN(len(bars)); !slices.Contains(pick, b) {
			pick = append(pick, b)
		}
	}
	return pick
}

func (t barTask) squares(bars []pattern) float64 {
	sum := 0.0
	for _, b := range bars {
		x := float64(t.used(b.take))
		sum += x * x
	}
	return sum
}

// refill fills bars of the same stock lengths, longest first, with the pieces,
// each as full as a random order finds it; nil where pieces are left over.
func (t barTask) refill(r *rand.Rand, need []int, old []pattern) []pattern {
	stocks := make([]int, len(old))
	for i, b := range old {
		stocks[i] = b.stock
	}
	slices.Sort(stocks)
	slices.Reverse(stocks)
	left := 0
	var order []int
	for i, n := range need {
		left += n
		if n > 0 {
			order = append(order, i)
		}
	}
	var out []pattern
	for _, s := range stocks {
		if left == 0 {
			break
		}
		r.Shuffle(len(order), func(i, k int) { order[i], order[k] = order[k], order[i] })
		take := t.fillBy(order, need, t.room[s])
		for i, n := range take {
			need[i] -= n
			left -= n
		}
		out = append(out, pattern{s, take})
	}
	if left > 0 {
		return nil
	}
	return t.shrink(out)
}

// fillBy fills a room as far as it goes, sizes in the order given; the first of
// equal fillings.
func (t barTask) fillBy(order, need []int, room int64) []int {
	take, best := make([]int, len(t.size)), make([]int, len(t.size))
	bestLeft, steps := room+1, 3000
	var walk func(at int, left int64)
	walk = func(at int, left int64) {
		if left < bestLeft {
			bestLeft = left
			copy(best, take)
		}
		for ; at < len(order) && bestLeft > 0 && steps > 0; at++ {
			steps--
			i := order[at]
			for k := min(int64(need[i]), left/t.size[i]); k > 0 && bestLeft > 0; k-- {
				take[i] = int(k)
				walk(at+1, left-k*t.size[i])
			}
			take[i] = 0
		}
	}
	walk(0, room)
	return best
}
