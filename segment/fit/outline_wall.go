package fit

import "math"

// onWall returns the loop moved onto the side points: means of the side points
// over short stretches of the path, in its order. A rim is ragged and rounded
// where the wall beside it is not, and the mean of a column of points has a
// fraction of their noise. Stretches where normals part (corners) are left
// out; those without side points keep the points of the loop at a small weight.
// ok is false where the side points are too few for this.
func (l *outlineLoop) onWall(side []SidePoint, opt OutlineOptions) (out *outlineLoop, ok bool) {
	if len(side) < 3*l.N || l.N < 8 {
		return nil, false
	}
	length := l.S[l.N]
	n := int(length / math.Min(1.5*l.spacing(), math.Max(0.5*l.spacing(), 8*length/float64(len(side)))))
	if n < 12 {
		return nil, false
	}
	cols := make([]outlineColumn, n)
	path := l.smooth()
	// A ragged rim is off by more than its wall: the normals keep others out.
	reach := math.Max(2*opt.SideReachMM, 3*l.spacing())
	grid := newOutlineGrid(path, reach)
	used := 0
	for _, s := range side {
		p := [2]float64{s.P[0] - l.Shift[0], s.P[1] - l.Shift[1]}
		h := math.Hypot(s.N[0], s.N[1])
		if !outlineFinite(p[0]) || !outlineFinite(p[1]) || !(h > 0 && h <= 10) {
			continue
		}
		at, near := grid.project(p, [2]float64{s.N[0] / h, s.N[1] / h}, reach)
		if !near {
			continue
		}
		k := int(at / path.S[path.N] * float64(n))
		cols[min(max(k, 0), n-1)].add(p, s.N[0]/h, s.N[1]/h)
		used++
	}
	if used < 3*l.N {
		return nil, false
	}
	out = &outlineLoop{Shift: l.Shift, Sigma: l.Sigma, Noise: l.Noise, Corner: l.Corner, Size: l.Size}
	l.takeColumns(out, cols, used/n/8)
	out.dropRepeats(1e-9 * l.Size)
	out.dropSpikes(4 * length / float64(n))
	if len(out.P) < 8 || outlinePolygonArea(out.P) < 1e-6*l.Size*l.Size {
		return nil, false
	}
	out.measure()
	out.Share = 1
	if opt.CorrelationMM > 0 {
		out.Share = math.Min(1, out.spacing()/opt.CorrelationMM)
	}
	// The waves that neighbouring points share do not average out: half the
	// noise is kept for them.
	out.Sigma = l.Sigma * math.Max(0.5, 1/math.Sqrt(float64(used)/float64(n)))
	return out, true
}

// outlineColumn sums side points over one stretch of the path.
type outlineColumn struct {
	X, Y, NX, NY float64
	N            int
}

func (c *outlineColumn) add(p [2]float64, nx, ny float64) {
	c.X, c.Y, c.NX, c.NY, c.N = c.X+p[0], c.Y+p[1], c.NX+nx, c.NY+ny, c.N+1
}

// outlineColumnCos is the least length of the mean normal of a column: normals
// spread evenly over 56 degrees have it.
const outlineColumnCos = 0.96

// takeColumns fills out with the means of columns of one normal and at least
// few points, and with the loop's own points where three columns in a row are empty.
func (l *outlineLoop) takeColumns(out *outlineLoop, cols []outlineColumn, few int) {
	n := len(cols)
	empty := func(k int) bool { return cols[(k+n)%n].N == 0 }
	for k, c := range cols {
		switch m := float64(c.N); {
		case c.N == 0:
			if !empty(k-1) && !empty(k+1) || !(empty(k-1) && (empty(k-2) || empty(k+1)) || empty(k+1) && empty(k+2)) {
				continue
			}
			lo, hi := float64(k)/float64(n)*l.S[l.N], float64(k+1)/float64(n)*l.S[l.N]
			for i := range l.P {
				if l.S[i] >= lo && l.S[i] < hi {
					out.P, out.W = append(out.P, l.P[i]), append(out.W, l.W[i]/16)
				}
			}
		case c.N >= max(2, few) && math.Hypot(c.NX, c.NY) >= outlineColumnCos*m:
			out.P, out.W = append(out.P, [2]float64{c.X / m, c.Y / m}), append(out.W, 1)
		}
	}
}

// dropSpikes removes points that the path goes far out and back to: columns of
// points that were counted to the wrong stretch.
func (l *outlineLoop) dropSpikes(far float64) {
	for range 3 {
		n, k := len(l.P), 0
		keep := make([]bool, n)
		for i := range l.P {
			a, p, b := l.P[(i+n-1)%n], l.P[i], l.P[(i+1)%n]
			in, on := math.Hypot(p[0]-a[0], p[1]-a[1]), math.Hypot(b[0]-p[0], b[1]-p[1])
			keep[i] = math.Min(in, on) <= far || math.Hypot(b[0]-a[0], b[1]-a[1]) >= math.Max(in, on)
		}
		for i := range l.P {
			if keep[i] {
				l.P[k], l.W[k] = l.P[i], l.W[i]
				k++
			}
		}
		if k == n {
			return
		}
		l.P, l.W = l.P[:k], l.W[:k]
	}
}

// smooth returns the loop as the mean of five points in a row: it serves to put
// side points in order, no more.
func (l *outlineLoop) smooth() *outlineLoop {
	out := &outlineLoop{P: make([][2]float64, l.N), W: l.W}
	for i := range l.P {
		for d := -2; d <= 2; d++ {
			q := l.at(i + d + l.N)
			out.P[i][0] += q[0] / 5
			out.P[i][1] += q[1] / 5
		}
	}
	out.measure()
	return out
}

// outlineGrid finds the edge of a path nearest to a point.
type outlineGrid struct {
	l    *outlineLoop
	cell float64
	in   map[[2]int][]int // edges whose box touches a cell; looked up, never walked
}

func newOutlineGrid(l *outlineLoop, cell float64) *outlineGrid {
	g := &outlineGrid{l: l, cell: cell, in: map[[2]int][]int{}}
	for i := range l.P {
		a, b := g.key(l.P[i]), g.key(l.at(i+1))
		x0, x1 := min(a[0], b[0]), max(a[0], b[0])
		y0, y1 := min(a[1], b[1]), max(a[1], b[1])
		if (x1-x0+1)*(y1-y0+1) > 10000 {
			continue // an edge that long beside so small cells orders nothing
		}
		for x := x0; x <= x1; x++ {
			for y := y0; y <= y1; y++ {
				g.in[[2]int{x, y}] = append(g.in[[2]int{x, y}], i)
			}
		}
	}
	return g
}

func (g *outlineGrid) key(p [2]float64) [2]int {
	return [2]int{int(math.Floor(p[0] / g.cell)), int(math.Floor(p[1] / g.cell))}
}

// project returns the place along the path of the nearest edge that faces the
// way of the normal n, within reach of p.
func (g *outlineGrid) project(p, n [2]float64, reach float64) (at float64, ok bool) {
	k := g.key(p)
	best := reach
	for x := k[0] - 1; x <= k[0]+1; x++ {
		for y := k[1] - 1; y <= k[1]+1; y++ {
			for _, i := range g.in[[2]int{x, y}] {
				a, b := g.l.P[i], g.l.at(i+1)
				u, v := b[0]-a[0], b[1]-a[1]
				h := math.Hypot(u, v)
				if h == 0 || v*n[0]-u*n[1] < 0.4*h {
					continue
				}
				t := math.Max(0, math.Min(1, ((p[0]-a[0])*u+(p[1]-a[1])*v)/(h*h)))
				if d := math.Hypot(p[0]-a[0]-t*u, p[1]-a[1]-t*v); d < best {
					best, at, ok = d, g.l.S[i]+t*h, true
				}
			}
		}
	}
	return at, ok
}
