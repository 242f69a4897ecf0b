package site

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// clearance is the room about a work on a grid of cubes: for each cube near metal the
// nearest of many points on its surfaces.
type clearance struct {
	low     r3.Vec // centre of the first cube
	pitch   float64
	n       [3]int
	nearest []int32 // sample, -1 farther than mostMM
	samples []sample
	mostMM  float64
}

// sample is a point of a surface.
type sample struct {
	at     r3.Vec
	normal r3.Vec
	piece  int
}

// Surfaces are known at points this far apart: at the least opening that matters, 89 mm,
// that makes 0.2 mm at most. Cubes of 16 mm tell an opening of 89 mm from one that is
// shut; works beyond cubesMost have coarser ones, to cubeMostMM, or are not looked at.
const (
	sampleMM   = 8.0
	cubeMM     = 16.0
	cubeMostMM = 25.0
	cubesMost  = 8e6
)

// clearanceOf is the room up to a height, false where the work is too large.
func clearanceOf(pieces []Piece, upToMM, mostMM float64) (clearance, bool) {
	lo, hi := boxOf(pieces)
	c := clearance{mostMM: mostMM}
	margin := mostMM + 2*cubeMostMM
	size := 1.0
	top := min(hi[2], upToMM)
	for k, x := range [3][2]float64{{lo[0], hi[0]}, {lo[1], hi[1]}, {lo[2], top}} {
		if !(x[1] > x[0]) {
			return c, false
		}
		lo[k], hi[k] = x[0]-margin, x[1]+margin
		size *= hi[k] - lo[k]
	}
	c.pitch = max(cubeMM, math.Cbrt(size/cubesMost))
	if c.pitch > cubeMostMM {
		return c, false
	}
	c.low = r3.Vec{X: lo[0], Y: lo[1], Z: lo[2]}
	for k := range 3 {
		c.n[k] = int((hi[k]-lo[k])/c.pitch) + 1
	}
	c.nearest = make([]int32, c.n[0]*c.n[1]*c.n[2])
	for i := range c.nearest {
		c.nearest[i] = -1
	}
	queue := make([]int32, 0, len(c.nearest)/4)
	area := 0.0
	for _, p := range pieces {
		area += p.surfaceMM2()
	}
	c.samples = make([]sample, 0, int(1.5*area/(sampleMM*sampleMM)))
	for i, p := range pieces {
		for _, t := range p.Triangles {
			c.sampled(i, p.PointsMM[t[0]], p.PointsMM[t[1]], p.PointsMM[t[2]])
		}
	}
	for s := range c.samples {
		if v, ok := c.cube(c.samples[s].at); ok && c.closer(v, int32(s)) {
			c.nearest[v] = int32(s)
			queue = append(queue, int32(v))
		}
	}
	c.spread(queue)
	return c, true
}

// sampled puts points on a triangle, in rows along its longest side, at least one.
func (c *clearance) sampled(piece int, a, b, d r3.Vec) {
	for range 2 { // a to b becomes the longest side
		if r3.Norm(r3.Sub(d, b)) > r3.Norm(r3.Sub(b, a)) || r3.Norm(r3.Sub(a, d)) > r3.Norm(r3.Sub(b, a)) {
			a, b, d = b, d, a
		}
	}
	n := r3.Cross(r3.Sub(b, a), r3.Sub(d, a))
	long := r3.Norm(r3.Sub(b, a))
	if r3.Norm(n) == 0 {
		return
	}
	high := r3.Norm(n) / long
	n = r3.Unit(n)
	top := c.low.Z + c.pitch*float64(c.n[2])
	rows := max(int(math.Ceil(high/sampleMM)), 1)
	for i := range rows {
		v := (float64(i) + 0.5) / float64(rows)
		m := max(int(math.Ceil(long*(1-v)/sampleMM)), 1)
		for j := range m {
			u := (float64(j) + 0.5) / float64(m) * (1 - v)
			if p := r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(d, a)))); p.Z < top {
				c.samples = append(c.samples, sample{p, n, piece})
			}
		}
	}
}

// spread carries nearest points from cube to cube.
func (c *clearance) spread(queue []int32) {
	for k := 0; k < len(queue); k++ {
		v := int(queue[k])
		s := c.nearest[v]
		c.beside(v, func(n int) {
			if c.nearest[n] != s && c.closer(n, s) {
				c.nearest[n] = s
				queue = append(queue, int32(n))
			}
		})
	}
}

// closer tells whether a sample is nearer to a cube than the one it has, and near enough.
func (c *clearance) closer(v int, s int32) bool {
	at := c.centre(v)
	d := r3.Norm2(r3.Sub(c.samples[s].at, at))
	limit := c.mostMM * c.mostMM
	if old := c.nearest[v]; old >= 0 {
		limit = r3.Norm2(r3.Sub(c.samples[old].at, at)) - 1e-6
	}
	return d < limit
}

func (c *clearance) centre(v int) r3.Vec {
	i, j, k := c.place(v)
	return r3.Add(c.low, r3.Scale(c.pitch, r3.Vec{X: float64(i), Y: float64(j), Z: float64(k)}))
}

func (c *clearance) place(v int) (i, j, k int) {
	return v % c.n[0], v / c.n[0] % c.n[1], v / (c.n[0] * c.n[1])
}

// cube is the one that a point lies in.
func (c *clearance) cube(p r3.Vec) (int, bool) {
	d := r3.Scale(1/c.pitch, r3.Sub(p, c.low))
	i, j, k := int(math.Round(d.X)), int(math.Round(d.Y)), int(math.Round(d.Z))
	if i < 0 || j < 0 || k < 0 || i >= c.n[0] || j >= c.n[1] || k >= c.n[2] {
		return 0, false
	}
	return (k*c.n[1]+j)*c.n[0] + i, true
}

// beside calls for the six cubes that share a face.
func (c *clearance) beside(v int, do func(n int)) {
	i, j, k := c.place(v)
	step := [3]int{1, c.n[0], c.n[0] * c.n[1]}
	for axis, x := range [3]int{i, j, k} {
		if x > 0 {
			do(v - step[axis])
		}
		if x+1 < c.n[axis] {
			do(v + step[axis])
		}
	}
}

// about calls for the 26 cubes that touch.
func (c *clearance) about(v int, do func(n int)) {
	i, j, k := c.place(v)
	for z := max(k-1, 0); z <= min(k+1, c.n[2]-1); z++ {
		for y := max(j-1, 0); y <= min(j+1, c.n[1]-1); y++ {
			for x := max(i-1, 0); x <= min(i+1, c.n[0]-1); x++ {
				if n := (z*c.n[1]+y)*c.n[0] + x; n != v {
					do(n)
				}
			}
		}
	}
}

// freeMM is the distance of a cube's centre from metal, mostMM where it is more.
func (c *clearance) freeMM(v int) float64 {
	s := c.nearest[v]
	if s < 0 {
		return c.mostMM
	}
	return r3.Norm(r3.Sub(c.samples[s].at, c.centre(v)))
}
