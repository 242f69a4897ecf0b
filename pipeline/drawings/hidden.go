package drawings

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// path is a line of a view, mm at full size.
type path struct {
	points [][2]float64
	hidden bool
}

// projection is a view of bodies.
type projection struct {
	paths []path
	cells *depths
}

// project draws sharp edges and outlines of bodies as they are seen; cellMM is how
// fine. What several lines show in one place is drawn once, and as seen where one
// of them is. Hidden lines are left out unless wanted.
func project(bodies []body, v view, cellMM float64, wantHidden bool) projection {
	d := depthsOf(bodies, v, cellMM)
	var curves []*curve
	for _, b := range bodies {
		for _, list := range [][][]r3.Vec{b.edges, b.outlines(v)} {
			for _, line := range list {
				for _, l := range parted(line, v) {
					if c := sampled(l, v, d); len(c.state) > 0 {
						curves = append(curves, c)
					}
				}
			}
		}
	}
	out := projection{cells: d}
	ink := make(ink, d.wide*d.high)
	for _, hidden := range []bool{false, true} {
		if hidden && !wantHidden {
			break
		}
		for _, c := range curves {
			out.paths = append(out.paths, c.runs(hidden, ink, d)...)
		}
	}
	return out
}

// parted divides a line where it turns back on itself in the view, as a circle
// does that is seen edge-on.
func parted(line []r3.Vec, v view) [][]r3.Vec {
	var out [][]r3.Vec
	var way [2]float64 // of the last step that shows
	start := 0
	for i := 1; i < len(line); i++ {
		a, b := v.flat(line[i-1]), v.flat(line[i])
		d := [2]float64{b[0] - a[0], b[1] - a[1]}
		if math.Hypot(d[0], d[1]) < 1e-6 {
			continue
		}
		if d[0]*way[0]+d[1]*way[1] < 0 {
			out = append(out, line[start:i])
			start = i - 1
		}
		way = d
	}
	return append(out, line[start:])
}

// curve is a line cut into steps of about a cell, each seen or not.
type curve struct {
	at    [][2]float64 // ends of steps, one more than there are
	bend  []bool       // whether the end is a corner of the line
	state []bool       // seen
}

// seenCells is how far a line may lie within metal by the chords of the mesh.
const seenCells = 0.6

func sampled(line []r3.Vec, v view, d *depths) *curve {
	c := &curve{}
	for i := 1; i < len(line); i++ {
		a, b := v.flat(line[i-1]), v.flat(line[i])
		za, zb := v.near(line[i-1]), v.near(line[i])
		n := max(1, int(math.Ceil(math.Hypot(b[0]-a[0], b[1]-a[1])/d.cellMM)))
		for k := range n {
			f := float64(k) / float64(n)
			m := (float64(k) + 0.5) / float64(n)
			c.at = append(c.at, [2]float64{a[0] + f*(b[0]-a[0]), a[1] + f*(b[1]-a[1])})
			c.bend = append(c.bend, k == 0)
			c.state = append(c.state, d.seen([2]float64{a[0] + m*(b[0]-a[0]), a[1] + m*(b[1]-a[1])}, za+m*(zb-za), seenCells*d.cellMM))
		}
		if i == len(line)-1 {
			c.at, c.bend = append(c.at, b), append(c.bend, true)
		}
	}
	calm(c.state)
	return c
}

// shortRun is the least number of steps that a line changes for: less is noise of
// the cells.
const shortRun = 5

// calm lets runs that are too short follow what stood before.
func calm(state []bool) {
	for i := 0; i < len(state); {
		j := i
		for j < len(state) && state[j] == state[i] {
			j++
		}
		if j-i < shortRun && i > 0 && j < len(state) {
			for k := i; k < j; k++ {
				state[k] = state[i-1]
			}
		}
		i = j
	}
}

// ink remembers in which of eight directions a cell is drawn over.
type ink []uint8

func direction(a, b [2]float64) uint {
	t := math.Atan2(b[1]-a[1], b[0]-a[0]) / (math.Pi / 8)
	return uint(int(math.Floor(t+0.5))+16) % 8
}

// runs are the parts of a curve that are in the state and not drawn yet.
func (c *curve) runs(hidden bool, ink ink, d *depths) []path {
	take := make([]bool, len(c.state))
	for i, seen := range c.state {
		take[i] = seen != hidden && !ink.drawn(c.at[i], c.at[i+1], d)
	}
	calm(take)
	var out []path
	for i := 0; i < len(take); {
		if !take[i] {
			i++
			continue
		}
		j := i
		p := path{hidden: hidden, points: [][2]float64{c.at[i]}}
		for ; j < len(take) && take[j]; j++ {
			ink.draw(c.at[j], c.at[j+1], d)
			if j+1 == len(take) || !take[j+1] || c.bend[j+1] {
				p.points = append(p.points, c.at[j+1])
			}
		}
		i = j
		if p.lengthMM() > 2*d.cellMM {
			out = append(out, p)
		}
	}
	return out
}

func (p path) lengthMM() (sum float64) {
	for i := 1; i < len(p.points); i++ {
		sum += math.Hypot(p.points[i][0]-p.points[i-1][0], p.points[i][1]-p.points[i-1][1])
	}
	return sum
}

func (k ink) drawn(a, b [2]float64, d *depths) bool {
	n := direction(a, b)
	want := uint8(1<<n | 1<<((n+1)%8) | 1<<((n+7)%8))
	x, y := d.cell([2]float64{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2})
	for row := y - 1; row <= y+1; row++ {
		for i := row*d.wide + x - 1; i <= row*d.wide+x+1; i++ {
			if k[i]&want != 0 {
				return true
			}
		}
	}
	return false
}

func (k ink) draw(a, b [2]float64, d *depths) {
	x, y := d.cell([2]float64{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2})
	k[y*d.wide+x] |= 1 << direction(a, b)
}
