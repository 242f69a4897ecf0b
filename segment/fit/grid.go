package fit

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// grid deals points to cubic cells, so that those near a point are found without
// looking at all.
type grid struct {
	low   r3.Vec
	size  float64
	wide  [3]int64 // cells along x, y, z
	key   []int64  // of each cell that is not empty, rising
	start []int32  // of its points in point; one more than there are cells
	point []int32
}

// newGrid makes a grid of the points that ids name, none of which lies below
// low. The points of a cell stand in the order of ids.
func newGrid(at []r3.Vec, ids []int, size float64, low r3.Vec) grid {
	g := grid{low: low, size: size}
	cells := make([][3]int64, len(ids))
	for n, i := range ids {
		cells[n] = g.cell(at[i])
		for k, c := range cells[n] {
			g.wide[k] = max(g.wide[k], c+1)
		}
	}
	type entry struct {
		key   int64
		order int32
	}
	list := make([]entry, len(ids))
	for n, c := range cells {
		list[n] = entry{g.keyOf(c), int32(n)}
	}
	slices.SortFunc(list, func(a, b entry) int {
		switch {
		case a.key < b.key:
			return -1
		case a.key > b.key:
			return 1
		}
		return int(a.order - b.order)
	})
	for n, e := range list {
		if n == 0 || e.key != list[n-1].key {
			g.key, g.start = append(g.key, e.key), append(g.start, int32(n))
		}
		g.point = append(g.point, int32(ids[e.order]))
	}
	g.start = append(g.start, int32(len(list)))
	return g
}

func (g *grid) cell(p r3.Vec) [3]int64 {
	return [3]int64{int64((p.X - g.low.X) / g.size), int64((p.Y - g.low.Y) / g.size), int64((p.Z - g.low.Z) / g.size)}
}

func (g *grid) keyOf(c [3]int64) int64 { return (c[0]*g.wide[1]+c[1])*g.wide[2] + c[2] }

// around hands see the points of the cell of p and of the 26 about it, cell by
// cell.
func (g *grid) around(p r3.Vec, see func(near []int32)) {
	c := g.cell(p)
	for x := max(c[0]-1, 0); x <= min(c[0]+1, g.wide[0]-1); x++ {
		for y := max(c[1]-1, 0); y <= min(c[1]+1, g.wide[1]-1); y++ {
			lo, hi := max(c[2]-1, 0), min(c[2]+1, g.wide[2]-1)
			first := g.keyOf([3]int64{x, y, lo})
			for n, _ := slices.BinarySearch(g.key, first); n < len(g.key) && g.key[n] <= first+hi-lo; n++ {
				see(g.point[g.start[n]:g.start[n+1]])
			}
		}
	}
}
