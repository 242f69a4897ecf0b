package stock

import (
	"math"
	"slices"
)

// assignment is the search for one candidate a family, costs and what every
// different thing bought costs on top: a facility location problem. Exact by
// branch and bound, family by family.
type assignment struct {
	cost [][]float64 // [family][candidate]
	buys [][][]int   // [family][candidate] items
	item float64     // of one more item
}

// solution is the best found; bound is under the cost of every one.
type solution struct {
	pick        []int
	cost, bound float64
	exact       bool
}

// solve splits the families into groups that share no item and solves each.
func (a assignment) solve(steps int) solution {
	out := solution{pick: make([]int, len(a.cost)), exact: true}
	for _, group := range a.groups() {
		d := newDive(a, group, steps)
		d.walk(0, 0)
		out.cost += d.best
		if d.steps <= 0 {
			out.exact = false
			out.bound += min(d.root, d.best)
		} else {
			out.bound += d.best
		}
		for k, f := range d.order {
			out.pick[f] = d.pick[k]
		}
	}
	return out
}

// groups are families that share items with one another, by the lowest of each.
func (a assignment) groups() [][]int {
	of := make([]int, len(a.cost))
	first := map[int]int{}
	root := func(i int) int {
		for of[i] != i {
			i = of[i]
		}
		return i
	}
	for f := range a.buys {
		of[f] = f
		for _, items := range a.buys[f] {
			for _, x := range items {
				if g, seen := first[x]; seen {
					r, s := root(f), root(g)
					of[max(r, s)] = min(r, s)
				} else {
					first[x] = f
				}
			}
		}
	}
	var out [][]int
	at := map[int]int{}
	for f := range of {
		r := root(f)
		if _, seen := at[r]; !seen {
			at[r] = len(out)
			out = append(out, nil)
		}
		out[at[r]] = append(out[at[r]], f)
	}
	return out
}

// dive is the search of one group.
type dive struct {
	a     assignment
	order []int         // families, those with most to lose first
	users []map[int]int // [depth] how many families from here on can use an item
	open  map[int]int   // items bought, how often used
	now   []int
	pick  []int
	best  float64
	root  float64
	steps int
}

func newDive(a assignment, group []int, steps int) *dive {
	d := &dive{a: a, order: slices.Clone(group), open: map[int]int{}, best: math.Inf(1), steps: steps}
	slices.SortStableFunc(d.order, func(f, g int) int { return compare(regret(a.cost[g]), regret(a.cost[f])) })
	d.users = make([]map[int]int, len(group)+1)
	d.users[len(group)] = map[int]int{}
	for k := len(group) - 1; k >= 0; k-- {
		d.users[k] = map[int]int{}
		for x, n := range d.users[k+1] {
			d.users[k][x] = n
		}
		for _, x := range itemsOf(a.buys[d.order[k]]) {
			d.users[k][x]++
		}
	}
	d.now, d.pick = make([]int, len(group)), make([]int, len(group))
	d.root = d.rest(0)
	return d
}

// regret is what the second best of a family costs more than its best.
func regret(costs []float64) float64 {
	if len(costs) < 2 {
		return math.Inf(1)
	}
	s := slices.Sorted(slices.Values(costs))
	return s[1] - s[0]
}

func itemsOf(candidates [][]int) []int {
	var out []int
	for _, items := range candidates {
		out = append(out, items...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// rest bounds what the families from depth k on cost at least: each takes its best
// candidate and pays of an item that nobody bought yet only its share, one part
// in as many as could use it, so that no item is paid more than once.
func (d *dive) rest(k int) float64 {
	sum := 0.0
	for j := k; j < len(d.order); j++ {
		f := d.order[j]
		least := math.Inf(1)
		for c, cost := range d.a.cost[f] {
			for _, x := range d.a.buys[f][c] {
				if d.open[x] == 0 {
					cost += d.a.item / float64(d.users[k][x])
				}
			}
			least = min(least, cost)
		}
		sum += least
	}
	return sum
}

// searchSlack keeps rounding from cutting off an equal solution's branch or from
// taking one for better.
const searchSlack = 1e-9

// walk chooses for the family at depth k, cheapest candidate first.
func (d *dive) walk(k int, cost float64) {
	if k == len(d.order) {
		if cost < d.best-searchSlack {
			d.best = cost
			copy(d.pick, d.now)
		}
		return
	}
	if !math.IsInf(d.best, 1) {
		if d.steps--; d.steps <= 0 || cost+d.rest(k) >= d.best-searchSlack {
			return
		}
	}
	f := d.order[k]
	for _, c := range d.byCost(f) {
		extra := d.a.cost[f][c]
		for _, x := range d.a.buys[f][c] {
			if d.open[x] == 0 {
				extra += d.a.item
			}
			d.open[x]++
		}
		d.now[k] = c
		d.walk(k+1, cost+extra)
		for _, x := range d.a.buys[f][c] {
			d.open[x]--
		}
	}
}

// byCost orders a family's candidates by what they cost now.
func (d *dive) byCost(f int) []int {
	now := make([]float64, len(d.a.cost[f]))
	order := make([]int, len(now))
	for c, cost := range d.a.cost[f] {
		order[c], now[c] = c, cost
		for _, x := range d.a.buys[f][c] {
			if d.open[x] == 0 {
				now[c] += d.a.item
			}
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return compare(now[a], now[b]) })
	return order
}
