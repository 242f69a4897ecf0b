package surface

import (
	"container/heap"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Orient turns the normals of a cloud outward: from the point farthest out, on
// to the neighbour whose normal is most nearly parallel, over the least spanning
// tree of 1 - |n·m| (Hoppe, DeRose, Duchamp, McDonald and Stuetzle, SIGGRAPH
// 1992).
func (f *Field) Orient() {
	done := make([]bool, len(f.P))
	centre := mean(f.P)
	for {
		seed, far := -1, -1.0
		for i, q := range f.P {
			if d := r3.Norm2(r3.Sub(q, centre)); !done[i] && d > far {
				seed, far = i, d
			}
		}
		if seed < 0 {
			return
		}
		if r3.Dot(f.N[seed], r3.Sub(f.P[seed], centre)) < 0 {
			f.N[seed] = r3.Scale(-1, f.N[seed])
		}
		f.orientFrom(int32(seed), done)
	}
}

type flip struct {
	cost     float64
	from, to int32
}

type turns []flip

func (t turns) Len() int { return len(t) }
func (t turns) Less(i, j int) bool {
	if t[i].cost != t[j].cost {
		return t[i].cost < t[j].cost
	}
	return t[i].to < t[j].to
}
func (t turns) Swap(i, j int) { t[i], t[j] = t[j], t[i] }
func (t *turns) Push(x any)   { *t = append(*t, x.(flip)) }
func (t *turns) Pop() any {
	x := (*t)[len(*t)-1]
	*t = (*t)[:len(*t)-1]
	return x
}

func (f *Field) orientFrom(seed int32, done []bool) {
	var queue turns
	reach := func(i int32) {
		done[i] = true
		for _, g := range f.near(i) {
			if !done[g] {
				heap.Push(&queue, flip{1 - math.Abs(r3.Dot(f.N[i], f.N[g])), i, g})
			}
		}
	}
	reach(seed)
	for queue.Len() > 0 {
		t := heap.Pop(&queue).(flip)
		if done[t.to] {
			continue
		}
		if r3.Dot(f.N[t.from], f.N[t.to]) < 0 {
			f.N[t.to] = r3.Scale(-1, f.N[t.to])
		}
		reach(t.to)
	}
}
