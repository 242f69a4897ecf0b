package synthetic

import "math"

// area is the inside of loops as a signed distance: where a point has a known
// shortest list of edges that can be nearest.
type area struct {
	edges  []edge
	lo     [2]float64
	binMM  float64
	nx, ny int
	near   [][]int32
}

// areaBins is the number of bins along the longer side; areaMarginMM lies round
// the loops, further out than any weld reaches.
const (
	areaBins     = 72
	areaMarginMM = 4
)

// newArea bins the edges of loops, outer counter-clockwise, holes clockwise.
func newArea(loops []loop) *area {
	a := &area{}
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, l := range loops {
		a.edges = append(a.edges, l...)
		for _, q := range dense(l) {
			for k := range 2 {
				lo[k], hi[k] = min(lo[k], q[k]-areaMarginMM), max(hi[k], q[k]+areaMarginMM)
			}
		}
	}
	a.lo = lo
	a.binMM = max(hi[0]-lo[0], hi[1]-lo[1]) / areaBins
	a.nx, a.ny = int((hi[0]-lo[0])/a.binMM)+1, int((hi[1]-lo[1])/a.binMM)+1
	a.near = make([][]int32, a.nx*a.ny)
	d := make([]float64, len(a.edges))
	for j := range a.ny {
		for i := range a.nx {
			x, y := lo[0]+(float64(i)+0.5)*a.binMM, lo[1]+(float64(j)+0.5)*a.binMM
			least := math.Inf(1)
			for k, e := range a.edges {
				d[k], _ = e.from2(x, y)
				least = min(least, d[k])
			}
			for k := range d {
				if d[k] <= least+1.5*a.binMM { // the bin's diagonal and a little
					a.near[j*a.nx+i] = append(a.near[j*a.nx+i], int32(k))
				}
			}
		}
	}
	return a
}

// distance is signed, negative inside.
func (a *area) distance(x, y float64) float64 {
	i, j := int(math.Floor((x-a.lo[0])/a.binMM)), int(math.Floor((y-a.lo[1])/a.binMM))
	best, side := math.Inf(1), 0.0
	see := func(e *edge) {
		d, s := e.from2(x, y)
		// At a corner both edges are as near: the one that is seen more squarely knows
		// the side.
		if d < best-1e-9 || d < best+1e-9 && math.Abs(s) > math.Abs(side) {
			best, side = d, s
		}
	}
	if i < 0 || j < 0 || i >= a.nx || j >= a.ny {
		for k := range a.edges {
			see(&a.edges[k])
		}
	} else {
		for _, k := range a.near[j*a.nx+i] {
			see(&a.edges[k])
		}
	}
	if side < 0 {
		return -best
	}
	return best
}

// from2 is the distance of a point from the edge, and from the line or circle
// that it is part of, negative on the left.
func (e *edge) from2(x, y float64) (d, side float64) {
	if e.radius == 0 {
		dx, dy := e.to[0]-e.from[0], e.to[1]-e.from[1]
		l := math.Hypot(dx, dy)
		px, py := x-e.from[0], y-e.from[1]
		t := min(max((px*dx+py*dy)/(l*l), 0), 1)
		return math.Hypot(px-t*dx, py-t*dy), (py*-dx + px*dy) / l
	}
	px, py := x-e.centre[0], y-e.centre[1]
	rho := math.Hypot(px, py)
	side = rho - e.radius
	turn := math.Atan2(py, px) - e.start
	if e.sweep < 0 {
		side, turn = -side, -turn
	}
	if turn -= 2 * math.Pi * math.Floor(turn/(2*math.Pi)); turn <= math.Abs(e.sweep) {
		return math.Abs(side), side
	}
	return min(math.Hypot(x-e.from[0], y-e.from[1]), math.Hypot(x-e.to[0], y-e.to[1])), side
}
