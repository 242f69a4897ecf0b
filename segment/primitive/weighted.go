package primitive

import "math"

// weighted is a sample of values with weights.
type weighted struct {
	v     []weightedValue
	total float64
}

type weightedValue struct{ x, w float64 }

// roomFor is an empty sample with room for so many values.
func roomFor(n int) weighted { return weighted{v: make([]weightedValue, 0, n)} }

func (s *weighted) add(x, w float64) {
	s.v = append(s.v, weightedValue{x, w})
	s.total += w
}

// quantile returns the least value up to which the share q of the weight lies. It
// reorders the values.
func (s *weighted) quantile(q float64) float64 {
	if len(s.v) == 0 {
		return 0
	}
	v, left := narrowedTo(s.v, q*s.total)
	for {
		from, to := parted(v, func(y weightedValue) float64 { return y.x })
		below, upTo := weightOf(v[:from]), weightOf(v[:to])
		switch {
		case from > 0 && below >= left:
			v = v[:from]
		case upTo >= left || to == len(v):
			return v[from].x
		default:
			v, left = v[to:], left-upTo
		}
	}
}

// narrowedTo parts v like narrowed, and keeps the part in which the weight left is
// reached; it returns that part and what is left of left in it.
func narrowedTo(v []weightedValue, left float64) ([]weightedValue, float64) {
	for len(v) > narrowMost {
		n := len(v)
		x := middle(v[n/8].x, v[n/2].x, v[n-1-n/8].x)
		low, total := 0, 0.0
		for i, y := range v {
			v[i], v[low] = v[low], y
			under, w := 0, 0.0
			if y.x < x {
				under, w = 1, y.w
			}
			low, total = low+under, total+w
		}
		switch {
		case low == 0:
			return v, left
		case total >= left:
			v = v[:low]
		default:
			v, left = v[low:], left-total
		}
	}
	return v, left
}

func weightOf(v []weightedValue) float64 {
	sum := 0.0
	for _, y := range v {
		sum += y.w
	}
	return sum
}

func (s *weighted) median() float64 { return s.quantile(0.5) }

// within tells whether half of the weight lies within t of x: whether spread is at
// most t.
func (s *weighted) within(x, t float64) bool {
	near := 0.0
	for _, y := range s.v {
		if math.Abs(y.x-x) <= t {
			near += y.w
		}
	}
	return near >= s.total/2
}

// spread is the weighted median distance from x.
func (s *weighted) spread(x float64) float64 { return s.spreadAt(x, 0.5) }

// spreadAt is the distance from x within which the share q of the weight lies.
func (s *weighted) spreadAt(x, q float64) float64 {
	d := roomFor(len(s.v))
	for _, y := range s.v {
		d.add(math.Abs(y.x-x), y.w)
	}
	return d.quantile(q)
}
