package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Sightings are the points of an association and what they say.
//
// Shapes: one entry a point; Slope has P a point, the derivatives of its
// residual by the parameters; Surface numbers the surface that it lies on, from
// 0; Normal is the outward unit normal there. Residuals are in mm, positive along
// the normal.
type Sightings struct {
	At, Normal []r3.Vec
	Residual   []float64
	Slope      []float64
	Surface    []int
	P          int
}

// fieldCells is the most cells that a piece is divided into: enough to see waves
// of a fifth of its size on each side, few enough to take milliseconds.
const fieldCells = 120

// feet returns the same sightings with the points moved onto their surfaces: a
// field over points as they are could take their own residuals for its slope.
func (s Sightings) feet() Sightings {
	at := make([]r3.Vec, len(s.At))
	for i, q := range s.At {
		at[i] = r3.Sub(q, r3.Scale(s.Residual[i], s.Normal[i]))
	}
	s.At = at
	return s
}

// cells are neighbouring points of one surface each, taken together.
type cells struct {
	p       int
	at      []r3.Vec    // mean place
	normal  []r3.Vec    // unit
	n       []float64   // points
	mean    []float64   // residual
	slope   [][]float64 // sum over the points
	spread  []float64   // variance of a point's place in one direction along the surface, mm²
	surface []int
	white   []float64 // one a surface: variance of a point within its cell, mm²
	size    float64   // width of a cell, mm
	extent  float64   // of all points, mm
}

// divide puts the points into fieldCells cells at most, or one for three points: cubes of space, each
// surface by itself, ever larger until they are few enough.
func (s Sightings) divide() cells {
	low, high := s.At[0], s.At[0]
	surfaces := 0
	for i, q := range s.At {
		low = r3.Vec{X: math.Min(low.X, q.X), Y: math.Min(low.Y, q.Y), Z: math.Min(low.Z, q.Z)}
		high = r3.Vec{X: math.Max(high.X, q.X), Y: math.Max(high.Y, q.Y), Z: math.Max(high.Z, q.Z)}
		surfaces = max(surfaces, s.Surface[i]+1)
	}
	c := cells{p: s.P, extent: norm(r3.Sub(high, low)), white: make([]float64, surfaces)}
	c.size = math.Max(c.extent/fieldCells, math.SmallestNonzeroFloat64)
	of := make([]int32, len(s.At))
	most := max(min(fieldCells, max(len(s.At)/3, 20)), surfaces) // each surface has one at least
	for c.count(s, low, of, most) > most {
		c.size *= 1.15
	}
	c.gather(s, of)
	c.noise(s, of)
	return c
}

// count numbers the cells in the order in which points meet them, and stops
// where there are too many.
func (c *cells) count(s Sightings, low r3.Vec, of []int32, most int) int {
	ids := make(map[[4]int32]int32)
	for i, q := range s.At {
		t := r3.Scale(1/c.size, r3.Sub(q, low))
		k := [4]int32{int32(t.X), int32(t.Y), int32(t.Z), int32(s.Surface[i])}
		id, ok := ids[k]
		if !ok {
			id = int32(len(ids))
			if int(id) == most {
				return most + 1
			}
			ids[k] = id
		}
		of[i] = id
	}
	return len(ids)
}

func (c *cells) gather(s Sightings, of []int32) {
	for i, id := range of {
		if int(id) == len(c.n) {
			c.at, c.normal = append(c.at, r3.Vec{}), append(c.normal, r3.Vec{})
			c.n, c.mean, c.spread = append(c.n, 0), append(c.mean, 0), append(c.spread, 0)
			c.slope, c.surface = append(c.slope, make([]float64, c.p)), append(c.surface, s.Surface[i])
		}
		c.n[id]++
		c.at[id] = r3.Add(c.at[id], s.At[i])
		c.normal[id] = r3.Add(c.normal[id], s.Normal[i])
		c.mean[id] += s.Residual[i]
		for j, g := range s.Slope[i*c.p : (i+1)*c.p] {
			c.slope[id][j] += g
		}
	}
	for k, n := range c.n {
		c.at[k], c.mean[k] = r3.Scale(1/n, c.at[k]), c.mean[k]/n
		c.normal[k] = unit(c.normal[k])
	}
	for i, id := range of {
		c.spread[id] += r3.Norm2(r3.Sub(s.At[i], c.at[id])) / (2 * c.n[id])
	}
	for k, n := range c.n { // a lone point stands for a cell's middle
		if n < 3 {
			c.spread[k] = c.size * c.size / 12
		}
	}
}

// noise fills the variance of points within their cells; where a surface has too
// few to tell, that of all surfaces.
func (c *cells) noise(s Sightings, of []int32) {
	free, all, most := make([]float64, len(c.white)), 0.0, 0.0
	for k, n := range c.n {
		free[c.surface[k]] += n - 1
	}
	for i, id := range of {
		d := s.Residual[i] - c.mean[id]
		c.white[s.Surface[i]] += d * d
	}
	for k, f := range free {
		all, most = all+c.white[k], most+f
		c.white[k] /= math.Max(f, 1)
	}
	for k, f := range free {
		if f < 20 {
			c.white[k] = all / math.Max(most, 1)
		}
		c.white[k] = math.Max(c.white[k], 1e-20*c.extent*c.extent)
	}
}
