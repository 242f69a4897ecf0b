package shop

import (
	"math"
	"slices"
)

// weighted is a pattern and how many bars of it the linear programme takes.
type weighted struct {
	pattern
	bars float64
}

// linearMax is the most sizes for which the programme is set up: its matrix has
// their square.
const linearMax = 400

// linear solves the programme min Σ cost·x, Σ take·x = need, x ≥ 0 by column
// generation and returns a lower bound of the cost and its basis.
//
// The basis starts with one pattern for each size. Each round prices patterns by
// a knapsack; the best enters, the ratio test says which leaves, and the inverse
// is updated. The bound of each round is Σ need·y / max(1, value/cost): its
// prices y, so scaled, pay no pattern more than its bar costs, which is all that
// duality needs. A knapsack that was cut short enters with its upper bound.
func (t barTask) linear(rounds int) (bound int64, basis []weighted) {
	m := len(t.size)
	if m > linearMax {
		return 0, nil
	}
	l := newProgramme(t)
	lower := 0.0
	for range rounds {
		y := l.prices()
		best, gain, ratio := pattern{}, 1e-9, 1.0
		for s := range t.stock {
			value, upper, take := t.knapsack(y, t.room[s])
			ratio = max(ratio, upper/float64(t.stock[s]))
			if g := value/float64(t.stock[s]) - 1; g > gain {
				best, gain = pattern{s, take}, g
			}
		}
		sum := 0.0
		for i, n := range t.need {
			sum += float64(n) * y[i]
		}
		lower = max(lower, sum/ratio)
		if best.take == nil || !l.enter(best) {
			break
		}
	}
	for i := range l.basis {
		basis = append(basis, weighted{l.basis[i], l.x[i]})
	}
	return t.up(lower * (1 - 1e-10)), basis
}

// programme is the basis of the simplex method with its inverse.
type programme struct {
	t       barTask
	basis   []pattern
	x       []float64   // bars of each
	inverse [][]float64 // inverse[i]: row of the basis' member i
}

func newProgramme(t barTask) *programme {
	l := &programme{t: t}
	for i, n := range t.need {
		s := slices.IndexFunc(t.room, func(r int64) bool { return r >= t.size[i] })
		for k := s; k < len(t.room); k++ {
			a, b := t.room[s]/t.size[i]*t.stock[k], t.room[k]/t.size[i]*t.stock[s]
			if b > a {
				s = k
			}
		}
		k := max(1, min(n, int(t.room[s]/t.size[i])))
		take, row := make([]int, len(t.size)), make([]float64, len(t.size))
		take[i], row[i] = k, 1/float64(k)
		l.basis, l.inverse = append(l.basis, pattern{s, take}), append(l.inverse, row)
		l.x = append(l.x, float64(n)/float64(k))
	}
	return l
}

// prices of one piece of each size: cost of the basis times the inverse; never
// below 0, which the bound asks for.
func (l *programme) prices() []float64 {
	y := make([]float64, len(l.x))
	for i, row := range l.inverse {
		c := float64(l.t.stock[l.basis[i].stock])
		for k, v := range row {
			y[k] += c * v
		}
	}
	for k := range y {
		y[k] = max(y[k], 0)
	}
	return y
}

// enter takes a pattern into the basis; false where the numbers are spent.
func (l *programme) enter(p pattern) bool {
	d := make([]float64, len(l.x))
	for i, row := range l.inverse {
		for k, n := range p.take {
			if n != 0 {
				d[i] += row[k] * float64(n)
			}
		}
	}
	out, step := -1, math.Inf(1)
	for i := range d {
		if d[i] > 1e-9 && l.x[i]/d[i] < step {
			out, step = i, max(l.x[i], 0)/d[i]
		}
	}
	if out < 0 {
		return false
	}
	for i := range l.x {
		l.x[i] -= step * d[i]
	}
	l.x[out] = step
	pivot := l.inverse[out]
	for k := range pivot {
		pivot[k] /= d[out]
	}
	for i, row := range l.inverse {
		if i == out || d[i] == 0 {
			continue
		}
		for k := range row {
			row[k] -= d[i] * pivot[k]
		}
	}
	l.basis[out] = p
	return true
}
