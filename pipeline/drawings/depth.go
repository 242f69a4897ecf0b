package drawings

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// depths is what is nearest to the viewer in each cell of a view.
type depths struct {
	lo         [2]float64
	cellMM     float64
	wide, high int
	near       []float32
	who        []int16 // which body, where there are several
}

// nothing is in a cell that no body reaches.
var nothing = float32(math.Inf(-1))

// body is which one a cell shows, -1 for none.
func (d *depths) body(cell int) int {
	switch {
	case d.near[cell] == nothing:
		return -1
	case d.who == nil:
		return 0
	}
	return int(d.who[cell])
}

// depthsMost are the most cells of a view: cells grow where it would take more.
const depthsMost = 6e6

// depthsOf fills the cells from the bodies' triangles.
func depthsOf(bodies []body, v view, cellMM float64) *depths {
	b := boxOf(bodies, v)
	if area := (b.wide() + 4*cellMM) * (b.high() + 4*cellMM) / (cellMM * cellMM); area > depthsMost {
		cellMM *= math.Sqrt(area / depthsMost)
	}
	d := &depths{cellMM: cellMM, lo: [2]float64{b.lo[0] - 2*cellMM, b.lo[1] - 2*cellMM}}
	d.wide, d.high = int(b.wide()/cellMM)+5, int(b.high()/cellMM)+5
	d.near = make([]float32, d.wide*d.high)
	for i := range d.near {
		d.near[i] = nothing
	}
	if len(bodies) > 1 {
		d.who = make([]int16, d.wide*d.high)
	}
	for n, b := range bodies {
		at := make([]r3.Vec, len(b.points))
		for i, p := range b.points {
			q := v.flat(p)
			at[i] = r3.Vec{X: (q[0] - d.lo[0]) / cellMM, Y: (q[1] - d.lo[1]) / cellMM, Z: v.near(p)}
		}
		for _, t := range b.triangles {
			d.fill(at[t[0]], at[t[1]], at[t[2]], int16(n))
		}
	}
	return d
}

// fill takes a triangle row by row, at the middles of cells.
func (d *depths) fill(a, b, c r3.Vec, who int16) {
	if a.Y > b.Y {
		a, b = b, a
	}
	if b.Y > c.Y {
		b, c = c, b
	}
	if a.Y > b.Y {
		a, b = b, a
	}
	area := (b.X-a.X)*(c.Y-a.Y) - (c.X-a.X)*(b.Y-a.Y)
	if math.Abs(area) < 1e-9 {
		return
	}
	gx := ((b.Z-a.Z)*(c.Y-a.Y) - (c.Z-a.Z)*(b.Y-a.Y)) / area
	gy := ((b.X-a.X)*(c.Z-a.Z) - (c.X-a.X)*(b.Z-a.Z)) / area
	least, most := min(a.Z, b.Z, c.Z), max(a.Z, b.Z, c.Z)
	for row := max(0, int(math.Ceil(a.Y-0.5))); row < d.high && float64(row)+0.5 <= c.Y; row++ {
		y := float64(row) + 0.5
		x0, x1 := cross(a, c, y), 0.0
		if y < b.Y || b.Y == c.Y {
			x1 = cross(a, b, y)
		} else {
			x1 = cross(b, c, y)
		}
		if x0 > x1 {
			x0, x1 = x1, x0
		}
		from, to := max(0, int(math.Ceil(x0-0.5))), min(d.wide-1, int(math.Floor(x1-0.5)))
		if from > to {
			continue
		}
		at := a.Z + gy*(y-a.Y)
		first := row*d.wide + from
		for k, near := range d.near[first : first+to-from+1] {
			z := at + gx*(float64(from+k)+0.5-a.X)
			if z < least {
				z = least
			} else if z > most {
				z = most
			}
			if float32(z) > near {
				d.near[first+k] = float32(z)
				if d.who != nil {
					d.who[first+k] = who
				}
			}
		}
	}
}

// cross is x where the line from p to q, q not lower, passes the height y.
func cross(p, q r3.Vec, y float64) float64 {
	if q.Y == p.Y {
		return p.X
	}
	return p.X + (q.X-p.X)*(y-p.Y)/(q.Y-p.Y)
}

// cell is where a point of the view falls; inside by at least one cell.
func (d *depths) cell(p [2]float64) (x, y int) {
	x, y = int((p[0]-d.lo[0])/d.cellMM), int((p[1]-d.lo[1])/d.cellMM)
	return min(max(x, 1), d.wide-2), min(max(y, 1), d.high-2)
}

// seen tells whether a point is not behind something in its cell and in all cells
// round it: on an outline those outside are free.
func (d *depths) seen(p [2]float64, near, roomMM float64) bool {
	x, y := d.cell(p)
	limit := float32(near + roomMM)
	for row := y - 1; row <= y+1; row++ {
		for i := row*d.wide + x - 1; i <= row*d.wide+x+1; i++ {
			if d.near[i] <= limit {
				return true
			}
		}
	}
	return false
}
