package primitive

import "math"

// contourLine is a closed polyline that answers signed distances fast: its
// segments are sorted into the cells of a square grid. Distances over reachMM
// are not told apart: most cells have no segment within that, and only a side.
type contourLine struct {
	p        [][2]float64
	lo       [2]float64
	cell     float64
	reachMM  float64
	nx, ny   int
	from, in []int32 // segments of cell k: in[from[k]:from[k+1]]
	beyond   []int32 // one a cell: 1 where all of it is beyond reachMM outside, -1 inside, else 0
}

func newContourLine(p [][2]float64) *contourLine {
	c := &contourLine{p: p, lo: [2]float64{math.Inf(1), math.Inf(1)}}
	hi := [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, q := range p {
		for k := range q {
			c.lo[k], hi[k] = min(c.lo[k], q[k]), max(hi[k], q[k])
		}
	}
	side := max(hi[0]-c.lo[0], hi[1]-c.lo[1], 1e-9)
	c.cell = side / min(max(float64(len(p))/4, 2), 128)
	c.reachMM = 0.04 * side
	c.nx, c.ny = int((hi[0]-c.lo[0])/c.cell)+1, int((hi[1]-c.lo[1])/c.cell)+1
	c.fill()
	c.findBeyond()
	return c
}

// fill lists in each cell the segments whose box meets it.
func (c *contourLine) fill() {
	c.from = make([]int32, c.nx*c.ny+1)
	for pass := 0; pass < 2; pass++ {
		at := append([]int32(nil), c.from...)
		for i := range c.p {
			a, b := c.p[i], c.p[(i+1)%len(c.p)]
			x0, x1 := c.column(min(a[0], b[0])), c.column(max(a[0], b[0]))
			y0, y1 := c.row(min(a[1], b[1])), c.row(max(a[1], b[1]))
			for y := y0; y <= y1; y++ {
				for x := x0; x <= x1; x++ {
					k := y*c.nx + x
					if pass == 0 {
						c.from[k+1]++
					} else {
						c.in[at[k]] = int32(i)
						at[k]++
					}
				}
			}
		}
		if pass == 0 {
			for k := 0; k < c.nx*c.ny; k++ {
				c.from[k+1] += c.from[k]
			}
			c.in = make([]int32, c.from[c.nx*c.ny])
		}
	}
}

// findBeyond marks the cells that no segment stands near, each row from its high end,
// so that the sides of cells behind are known.
func (c *contourLine) findBeyond() {
	c.beyond = make([]int32, c.nx*c.ny)
	near := c.near(int(c.reachMM/c.cell) + 1)
	for y := range c.ny {
		for x := c.nx - 1; x >= 0; x-- {
			k := y*c.nx + x
			if near[k] {
				continue
			}
			side := int32(1)
			if c.inside(c.lo[0]+(float64(x)+0.5)*c.cell, c.lo[1]+(float64(y)+0.5)*c.cell) {
				side = -1
			}
			c.beyond[k] = side
		}
	}
}

// near marks the cells with a segment in them or up to rings cells off.
func (c *contourLine) near(rings int) []bool {
	out := make([]bool, c.nx*c.ny)
	for k := range out {
		if c.from[k] == c.from[k+1] {
			continue
		}
		x, y := k%c.nx, k/c.nx
		for j := max(y-rings, 0); j <= min(y+rings, c.ny-1); j++ {
			for i := max(x-rings, 0); i <= min(x+rings, c.nx-1); i++ {
				out[j*c.nx+i] = true
			}
		}
	}
	return out
}

func (c *contourLine) column(x float64) int {
	return min(max(int((x-c.lo[0])/c.cell), 0), c.nx-1)
}

func (c *contourLine) row(y float64) int {
	return min(max(int((y-c.lo[1])/c.cell), 0), c.ny-1)
}

// distance is the signed distance from the line, outside positive.
func (c *contourLine) distance(u, v float64) float64 {
	if c.covers(u, v) {
		if side := c.beyond[c.row(v)*c.nx+c.column(u)]; side != 0 {
			return float64(side) * c.reachMM
		}
	}
	d := c.nearest(u, v)
	if c.inside(u, v) {
		return -d
	}
	return d
}

// nearest searches cells in growing squares until none nearer can follow. A
// point outside the grid is nearer to no segment than its foot on the grid is.
func (c *contourLine) nearest(u, v float64) float64 {
	x, y := c.column(u), c.row(v)
	off := hypot(max(c.lo[0]-u, u-c.lo[0]-float64(c.nx)*c.cell, 0), max(c.lo[1]-v, v-c.lo[1]-float64(c.ny)*c.cell, 0))
	if off > c.reachMM {
		return off
	}
	best := (c.reachMM + off) * (c.reachMM + off)
	in := max(0, min(c.within(u, 0, x), c.within(v, 1, y)))
	for ring := 0; ring <= max(c.nx, c.ny); ring++ {
		if l := float64(ring-1)*c.cell + in; ring > 0 && l*l > best {
			break
		}
		for j := y - ring; j <= y+ring; j++ {
			step := max(2*ring, 1)
			if j == y-ring || j == y+ring {
				step = 1
			}
			for i := x - ring; i <= x+ring; i += step {
				if i >= 0 && i < c.nx && j >= 0 && j < c.ny {
					best = c.inCell(j*c.nx+i, u, v, best)
				}
			}
		}
	}
	return math.Sqrt(best)
}

// within is how far a coordinate lies from the nearer border of cell i.
func (c *contourLine) within(x float64, axis, i int) float64 {
	low := c.lo[axis] + float64(i)*c.cell
	return min(x-low, low+c.cell-x)
}

// inCell lowers best to the square of the least distance from the cell's
// segments.
func (c *contourLine) inCell(k int, u, v, best float64) float64 {
	for _, i := range c.in[c.from[k]:c.from[k+1]] {
		a, b := c.p[i], c.p[0]
		if int(i)+1 < len(c.p) {
			b = c.p[i+1]
		}
		dx, dy, px, py := b[0]-a[0], b[1]-a[1], u-a[0], v-a[1]
		if l := dx*dx + dy*dy; l > 0 {
			s := min(max((px*dx+py*dy)/l, 0), 1)
			px, py = px-s*dx, py-s*dy
		}
		best = min(best, px*px+py*py)
	}
	return best
}

// covers tells that the grid covers a point.
func (c *contourLine) covers(u, v float64) bool {
	return u >= c.lo[0] && v >= c.lo[1] && v <= c.lo[1]+float64(c.ny)*c.cell && u <= c.lo[0]+float64(c.nx)*c.cell
}

// inside counts crossings of the ray along rising u, cell by cell of one row, up to
// one whose side is known.
func (c *contourLine) inside(u, v float64) bool {
	if !c.covers(u, v) {
		return false
	}
	in := false
	y := c.row(v)
	for x := c.column(u); x < c.nx; x++ {
		k := y*c.nx + x
		if side := c.beyond[k]; side != 0 {
			return in != (side < 0)
		}
		for _, i := range c.in[c.from[k]:c.from[k+1]] {
			a, b := c.p[i], c.p[(int(i)+1)%len(c.p)]
			if (a[1] > v) == (b[1] > v) {
				continue
			}
			at := a[0] + (v-a[1])/(b[1]-a[1])*(b[0]-a[0])
			// A segment may stand in several cells: it counts in the one it crosses in.
			if at > u && c.column(at) == x {
				in = !in
			}
		}
	}
	return in
}
