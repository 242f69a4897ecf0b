package synthetic

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Cells of the grid are gathered in blocks, that only the pieces near them are
// asked in.
const (
	blockCells = 16
	blockSide  = blockCells + 1
	// filletFill is how far beyond the pieces a weld reaches at most.
	filletFill = 2
)

// block is a cube of cells with the vertices that lie in them.
type block struct {
	lo     [3]int32
	near   []int32
	value  []float64 // at corners; NaN: not asked
	cell   [][3]int32
	vertex []r3.Vec
}

// polygonise meshes the zero of the field: a vertex in each cell that it
// crosses, moved onto it, and a quadrilateral about each edge (S. Gibson,
// MICCAI 1998).
func (f *weldField) polygonise(cellMM float64) Shell {
	lo, hi := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}
	for _, w := range f.pieces {
		r := w.reach + filletFill + 2*cellMM
		lo = r3.Vec{X: min(lo.X, w.centre.X-r), Y: min(lo.Y, w.centre.Y-r), Z: min(lo.Z, w.centre.Z-r)}
		hi = r3.Vec{X: max(hi.X, w.centre.X+r), Y: max(hi.Y, w.centre.Y+r), Z: max(hi.Z, w.centre.Z+r)}
	}
	g := weldGrid{f, lo, cellMM}
	size := max(hi.X-lo.X, hi.Y-lo.Y, hi.Z-lo.Z) / cellMM
	level := int32(blockCells)
	for float64(level) < size {
		level *= 2
	}
	all := make([]int32, len(f.pieces))
	for i := range all {
		all[i] = int32(i)
	}
	blocks := g.descend([3]int32{}, level, all, nil)
	each(len(blocks), func(i int) { g.fill(&blocks[i]) })
	return g.join(blocks)
}

type weldGrid struct {
	f      *weldField
	lo     r3.Vec
	cellMM float64
}

func (g weldGrid) corner(c [3]int32) r3.Vec {
	return r3.Add(g.lo, r3.Scale(g.cellMM, r3.Vec{X: float64(c[0]), Y: float64(c[1]), Z: float64(c[2])}))
}

// descend lists the blocks that the surface may cross.
func (g weldGrid) descend(c [3]int32, size int32, near []int32, out []block) []block {
	half := float64(size) / 2 * g.cellMM
	p := r3.Add(g.corner(c), r3.Vec{X: half, Y: half, Z: half})
	half *= 1.2 * math.Sqrt(3)
	least := math.Inf(1)
	at := make([]float64, len(near))
	for k, i := range near {
		w := &g.f.pieces[i]
		if at[k] = r3.Norm(r3.Sub(p, w.centre)) - w.reach; at[k] < half+filletFill {
			at[k] = w.distance(p)
		}
		least = min(least, at[k])
	}
	if math.Abs(least) > half+filletFill {
		return out
	}
	var mine []int32
	for k, i := range near {
		if at[k] < half+filletFill {
			mine = append(mine, i)
		}
	}
	if size == blockCells {
		return append(out, block{lo: c, near: mine})
	}
	h := size / 2
	for k := range int32(8) {
		out = g.descend([3]int32{c[0] + h*(k&1), c[1] + h*(k>>1&1), c[2] + h*(k>>2)}, h, mine, out)
	}
	return out
}

func inBlock(x, y, z int32) int { return int((z*blockSide+y)*blockSide + x) }

// fill finds the vertices of a block, skipping parts that its pieces are far
// from.
func (g weldGrid) fill(b *block) {
	b.value = make([]float64, blockSide*blockSide*blockSide)
	for i := range b.value {
		b.value[i] = math.NaN()
	}
	const part = 4
	far := 1.2*math.Sqrt(3)*part/2*g.cellMM + filletFill/2
	for k := range int32(blockCells / part * blockCells / part * blockCells / part) {
		const n = blockCells / part
		x, y, z := part*(k%n), part*(k/n%n), part*(k/(n*n))
		h := g.cellMM * part / 2
		d, _ := g.f.value(r3.Add(g.corner([3]int32{b.lo[0] + x, b.lo[1] + y, b.lo[2] + z}), r3.Vec{X: h, Y: h, Z: h}), b.near)
		if math.Abs(d) > far {
			continue
		}
		for c := range int32(part * part * part) {
			g.cell(b, x+c%part, y+c/part%part, z+c/(part*part))
		}
	}
}

// cell adds the vertex of a cell that the surface crosses.
func (g weldGrid) cell(b *block, x, y, z int32) {
	var v [8]float64
	inside := 0
	for k := range int32(8) {
		at := inBlock(x+k&1, y+k>>1&1, z+k>>2)
		if math.IsNaN(b.value[at]) {
			b.value[at], _ = g.f.value(g.corner([3]int32{b.lo[0] + x + k&1, b.lo[1] + y + k>>1&1, b.lo[2] + z + k>>2}), b.near)
		}
		if v[k] = b.value[at]; v[k] < 0 {
			inside++
		}
	}
	if inside == 0 || inside == 8 {
		return
	}
	var sum r3.Vec
	n := 0.0
	for k := range 8 {
		for axis := range 3 {
			j := k | 1<<axis
			if j == k || (v[k] < 0) == (v[j] < 0) {
				continue
			}
			p := [3]float64{float64(k & 1), float64(k >> 1 & 1), float64(k >> 2)}
			p[axis] = v[k] / (v[k] - v[j])
			sum, n = r3.Add(sum, vec(p)), n+1
		}
	}
	c := [3]int32{b.lo[0] + x, b.lo[1] + y, b.lo[2] + z}
	start := r3.Add(g.corner(c), r3.Scale(g.cellMM/n, sum))
	b.cell, b.vertex = append(b.cell, c), append(b.vertex, g.onto(start, b.near))
}

// onto moves a point onto the surface, by no more than a third of a cell each
// way.
func (g weldGrid) onto(start r3.Vec, near []int32) r3.Vec {
	const step = 1e-3
	p := start
	for range 3 {
		d, _ := g.f.value(p, near)
		if math.Abs(d) < 1e-4 {
			break
		}
		dx, _ := g.f.value(r3.Add(p, r3.Vec{X: step}), near)
		dy, _ := g.f.value(r3.Add(p, r3.Vec{Y: step}), near)
		dz, _ := g.f.value(r3.Add(p, r3.Vec{Z: step}), near)
		n := r3.Scale(1/step, r3.Vec{X: dx - d, Y: dy - d, Z: dz - d})
		if r3.Norm2(n) < 0.05 {
			break
		}
		p = r3.Sub(p, r3.Scale(d/r3.Norm2(n), n))
	}
	if m := r3.Sub(p, start); r3.Norm(m) > g.cellMM/3 {
		p = r3.Add(start, r3.Scale(g.cellMM/3/r3.Norm(m), m))
	}
	return p
}

// join links the vertices of all blocks.
func (g weldGrid) join(blocks []block) Shell {
	var out Shell
	number := map[[3]int32]uint32{}
	for i := range blocks {
		for k, c := range blocks[i].cell {
			number[c] = uint32(len(out.Points))
			out.Points = append(out.Points, blocks[i].vertex[k])
		}
	}
	even := false
	for i := range blocks {
		b := &blocks[i]
		for _, c := range b.cell {
			x, y, z := c[0]-b.lo[0], c[1]-b.lo[1], c[2]-b.lo[2]
			here := b.value[inBlock(x, y, z)] < 0
			for axis := range 3 {
				e := [3]int32{x, y, z}
				e[axis]++
				there := b.value[inBlock(e[0], e[1], e[2])] < 0
				if here == there {
					continue
				}
				u, v := (axis+1)%3, (axis+2)%3
				var q [4]uint32
				ok := true
				for k, d := range [4][2]int32{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
					n := c
					n[u] -= d[0]
					n[v] -= d[1]
					var has bool
					q[k], has = number[n]
					ok = ok && has
				}
				if !ok {
					continue
				}
				if !here {
					q[1], q[3] = q[3], q[1]
				}
				even = !even
				out.quad(0, q[0], q[1], q[2], q[3], even)
			}
		}
	}
	return out
}
