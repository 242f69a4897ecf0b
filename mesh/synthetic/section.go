package synthetic

import (
	"fmt"
	"math"
	"slices"
)

// section is a meshed plane region.
//
// Shapes: pts starts with the rim, the vertices of all loops in order; rim[i]
// is the first vertex of loop i, closed by one more; next is the vertex after
// each rim vertex, side the number of the edge between them, counted over all
// loops; tris are counter-clockwise.
type section struct {
	pts  [][2]float64
	rim  []int
	next []int32
	side []int32
	tris [][3]int32
}

// rimOf samples loops in segments of about edgeMM.
func rimOf(loops []loop, edgeMM float64) (section, error) {
	var total float64
	for _, l := range loops {
		for _, e := range l {
			total += e.length()
		}
	}
	if !(total/edgeMM < facetsMax/64) {
		return section{}, tooFine(edgeMM)
	}
	s := section{rim: []int{0}}
	var sides int32
	for _, l := range loops {
		at, on := l.points(edgeMM)
		first := int32(len(s.pts))
		s.pts = append(s.pts, at...)
		for i, k := range on {
			s.next = append(s.next, first+int32((i+1)%len(at)))
			s.side = append(s.side, sides+k)
		}
		s.rim = append(s.rim, len(s.pts))
		sides += int32(len(l))
	}
	return s, nil
}

func tooFine(edgeMM float64) error {
	return fmt.Errorf("facets: an edge length of %g mm makes too many facets; take a longer one", edgeMM)
}

// fill meshes the region that the rim encloses, outer loop counter-clockwise,
// holes inside it.
func (s *section) fill(edgeMM float64) error {
	lo, hi := bounds(s.pts)
	if area := (hi[0] - lo[0]) * (hi[1] - lo[1]); !(area/(edgeMM*edgeMM) < facetsMax/8) {
		return tooFine(edgeMM)
	}
	rim := len(s.pts)
	s.pts = append(s.pts, s.grid(edgeMM, lo, hi)...)
	m := newMesher(lattice(s.pts, lo, hi))
	if err := m.insertAll(); err != nil {
		return err
	}
	for i := range rim {
		if err := m.hold(int32(i), s.next[i]); err != nil {
			return err
		}
	}
	m.relax()
	s.tris = m.inside()
	if s.open() {
		return fmt.Errorf("%w, or a hole is not inside the outline", errTouches)
	}
	return nil
}

// open says that some rim edge does not have the region on its left.
func (s *section) open() bool {
	left := 0
	for _, t := range s.tris {
		for k := range 3 {
			if a := int(t[k]); a < len(s.next) && s.next[a] == t[(k+1)%3] {
				left++
			}
		}
	}
	return left != len(s.next)
}

func bounds(pts [][2]float64) (lo, hi [2]float64) {
	lo, hi = pts[0], pts[0]
	for _, p := range pts {
		for k := range 2 {
			lo[k], hi[k] = min(lo[k], p[k]), max(hi[k], p[k])
		}
	}
	return lo, hi
}

// lattice maps points to integers that fill the mesher's square: a region of
// 1 m is resolved to 4 nm.
func lattice(pts [][2]float64, lo, hi [2]float64) [][2]int64 {
	scale := 2 * (latticeMax - 1) / max(hi[0]-lo[0], hi[1]-lo[1])
	out := make([][2]int64, len(pts))
	for i, p := range pts {
		for k := range 2 {
			out[i][k] = int64(math.Round((p[k] - (lo[k]+hi[k])/2) * scale))
		}
	}
	return out
}

// clearance keeps grid points off the rim, in edge lengths: a point beside the
// middle of a rim segment then stands some 0.4 edge lengths away.
const clearance = 0.65

// grid returns the points of a triangular grid inside the region and clear of
// its rim.
func (s *section) grid(edgeMM float64, lo, hi [2]float64) [][2]float64 {
	near := newCells(s.pts, lo, hi, edgeMM)
	rise := edgeMM * math.Sqrt(3) / 2
	rows := int((hi[1] - lo[1]) / rise)
	first := lo[1] + (hi[1]-lo[1]-float64(rows)*rise)/2
	cuts := s.cuts(rows+1, first, rise)
	var out [][2]float64
	for r, x := range cuts {
		y := first + float64(r)*rise
		shift := float64(r%2) / 2
		for i := 0; i+1 < len(x); i += 2 {
			for c := math.Ceil((x[i]-lo[0])/edgeMM - shift); ; c++ {
				p := [2]float64{lo[0] + (c+shift)*edgeMM, y}
				if p[0] > x[i+1] {
					break
				}
				if !near.within(p, clearance*edgeMM) {
					out = append(out, p)
				}
			}
		}
	}
	return out
}

// cuts returns, for each row of constant y, where the rim crosses it, rising.
func (s *section) cuts(rows int, first, rise float64) [][]float64 {
	out := make([][]float64, rows)
	for i, j := range s.next {
		p, q := s.pts[i], s.pts[j]
		if p[1] > q[1] {
			p, q = q, p
		}
		// Half-open: a row through a vertex counts the edge above it only.
		for r := max(0, int(math.Ceil((p[1]-first)/rise))); r < rows; r++ {
			y := first + float64(r)*rise
			if y >= q[1] {
				break
			}
			if y >= p[1] {
				out[r] = append(out[r], p[0]+(y-p[1])/(q[1]-p[1])*(q[0]-p[0]))
			}
		}
	}
	for _, x := range out {
		slices.Sort(x)
	}
	return out
}

// cells finds points near a place: a grid of square cells, each with the points
// in it, as offsets into one list.
type cells struct {
	lo     [2]float64
	size   float64
	nx, ny int
	start  []int32
	pts    [][2]float64
}

func newCells(pts [][2]float64, lo, hi [2]float64, size float64) cells {
	c := cells{lo: lo, size: size, nx: int((hi[0]-lo[0])/size) + 1, ny: int((hi[1]-lo[1])/size) + 1}
	c.start = make([]int32, c.nx*c.ny+1)
	for _, p := range pts {
		c.start[c.cell(p)+1]++
	}
	for i := range c.nx * c.ny {
		c.start[i+1] += c.start[i]
	}
	fill := slices.Clone(c.start)
	c.pts = make([][2]float64, len(pts))
	for _, p := range pts {
		i := c.cell(p)
		c.pts[fill[i]] = p
		fill[i]++
	}
	return c
}

func (c cells) cell(p [2]float64) int {
	x, y := int((p[0]-c.lo[0])/c.size), int((p[1]-c.lo[1])/c.size)
	return min(max(y, 0), c.ny-1)*c.nx + min(max(x, 0), c.nx-1)
}

// within says that a point lies closer to p than d, which is at most one cell.
func (c cells) within(p [2]float64, d float64) bool {
	x, y := int((p[0]-c.lo[0])/c.size), int((p[1]-c.lo[1])/c.size)
	for j := max(y-1, 0); j <= min(y+1, c.ny-1); j++ {
		row := j * c.nx
		for _, q := range c.pts[c.start[row+max(x-1, 0)]:c.start[row+min(x+1, c.nx-1)+1]] {
			if (q[0]-p[0])*(q[0]-p[0])+(q[1]-p[1])*(q[1]-p[1]) < d*d {
				return true
			}
		}
	}
	return false
}
