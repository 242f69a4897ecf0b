package fit

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// grid deals points to cubic cells, so that those near a point are found without
// looking at all.
type grid struct {
	low    r3.Vec
	size   float64
	wide   [3]int64 // cells along x, y, z
	key    []int64  // of each cell that is not empty, rising
	start  []int32  // of its points in point; one more than there are cells
	column []int32  // by x and y: its first cell in key; one more than there are columns, nil where those are many
	point  []int32
}

// cellEntry is a point, by its place in a list, and its cell.
type cellEntry struct {
	key   int64
	order int32
}

// newGrid makes a grid of the points that ids name, none of which lies below
// low. The points of a cell stand in the order of ids.
func newGrid(at []r3.Vec, ids []int, size float64, low r3.Vec) grid {
	g := grid{low: low, size: size, point: make([]int32, len(ids))}
	cells := make([][3]int64, len(ids))
	for n, i := range ids {
		cells[n] = g.cell(at[i])
		for k, c := range cells[n] {
			g.wide[k] = max(g.wide[k], c+1)
		}
	}
	list := make([]cellEntry, len(ids))
	for n, c := range cells {
		list[n] = cellEntry{g.keyOf(c), int32(n)}
	}
	list = g.sorted(list)
	for n, e := range list {
		if n == 0 || e.key != list[n-1].key {
			g.key, g.start = append(g.key, e.key), append(g.start, int32(n))
		}
		g.point[n] = int32(ids[e.order])
	}
	g.start = append(g.start, int32(len(list)))
	g.index()
	return g
}

// columns is how many columns there are; 0 where their number is far over that of
// the points.
func (g *grid) columns() int64 {
	most := int64(4*len(g.point) + 1024)
	if max(g.wide[0], g.wide[1], g.wide[2]) > most || g.wide[0]*g.wide[1] > most {
		return 0
	}
	return g.wide[0] * g.wide[1]
}

// sorted is the list by cell, then order, by which it came.
func (g *grid) sorted(list []cellEntry) []cellEntry {
	if n := g.columns(); n > 0 {
		high := g.wide[2]
		list = dealt(list, high, func(key int64) int64 { return key % high })
		return dealt(list, n, func(key int64) int64 { return key / high })
	}
	slices.SortFunc(list, func(a, b cellEntry) int { return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.order, b.order)) })
	return list
}

// dealt is the list by the heap that of names, out of so many, in order within each.
func dealt(list []cellEntry, heaps int64, of func(key int64) int64) []cellEntry {
	next := make([]int32, heaps+1)
	for _, e := range list {
		next[of(e.key)+1]++
	}
	for h := int64(1); h < heaps; h++ {
		next[h] += next[h-1]
	}
	out := make([]cellEntry, len(list))
	for _, e := range list {
		h := of(e.key)
		out[next[h]] = e
		next[h]++
	}
	return out
}

// index fills where columns begin.
func (g *grid) index() {
	n := g.columns()
	if n == 0 {
		return
	}
	g.column = make([]int32, n+1)
	at := 0
	for c := range g.column {
		for at < len(g.key) && g.key[at] < int64(c)*g.wide[2] {
			at++
		}
		g.column[c] = int32(at)
	}
}

func (g *grid) cell(p r3.Vec) [3]int64 {
	return [3]int64{int64((p.X - g.low.X) / g.size), int64((p.Y - g.low.Y) / g.size), int64((p.Z - g.low.Z) / g.size)}
}

func (g *grid) keyOf(c [3]int64) int64 { return (c[0]*g.wide[1]+c[1])*g.wide[2] + c[2] }

// around tells see where in point those of the cell of p and of the 26 about it are,
// from one place to before another, cell by cell, those of a column together.
func (g *grid) around(p r3.Vec, see func(from, to int)) {
	c := g.cell(p)
	lo, hi := max(c[2]-1, 0), min(c[2]+1, g.wide[2]-1)
	for x := max(c[0]-1, 0); x <= min(c[0]+1, g.wide[0]-1); x++ {
		for y := max(c[1]-1, 0); y <= min(c[1]+1, g.wide[1]-1); y++ {
			first := g.keyOf([3]int64{x, y, lo})
			n := g.from(x*g.wide[1]+y, first)
			m := n
			for m < len(g.key) && g.key[m] <= first+hi-lo {
				m++
			}
			if m > n {
				see(int(g.start[n]), int(g.start[m]))
			}
		}
	}
}

// from is the first cell of a key or more, looked for from its column on.
func (g *grid) from(column, key int64) int {
	if g.column == nil {
		n, _ := slices.BinarySearch(g.key, key)
		return n
	}
	n := int(g.column[column])
	for n < len(g.key) && g.key[n] < key {
		n++
	}
	return n
}
