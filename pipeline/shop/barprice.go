package shop

import (
	"cmp"
	"slices"
)

// knapsack returns the counts, none over its need, that are worth most in a
// room: their value and an upper bound of any value, which is the same unless
// the search was cut short.
func (t barTask) knapsack(price []float64, room int64) (value, upper float64, take []int) {
	order := make([]int, 0, len(price))
	for i, p := range price {
		if p > 0 && t.size[i] <= room {
			order = append(order, i)
		}
	}
	rate := func(i int) float64 { return price[i] / float64(t.size[i]) }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(rate(b), rate(a)) })
	take = make([]int, len(price))
	if len(order) == 0 {
		return 0, 0, take
	}
	s := packer{t: t, price: price, order: order, now: make([]int, len(price)), best: take, steps: 50_000}
	for _, i := range order {
		s.rate = append(s.rate, rate(i))
	}
	s.walk(0, room, 0)
	upper = s.value
	if s.steps <= 0 {
		upper = float64(room) * s.rate[0]
	}
	return s.value, upper, s.best
}

// packer is the state of a depth-first search for the best load.
type packer struct {
	t     barTask
	price []float64
	order []int     // sizes by falling price for their length
	rate  []float64 // that price, along order
	now   []int
	best  []int
	value float64
	steps int
}

func (s *packer) walk(at int, left int64, sum float64) {
	if sum > s.value*(1+1e-12) {
		s.value = sum
		copy(s.best, s.now)
	}
	for ; at < len(s.order) && s.steps > 0; at++ {
		if sum+float64(left)*s.rate[at] <= s.value*(1+1e-12) {
			return
		}
		s.steps--
		i := s.order[at]
		for k := min(int64(s.t.need[i]), left/s.t.size[i]); k > 0 && s.steps > 0; k-- {
			s.now[i] = int(k)
			s.walk(at+1, left-k*s.t.size[i], sum+float64(k)*s.price[i])
			s.now[i] = 0
		}
	}
}
