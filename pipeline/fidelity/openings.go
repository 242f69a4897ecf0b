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

// run is a stretch of a row that shows no part, from x0 to x1 and both.
type run struct{ y, x0, x1 int }

// openings measures the places of one picture through which one sees in both: the
// widest circle about a pixel of the place. Those of the second come first, then
// those of the first that the second does not have; the largest change is sorted
// to the front. Those that neither shows wider than normal vision are left out.
func openings(a, b picture) []Opening {
	var out []Opening
	of := b.holes()
	for _, h := range of {
		after, at := b.widest(h)
		before, _ := a.widest(h)
		out = append(out, Opening{BeforeArcmin: before, AfterArcmin: after, AtDeg: b.lens.atDeg(at[0], at[1])})
	}
	for _, h := range a.holes() {
		before, at := a.widest(h)
		if slices.ContainsFunc(of, func(g hole) bool { return g.holds(at) }) {
			continue // it is one of the second's
		}
		after, _ := b.widest(h)
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
	var above []int // runs of the row before
	var parent []int
	root := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	for y := range p.lens.high {
		first := len(runs)
		runs = p.runsOf(y, runs)
		k := 0
		for i := first; i < len(runs); i++ {
			parent = append(parent, i)
			for k < len(above) && runs[above[k]].x1 < runs[i].x0 {
				k++
			}
			for m := k; m < len(above) && runs[above[m]].x0 <= runs[i].x1; m++ {
				a, b := root(above[m]), root(i)
				parent[max(a, b)] = min(a, b)
			}
		}
		above = above[:0]
		for i := first; i < len(runs); i++ {
			above = append(above, i)
		}
	}
	return p.gathered(runs, root)
}

func (p picture) runsOf(y int, out []run) []run {
	row := p.shows[y*p.lens.wide : (y+1)*p.lens.wide]
	for x := 0; x < len(row); x++ {
		if row[x] >= 0 {
			continue
		}
		r := run{y, x, x}
		for x+1 < len(row) && row[x+1] < 0 {
			x++
		}
		r.x1 = x
		out = append(out, r)
	}
	return out
}

// gathered are the holes in the order of their first runs.
func (p picture) gathered(runs []run, root func(int) int) []hole {
	place := map[int]int{}
	var out []hole
	open := map[int]bool{}
	for i, r := range runs {
		k := root(i)
		if r.x0 == 0 || r.x1 == p.lens.wide-1 || r.y == 0 || r.y == p.lens.high-1 {
			open[k] = true
		}
		at, known := place[k]
		if !known {
			at = len(out)
			place[k] = at
			out = append(out, hole{x0: r.x0, x1: r.x1, y0: r.y, y1: r.y})
		}
		h := &out[at]
		h.runs = append(h.runs, r)
		h.x0, h.x1, h.y1 = min(h.x0, r.x0), max(h.x1, r.x1), r.y
	}
	var closed []hole
	for i, r := range runs {
		if k := root(i); !open[k] && out[place[k]].runs[0] == r {
			closed = append(closed, out[place[k]])
		}
	}
	return closed
}

// widest is the diameter of the largest circle about a pixel of a hole that this
// picture leaves bare, to a pixel, and where it is; 0 where all of the hole is
// covered. A hole twice as wide as that of the other picture counts as twice.
//
// Distances by two sweeps over eight neighbours (Danielsson, Euclidean distance
// mapping, Computer Graphics and Image Processing 14 (1980) 227), which err by a
// small part of a pixel.
func (p picture) widest(h hole) (arcmin float64, at [2]int) {
	m := max(10, (h.x1-h.x0)/2, (h.y1-h.y0)/2) // it may be wider in this picture
	d := p.distances(h.x0-m, h.y0-m, h.x1-h.x0+2*m+1, h.y1-h.y0+2*m+1)
	best := int32(-1)
	for _, r := range h.runs {
		for x := r.x0; x <= r.x1; x++ {
			if q := square(d.at(x, r.y)); q > best {
				best, at = q, [2]int{x, r.y}
			}
		}
	}
	return 2 * math.Sqrt(float64(best)) * p.lens.angle(at[0], at[1], at[0]+1, at[1]), at
}

// distances lead from every pixel of a box to the nearest that is covered or lies
// on the box's rim.
type distances struct {
	x0, y0, wide, high int
	to                 [][2]int16
}

func (d distances) at(x, y int) [2]int16 { return d.to[(y-d.y0)*d.wide+x-d.x0] }

func (p picture) distances(x0, y0, wide, high int) distances {
	d := distances{x0, y0, wide, high, make([][2]int16, wide*high)}
	for y := 1; y < high-1; y++ {
		for x := 1; x < wide-1; x++ {
			if p.part(x+x0, y+y0) < 0 {
				d.to[y*wide+x] = [2]int16{none, none}
			}
		}
	}
	for y := 1; y < high-1; y++ {
		d.sweep(y, -wide)
	}
	for y := high - 2; y > 0; y-- {
		d.sweep(y, wide)
	}
	return d
}

const none = math.MaxInt16 // nothing was met yet

// sweep takes over from the row beside, which lies step pixels on, and from both
// neighbours in the row.
func (d distances) sweep(y, step int) {
	first, dy := y*d.wide, int16(1)
	if step < 0 {
		dy = -1
	}
	for i := first + 1; i < first+d.wide-1; i++ {
		if own := d.to[i]; own != [2]int16{} {
			own = nearer(own, d.to[i+step], 0, dy)
			own = nearer(own, d.to[i+step-1], -1, dy)
			own = nearer(own, d.to[i+step+1], 1, dy)
			d.to[i] = nearer(own, d.to[i-1], -1, 0)
		}
	}
	for i := first + d.wide - 2; i > first; i-- {
		if own := d.to[i]; own != [2]int16{} {
			d.to[i] = nearer(own, d.to[i+1], 1, 0)
		}
	}
}

// nearer is the shorter of a way and that over a neighbour.
func nearer(own, next [2]int16, dx, dy int16) [2]int16 {
	if next[0] == none {
		return own
	}
	c := [2]int16{next[0] + dx, next[1] + dy}
	if own[0] == none || square(c) < square(own) {
		return c
	}
	return own
}

func square(d [2]int16) int32 { return int32(d[0])*int32(d[0]) + int32(d[1])*int32(d[1]) }
