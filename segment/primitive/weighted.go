package primitive

import (
	"math"
	"slices"
)

// weighted is a sample of values with weights.
type weighted struct {
	v     []weightedValue
	total float64
}

type weightedValue struct{ x, w float64 }

func (s *weighted) add(x, w float64) {
	s.v = append(s.v, weightedValue{x, w})
	s.total += w
}

// quantile returns the value below which the share q of the weight lies.
func (s *weighted) quantile(q float64) float64 {
	if len(s.v) == 0 {
		return 0
	}
	slices.SortFunc(s.v, func(a, b weightedValue) int {
		switch {
		case a.x < b.x:
			return -1
		case a.x > b.x:
			return 1
		}
		return 0
	})
	sum := 0.0
	for _, y := range s.v {
		if sum += y.w; sum >= q*s.total {
			return y.x
		}
	}
	return s.v[len(s.v)-1].x
}

func (s *weighted) median() float64 { return s.quantile(0.5) }

// spread is the weighted median distance from x.
func (s *weighted) spread(x float64) float64 {
	var d weighted
	for _, y := range s.v {
		d.add(math.Abs(y.x-x), y.w)
	}
	return d.median()
}
