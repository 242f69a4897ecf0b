package shop

import "slices"

// search looks for a plan cheaper than the one known, down to the bound, and says
// whether it looked everywhere.
//
// The longest piece that is left must lie on some bar: all complete fillings with
// it (to which no piece that is left can be added) are tried, fullest first. A
// filling that a shorter bar holds is tried on that one only. What is left costs
// at least its material.
func (t barTask) search(known []pattern, bound int64, steps int) (best []pattern, complete bool) {
	s := searcher{t: t, need: slices.Clone(t.need), limit: t.cost(known), bound: bound, steps: steps}
	for i, n := range t.need {
		s.material += int64(n) * t.size[i]
	}
	s.rate = float64(t.stock[0]) / float64(t.room[0]) // the least of L/(L+kerf)
	s.walk(0)
	return s.best, s.steps > 0
}

type searcher struct {
	t        barTask
	need     []int
	material int64 // of all that is needed
	rate     float64
	now      []pattern
	best     []pattern
	limit    int64 // a plan must cost less
	bound    int64
	steps    int
}

// done says that nothing is left to look for.
func (s *searcher) done() bool { return s.limit <= s.bound || s.steps <= 0 }

func (s *searcher) walk(cost int64) {
	s.steps--
	first := slices.IndexFunc(s.need, func(n int) bool { return n > 0 })
	if first < 0 {
		if cost < s.limit {
			s.limit, s.best = cost, slices.Clone(s.now)
		}
		return
	}
	if cost+s.t.up(float64(s.material)*s.rate) >= s.limit {
		return
	}
	for _, p := range s.fillings(first, cost) {
		if s.done() {
			return
		}
		c := cost + s.t.stock[p.stock]
		if c >= s.limit {
			continue
		}
		used := s.t.used(p.take)
		s.put(p, used, 1)
		s.now = append(s.now, p)
		s.walk(c)
		s.now = s.now[:len(s.now)-1]
		s.put(p, used, -1)
	}
}

func (s *searcher) put(p pattern, used int64, sign int) {
	for i, n := range p.take {
		s.need[i] -= sign * n
	}
	s.material -= int64(sign) * used
}

// fillings lists complete fillings with the size first. What a bar may waste is
// bounded by the limit: cost + all material that is left.
func (s *searcher) fillings(first int, cost int64) []pattern {
	t := s.t
	var out []pattern
	take := make([]int, len(t.size))
	take[first] = 1
	for stock, room := range t.room {
		if room < t.size[first] {
			continue
		}
		spare := float64(s.limit-t.step-cost) - float64(s.material)*s.rate // length that may be bought in vain
		under := int64(0)
		if stock > 0 {
			under = t.room[stock-1]
		}
		var walk func(i int, left int64)
		walk = func(i int, left int64) {
			for i < len(t.size) && t.size[i] > left {
				i++
			}
			if s.steps <= 0 || len(out) > 20_000 {
				s.steps = 0
				return
			}
			if i == len(t.size) {
				wasted := float64(t.stock[stock]) - float64(room-left)*s.rate
				if room-left > under && wasted <= spare+1 && s.full(take, left) {
					out = append(out, pattern{stock, slices.Clone(take)})
				}
				return
			}
			s.steps--
			most := int(min(int64(s.need[i]-take[i]), left/t.size[i]))
			base := take[i]
			for k := most; k >= 0; k-- {
				take[i] = base + k
				walk(i+1, left-int64(k)*t.size[i])
			}
			take[i] = base
		}
		walk(first, room-t.size[first])
	}
	slices.SortStableFunc(out, func(a, b pattern) int {
		wa, wb := t.room[a.stock]-t.used(a.take), t.room[b.stock]-t.used(b.take)
		switch {
		case wa < wb:
			return -1
		case wa > wb:
			return 1
		}
		return 0
	})
	return out
}

// full says that no piece that is left fits in what a filling leaves.
func (s *searcher) full(take []int, left int64) bool {
	for i := len(s.t.size) - 1; i >= 0; i-- {
		if s.t.size[i] > left {
			return true
		}
		if s.need[i] > take[i] {
			return false
		}
	}
	return true
}
