package mesh

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// weldShare is the tolerance of the second weld in parts of the median edge. It
// has to be over the last digit that a writer keeps (a text file with five
// decimals, a float32 far from the origin: 1e-5 mm on edges of 0.3 mm and more)
// and far under any distance that is meant.
const weldShare = 1e-3

// weldOpen merges vertices on open edges that lie within weldShare of the
// median edge of each other. Elsewhere every edge has its facets, and a merge
// could only hurt. Clusters are closed under "within the tolerance", so order
// does not matter; the lowest vertex stands for its cluster, where it is.
//
// to has one entry a vertex, the one that it became; merged counts those that
// went. Both are zero where nothing is open or merges.
func (m *Mesh) weldOpen(ctx context.Context, e edges) (to []uint32, merged int, err error) {
	tol := weldShare * e.medianUnits
	if len(e.open) == 0 || tol <= 0 {
		return nil, 0, nil
	}
	cells := newCells(m, e.open, tol)
	to = make([]uint32, len(m.Points))
	for v := range to {
		to[v] = uint32(v)
	}
	for i := range cells.vertex {
		if i%stride == 0 && ctx.Err() != nil {
			return nil, 0, ctx.Err()
		}
		cells.joinNear(m, i, tol, to)
	}
	for v := range to {
		if to[v] = root(to, uint32(v)); to[v] != uint32(v) {
			merged++
		}
	}
	return to, merged, nil
}

// applyWeld drops the merged vertices and points vertex, one entry a point of
// the file, to the ones that stay.
func applyWeld(points [][3]float32, vertex, to []uint32) [][3]float32 {
	kept := points[:0]
	for v, p := range points {
		if to[v] != uint32(v) {
			to[v] = to[to[v]] // the lowest of a cluster is numbered already
			continue
		}
		to[v] = uint32(len(kept))
		kept = append(kept, p)
	}
	for i, v := range vertex {
		vertex[i] = to[v]
	}
	return kept
}

// cells is a hash table of small cubes, open addressing on flat slices. A cube's
// diagonal is the tolerance, so all that lies in one cube is one cluster and the
// work does not grow with the number in it.
type cells struct {
	side   float64
	vertex []uint32 // the vertices on open edges, rising
	next   []int32  // the next in the same cube, or -1
	table  []int32  // first of the cube, or -1
}

func newCells(m *Mesh, open []openEdge, tol float64) *cells {
	on := make([]bool, len(m.Points))
	n := 0
	for _, e := range open {
		for _, v := range [2]uint32{e.from, e.to} {
			if !on[v] {
				on[v] = true
				n++
			}
		}
	}
	c := &cells{side: tol / math.Sqrt(3), vertex: make([]uint32, 0, n), next: make([]int32, n), table: make([]int32, 1<<bitsFor(2*n))}
	for i := range c.table {
		c.table[i] = -1
	}
	for v := range on {
		if on[v] {
			c.vertex = append(c.vertex, uint32(v))
		}
	}
	for i := n - 1; i >= 0; i-- { // so that each chain rises
		slot := c.slot(m, c.cube(m.Points[c.vertex[i]]))
		c.next[i] = c.table[slot]
		c.table[slot] = int32(i)
	}
	return c
}

func bitsFor(n int) int {
	b := 4
	for 1<<b < n {
		b++
	}
	return b
}

func (c *cells) cube(p [3]float32) [3]float64 {
	return [3]float64{math.Floor(float64(p[0]) / c.side), math.Floor(float64(p[1]) / c.side), math.Floor(float64(p[2]) / c.side)}
}

// slot returns where cube is or would go.
func (c *cells) slot(m *Mesh, cube [3]float64) int {
	mask := len(c.table) - 1
	h := uint64(0)
	for _, x := range cube {
		h = (h ^ math.Float64bits(x+0)) * 0x9e3779b97f4a7c15
		h ^= h >> 29
	}
	for s := int(h>>20) & mask; ; s = (s + 1) & mask {
		if i := c.table[s]; i < 0 || c.cube(m.Points[c.vertex[i]]) == cube {
			return s
		}
	}
}

// nearMost bounds the pairs tried between two cubes whose points are all
// farther apart than the tolerance; only a file made for it has as many.
const nearMost = 64

// joinNear joins vertex i with its cube and, once a cube, the cube with those
// round it. Two cubes farther apart hold no pair within the tolerance.
func (c *cells) joinNear(m *Mesh, i int, tol float64, to []uint32) {
	cube := c.cube(m.Points[c.vertex[i]])
	first := c.table[c.slot(m, cube)]
	join(to, c.vertex[first], c.vertex[i])
	if int(first) != i {
		return
	}
	for dx := -2.0; dx <= 2; dx++ {
		for dy := -2.0; dy <= 2; dy++ {
			for dz := -2.0; dz <= 2; dz++ {
				if dx < 0 || dx == 0 && (dy < 0 || dy == 0 && dz <= 0) {
					continue // seen from the other side
				}
				other := c.table[c.slot(m, [3]float64{cube[0] + dx, cube[1] + dy, cube[2] + dz})]
				if other >= 0 && c.touch(m, first, other, tol) {
					join(to, c.vertex[first], c.vertex[other])
				}
			}
		}
	}
}

func (c *cells) touch(m *Mesh, a, b int32, tol float64) bool {
	for i, n := a, 0; i >= 0 && n < nearMost; i, n = c.next[i], n+1 {
		for j, k := b, 0; j >= 0 && k < nearMost; j, k = c.next[j], k+1 {
			if r3.Norm2(difference(&m.Points[c.vertex[i]], &m.Points[c.vertex[j]])) <= tol*tol {
				return true
			}
		}
	}
	return false
}
