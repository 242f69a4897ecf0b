package site

import (
	"container/heap"
	"math"
)

// void is the room between two spans of metal on a column, or over the last one; the
// ground is its floor where no metal is.
type void struct {
	column  int
	floor   float64
	ceiling float64
	on      int     // piece under it, -1: the ground
	under   int     // piece over it, -1: the sky
	flat    bool    // its floor leans by less than 30 degrees
	level   float64 // up to where water can stand; +∞ where none can get out or in
}

// flooded has the voids of all columns; those of column c are first[c] to first[c+1].
type flooded struct {
	columns
	first  []int
	voids  []void
	parent []int // the void that each drains to, -1 for the ground and for what does not
	order  []int // voids from the ground up: each after the one that it drains to
}

// flood finds for every void the lowest way out to the ground, and so the level at which
// its water runs over: the least, over all ways, of the highest place on each
// (priority flood: Barnes, Lehman and Mulla, Computers & Geosciences 62 (2014) 117).
func flood(g columns) flooded {
	f := flooded{columns: g, first: make([]int, len(g.metal)+1)}
	for c, spans := range g.metal {
		floor, on, flat := 0.0, -1, true
		for _, s := range spans {
			if s.lo > floor+tightMM {
				f.voids = append(f.voids, void{c, floor, s.lo, on, s.bottom, flat, math.Inf(1)})
			}
			if s.hi > floor {
				floor, on, flat = s.hi, s.top, s.flat
			}
		}
		f.voids = append(f.voids, void{c, floor, math.Inf(1), on, -1, flat, math.Inf(1)})
		f.first[c+1] = len(f.voids)
	}
	f.drain()
	return f
}

// drain lets the level rise from the ground; of ways that are equally low the one that
// was found first is the shortest.
func (f *flooded) drain() {
	q := &queue{}
	f.parent = make([]int, len(f.voids))
	done := make([]bool, len(f.voids))
	for i := range f.voids {
		f.parent[i] = -1
		if v := &f.voids[i]; v.on < 0 {
			v.level = v.floor
			heap.Push(q, waiting{v.level, i, i})
		}
	}
	for found := len(f.voids); q.Len() > 0; {
		w := heap.Pop(q).(waiting)
		if done[w.at] {
			continue
		}
		done[w.at] = true
		f.order = append(f.order, w.at)
		f.around(w.at, func(n int, pass float64) {
			if l := max(w.level, pass); l < f.voids[n].level {
				f.voids[n].level, f.parent[n] = l, w.at
				heap.Push(q, waiting{l, n, found})
				found++
			}
		})
	}
}

// around calls for every void that water can reach from another, with the lowest height
// at which it gets there.
func (f *flooded) around(at int, do func(n int, pass float64)) {
	c := f.voids[at].column
	i, j := c%f.nx, c/f.nx
	if i > 0 {
		f.between(at, c-1, &f.barX, c-1, do)
	}
	if i+1 < f.nx {
		f.between(at, c+1, &f.barX, c, do)
	}
	if j > 0 {
		f.between(at, c-f.nx, &f.barY, c-f.nx, do)
	}
	if j+1 < f.ny {
		f.between(at, c+f.nx, &f.barY, c, do)
	}
}

func (f *flooded) between(at, column int, b *bars, strip int, do func(n int, pass float64)) {
	v := f.voids[at]
	var scratch [16]bar
	for n := f.first[column]; n < f.first[column+1]; n++ {
		u := f.voids[n]
		low, high := max(v.floor, u.floor), min(v.ceiling, u.ceiling)
		if low > high {
			continue
		}
		if pass, ok := b.over(strip, low, high, scratch[:]); ok {
			do(n, pass)
		}
	}
}

type waiting struct {
	level     float64
	at, found int
}

type queue []waiting

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	return q[i].level < q[j].level || q[i].level == q[j].level && q[i].found < q[j].found
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(waiting)) }
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
