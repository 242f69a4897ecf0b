package fidelity

import (
	"cmp"
	"math"
	"slices"
)

// hole is a connected place of a picture that shows no part and does not reach
// its border.
type hole struct {
	runs   []run
	x0, x1 int
	y0, y1 int
}

// run is a stretch of a row, from x0 to x1 and both.
type run struct{ y, x0, x1 int }

// openings measures the places of one picture through which one sees in both: the
// widest circle about a pixel of the place. Those of the second come first, then
// those of the first that the second does not have; the largest change is sorted
// to the front. Those that neither shows wider than normal vision are left out.
// c is memory to use again.
func openings(a, b picture, c *columns) []Opening {
	var out []Opening
	of := b.holes()
	for _, h := range of {
		after, at := b.widest(h, 1, c)
		before, _ := a.widest(h, h.beyond(), c)
		out = append(out, Opening{BeforeArcmin: before, AfterArcmin: after, AtDeg: b.lens.atDeg(at[0], at[1])})
	}
	for _, h := range a.holes() {
		before, at := a.widest(h, 1, c)
		if slices.ContainsFunc(of, func(g hole) bool { return g.holds(at) }) {
			continue // it is one of the second's
		}
		after, _ := b.widest(h, h.beyond(), c)
		out = append(out, Opening{BeforeArcmin: before, AfterArcmin: after, AtDeg: a.lens.atDeg(at[0], at[1])})
	}
	out = slices.DeleteFunc(out, func(o Opening) bool { return max(o.BeforeArcmin, o.AfterArcmin) < NormalVisionArcmin })
	slices.SortStableFunc(out, func(p, q Opening) int {
		return cmp.Compare(math.Abs(q.ChangeArcmin()), math.Abs(p.ChangeArcmin()))
	})
	return out
}

func (h hole) holds(at [2]int) bool {
	if at[0] < h.x0 || at[0] > h.x1 || at[1] < h.y0 || at[1] > h.y1 {
		return false
	}
	return slices.ContainsFunc(h.runs, func(r run) bool { return r.y == at[1] && at[0] >= r.x0 && at[0] <= r.x1 })
}

// holes are found by joining the runs of neighbouring rows that touch; those that
// hang together with the border are none.
func (p picture) holes() []hole {
	var runs []run
	above := 0 // the first run of the row before
	var parent []int
	root := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	for y := range p.high {
		first := len(runs)
		runs = p.runs(y, runs)
		k := above
		for i := first; i < len(runs); i++ {
			parent = append(parent, i)
			for k < first && runs[k].x1 < runs[i].x0 {
				k++
			}
			for m := k; m < first && runs[m].x0 <= runs[i].x1; m++ {
				a, b := root(m), root(i)
				parent[max(a, b)] = min(a, b)
			}
		}
		above = first
	}
	return gathered(runs, root, p.wide, p.high)
}

// gathered are the holes in the order of their first runs, which are their roots.
func gathered(runs []run, root func(int) int, wide, high int) []hole {
	open, length := make([]bool, len(runs)), make([]int, len(runs)) // by root
	for i, r := range runs {
		k := root(i)
		length[k]++
		open[k] = open[k] || r.x0 == 0 || r.x1 == wide-1 || r.y == 0 || r.y == high-1
	}
	place := make([]int, len(runs))
	var out []hole
	for i, r := range runs {
		k := root(i)
		if open[k] {
			continue
		}
		if k == i {
			place[k] = len(out)
			out = append(out, hole{runs: make([]run, 0, length[k]), x0: r.x0, x1: r.x1, y0: r.y})
		}
		h := &out[place[k]]
		h.runs = append(h.runs, r)
		h.x0, h.x1, h.y1 = min(h.x0, r.x0), max(h.x1, r.x1), r.y
	}
	return out
}

// beyond is how far round a hole the other picture is looked at, in which it may be
// wider: one twice as wide counts as twice, what lies further off is taken for
// covered.
func (h hole) beyond() int { return max(10, (h.x1-h.x0)/2, (h.y1-h.y0)/2) }

// widest is the diameter of the largest circle about a pixel of a hole that this
// picture leaves bare, to a pixel, and where it is; 0 where all of the hole is
// covered. What lies m beyond the hole is taken for covered: in the picture whose
// hole it is, that is so of the nearest pixel to each side.
//
// Distances are exact: first along columns, then over the columns to both sides
// (Saito and Toriwaki, Pattern Recognition 27 (1994) 1551), for as long as one
// wider than the widest so far is possible. c is memory to use again.
func (p picture) widest(h hole, m int, c *columns) (arcmin float64, at [2]int) {
	c.fill(p, h.x0-m, h.y0-m, h.x1-h.x0+2*m+1, h.y1-h.y0+2*m+1)
	best := -1
	longest := h.runs[0] // a wide place, to refuse others by
	for _, r := range h.runs {
		if r.x1-r.x0 > longest.x1-longest.x0 {
			longest = r
		}
	}
	least := c.nearest((longest.x0+longest.x1)/2, longest.y, 0)
	for _, r := range h.runs {
		for x := r.x0; x <= r.x1; x++ {
			if q := c.nearest(x, r.y, max(least, best+1)); q > best {
				best, at = q, [2]int{x, r.y}
			}
		}
	}
	return 2 * math.Sqrt(float64(best)) * p.lens.angle(at[0], at[1], at[0]+1, at[1]), at
}

// columns are, for every pixel of a box, how far the nearest of its column is that
// is covered or lies on the box's rim.
type columns struct {
	x0, y0, wide, high int
	to                 []int32
}

func (c *columns) fill(p picture, x0, y0, wide, high int) {
	*c = columns{x0, y0, wide, high, slices.Grow(c.to[:0], wide*high)[:wide*high]}
	clear(c.to[:wide])
	clear(c.to[(high-1)*wide:])
	for y := 1; y < high-1; y++ {
		row, below := c.to[y*wide:(y+1)*wide], c.to[(y-1)*wide:y*wide]
		row[0], row[wide-1] = 0, 0
		for x := 1; x < wide-1; x++ {
			row[x] = below[x] + 1
		}
		if y+y0 < 0 || y+y0 >= p.high {
			continue
		}
		shown, last := p.row(y+y0), min(p.wide, x0+wide-1)
		for x := next(shown, max(x0+1, 0), ^uint64(0)); x < last; {
			end := min(next(shown, x, 0), last)
			clear(row[x-x0 : end-x0])
			x = next(shown, end, ^uint64(0))
		}
	}
	for y := high - 2; y > 0; y-- {
		row, above := c.to[y*wide:(y+1)*wide], c.to[(y+1)*wide:(y+2)*wide]
		for x := range row {
			row[x] = min(row[x], above[x]+1)
		}
	}
}

// nearest is the squared distance from a pixel to the nearest that is covered or on
// the rim; -1 where it is under the least asked for.
func (c columns) nearest(x, y, least int) int {
	row := c.to[(y-c.y0)*c.wide : (y-c.y0+1)*c.wide]
	at := x - c.x0
	square := func(i int) int { return (i-at)*(i-at) + int(row[i])*int(row[i]) }
	best := square(at)
	for d := 1; d*d < best && best >= least; d++ {
		best = min(best, square(at-d), square(at+d))
	}
	if best < least {
		return -1
	}
	return best
}
