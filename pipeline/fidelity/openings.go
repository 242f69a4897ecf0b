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
func openings(a, b picture, on *pad) []Opening {
	var out []Opening
	c, of := &on.columns, b.holes(&on.bare)
	for _, h := range of {
		after := b.widest(h, 1, c)
		before := a.widestBeyond(h, after, c)
		out = append(out, Opening{BeforeArcmin: a.arcmin(before), AfterArcmin: b.arcmin(after), AtDeg: b.lens.atDeg(after.x, after.y)})
	}
	for _, h := range a.holes(&on.bare) {
		before := a.widest(h, 1, c)
		if slices.ContainsFunc(of, func(g hole) bool { return g.holds(before.x, before.y) }) {
			continue // it is one of the second's
		}
		after := b.widestBeyond(h, before, c)
		out = append(out, Opening{BeforeArcmin: a.arcmin(before), AfterArcmin: b.arcmin(after), AtDeg: a.lens.atDeg(before.x, before.y)})
	}
	out = slices.DeleteFunc(out, func(o Opening) bool { return max(o.BeforeArcmin, o.AfterArcmin) < NormalVisionArcmin })
	slices.SortStableFunc(out, func(p, q Opening) int {
		return cmp.Compare(math.Abs(q.ChangeArcmin()), math.Abs(p.ChangeArcmin()))
	})
	return out
}

func (h hole) holds(x, y int) bool {
	if x < h.x0 || x > h.x1 || y < h.y0 || y > h.y1 {
		return false
	}
	return slices.ContainsFunc(h.runs, func(r run) bool { return r.y == y && x >= r.x0 && x <= r.x1 })
}

// holes are found by joining the runs of neighbouring rows that touch; those that
// hang together with the border are none. The runs lie in memory that is used again.
func (p picture) holes(memory *[]run) []hole {
	runs := (*memory)[:0]
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
	*memory = runs
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

// circle is about a pixel and reaches the nearest that is covered.
type circle struct{ x, y, square int } // of its radius, in pixels

// arcmin is the diameter of a circle.
func (p picture) arcmin(c circle) float64 {
	return 2 * math.Sqrt(float64(c.square)) * p.lens.angle(c.x, c.y, c.x+1, c.y)
}

// widestBeyond is the widest circle about a pixel of the other picture's hole. One
// twice as wide as the hole counts as twice: what lies further off is taken for
// covered. Most are not much wider than the other picture's: it is looked so far first.
func (p picture) widestBeyond(h hole, other circle, c *columns) circle {
	most := max(10, (h.x1-h.x0)/2, (h.y1-h.y0)/2)
	near := 10 + int(1.2*math.Sqrt(float64(other.square)))
	if near < most {
		if w := p.widest(h, near, c); w.square < near*near { // none reaches so far
			return w
		}
	}
	return p.widest(h, most, c)
}

// widest is the widest circle about a pixel of a hole that this picture leaves bare,
// to a pixel, the first of those as wide; of no radius where all of the hole is
// covered. What lies m beyond the hole is taken for covered: in the picture whose
// hole it is, that is so of the nearest pixel to each side.
//
// Distances are exact: first along columns, then over the columns to both sides
// (Saito and Toriwaki, Pattern Recognition 27 (1994) 1551), for as long as one
// wider than the widest so far is possible. From one pixel to the next they grow by
// one at most. c is memory to use again.
func (p picture) widest(h hole, m int, c *columns) circle {
	c.fill(p, h.x0-m, h.y0-m, h.x1-h.x0+2*m+1, h.y1-h.y0+2*m+1)
	longest := h.runs[0] // a wide place, to refuse others by
	for _, r := range h.runs {
		if r.x1-r.x0 > longest.x1-longest.x0 {
			longest = r
		}
	}
	var best circle
	least := c.nearest((longest.x0+longest.x1)/2, longest.y, 0)
	for _, r := range h.runs {
		wanted := math.Sqrt(float64(least)) - 1e-9
		for x := r.x0; x <= r.x1; {
			q := c.nearest(x, r.y, least)
			if q >= least {
				best, least = circle{x, r.y, q}, q+1
				wanted = math.Sqrt(float64(least)) - 1e-9
			}
			x += max(1, int(math.Ceil(wanted-math.Sqrt(float64(q)))))
		}
	}
	return best
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
// the rim; where that is under the least asked for, one between the two.
func (c columns) nearest(x, y, least int) int {
	row := c.to[(y-c.y0)*c.wide : (y-c.y0+1)*c.wide]
	at := x - c.x0
	square := func(i int) int { return (i-at)*(i-at) + int(row[i])*int(row[i]) }
	best := square(at)
	for d := 1; d*d < best && best >= least; d++ {
		best = min(best, square(at-d), square(at+d))
	}
	return best
}
