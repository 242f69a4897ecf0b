package main

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// along returns the height of p along an axis through (x[0], x[1], 0) that leans
// by x[2] and x[3], and its distance from that axis.
func along(x []float64, p r3.Vec) (height, radius float64) {
	d := r3.Unit(r3.Vec{X: x[2], Y: x[3], Z: 1})
	q := r3.Sub(p, r3.Vec{X: x[0], Y: x[1]})
	height = r3.Dot(q, d)
	return height, r3.Norm(r3.Sub(q, r3.Scale(height, d)))
}

func diameter(i int) func([]float64) float64 { return func(x []float64) float64 { return 2 * x[i] } }

func between(i, j int) func([]float64) float64 {
	return func(x []float64) float64 { return x[j] - x[i] }
}

// end is the distance from an end plane that may lean by itself: height z,
// slopes a and b.
func end(p r3.Vec, z, a, b float64) float64 {
	return (p.Z - z - a*p.X - b*p.Y) / math.Hypot(1, math.Hypot(a, b))
}

// longOf is a bar or, with a bore, a tube: axis, radius, then bore; the two ends
// are planes of their own, since a cut may be out of square.
func longOf(radius []float64, length float64) *ideal {
	n := 4 + len(radius)
	truth := append(make([]float64, 4), radius...)
	truth = append(truth, -length/2, 0, 0, length/2, 0, 0)
	return &ideal{
		truth: truth,
		distance: func(x []float64, p r3.Vec) []float64 {
			_, r := along(x, p)
			out := []float64{r - x[4]}
			if n == 6 {
				out = append(out, x[5]-r)
			}
			return append(out, -end(p, x[n], x[n+1], x[n+2]), end(p, x[n+3], x[n+4], x[n+5]))
		},
		dims: map[string]func([]float64) float64{
			"outside_diameter_mm": diameter(4),
			"length_mm":           between(n, n+3),
		},
	}
}

func tubeOf(outer, inner, length float64) *ideal {
	t := longOf([]float64{outer, inner}, length)
	t.dims["inside_diameter_mm"] = diameter(5)
	t.dims["wall_mm"] = between(5, 4)
	return t
}

func barOf(radius, length float64) *ideal { return longOf([]float64{radius}, length) }

// flatOf is a disc or, with a bore, a flat ring, its faces square to its axis.
func flatOf(radius []float64, thickness float64) *ideal {
	n := 4 + len(radius)
	truth := append(make([]float64, 4), radius...)
	return &ideal{
		truth: append(truth, -thickness/2, thickness/2),
		distance: func(x []float64, p r3.Vec) []float64 {
			h, r := along(x, p)
			out := []float64{r - x[4], x[n] - h, h - x[n+1]}
			if n == 6 {
				out = append(out, x[5]-r)
			}
			return out
		},
		dims: map[string]func([]float64) float64{
			"outside_diameter_mm": diameter(4),
			"thickness_mm":        between(n, n+1),
		},
	}
}

func discOf(radius, thickness float64) *ideal { return flatOf([]float64{radius}, thickness) }

func ringOf(outer, inner, thickness float64) *ideal {
	r := flatOf([]float64{outer, inner}, thickness)
	r.dims["inside_diameter_mm"] = diameter(5)
	return r
}

// torusOf is a round ring: axis, height of its plane, then the radii of its
// centreline and section.
func torusOf(centreline, section float64) *ideal {
	return &ideal{
		truth: []float64{0, 0, 0, 0, 0, centreline, section},
		distance: func(x []float64, p r3.Vec) []float64 {
			h, r := along(x, p)
			return []float64{math.Hypot(r-x[5], h-x[4]) - x[6]}
		},
		dims: map[string]func([]float64) float64{
			"centreline_diameter_mm": diameter(5),
			"section_diameter_mm":    diameter(6),
		},
	}
}

// ballOf is a whole ball: its centre, then the radius.
func ballOf(radius float64) *ideal {
	return &ideal{
		truth: []float64{0, 0, 0, radius},
		distance: func(x []float64, p r3.Vec) []float64 {
			return []float64{r3.Norm(r3.Sub(p, r3.Vec{X: x[0], Y: x[1], Z: x[2]})) - x[3]}
		},
		dims: map[string]func([]float64) float64{"diameter_mm": diameter(3)},
	}
}

// coneOf is a frustum whose ends are planes of their own: axis, radius at mid
// height, its decrease along the axis, the wall where it is over 0, the ends.
func coneOf(large, small, height, wall float64) *ideal {
	slope := (large - small) / height
	truth := []float64{0, 0, 0, 0, (large + small) / 2, slope}
	n := 6
	if wall > 0 {
		truth, n = append(truth, wall), 7
	}
	// Where end plane i cuts the axis, as a height along it.
	height2 := func(x []float64, i int) float64 {
		d := r3.Vec{X: x[2], Y: x[3], Z: 1}
		k := (x[i] + x[i+1]*x[0] + x[i+2]*x[1]) / (1 - x[i+1]*x[2] - x[i+2]*x[3])
		return k * r3.Norm(d)
	}
	across := func(i int) func([]float64) float64 {
		return func(x []float64) float64 { return 2 * (x[4] - x[5]*height2(x, i)) }
	}
	c := &ideal{
		truth: append(truth, -height/2, 0, 0, height/2, 0, 0),
		distance: func(x []float64, p r3.Vec) []float64 {
			h, r := along(x, p)
			d := (r - x[4] + x[5]*h) / math.Hypot(1, x[5])
			out := []float64{d}
			if n == 7 {
				out = append(out, -d-x[6])
			}
			return append(out, -end(p, x[n], x[n+1], x[n+2]), end(p, x[n+3], x[n+4], x[n+5]))
		},
		dims: map[string]func([]float64) float64{
			"large_diameter_mm": across(n),
			"small_diameter_mm": across(n + 3),
			"height_mm":         func(x []float64) float64 { return height2(x, n+3) - height2(x, n) },
		},
	}
	if wall > 0 {
		c.dims["wall_mm"] = func(x []float64) float64 { return x[6] }
	}
	return c
}
