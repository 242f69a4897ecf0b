package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// sector is a flat arc: radii inside and outside, thickness along the axis, from
// angle 0 on.
func sector(inside, outside, t, sweep float64) *shape {
	s := &shape{}
	if !(t > 0) || !(outside > inside) || !(inside > 0) {
		return s
	}
	s.slabFaces(t)
	s.thinMM = min(t, outside-inside)
	s.about("outside", outside, 1)
	s.about("inside", inside, -1)
	s.swept(sweep, (inside+outside)/2)
	s.turned(sweep, [][2]float64{{inside, t / 2}, {outside, t / 2}, {inside, -t / 2}, {outside, -t / 2}})
	return s
}

// rolled is a plate rolled to a cylinder; one that is rolled to a cone has its
// large edge up or down.
func rolled(p stock.Part) []*shape {
	z := sizes{p}
	r, t, w, sweep := z.mm("inside_diameter_mm")/2, z.mm("thickness_mm"), z.mm("width_mm"), z.rad("sweep_deg")
	if !(r > 0) || !(t > 0) || !(w > 0) {
		return one(&shape{})
	}
	slope := 0.0
	if large, small := z.mm("large_inside_diameter_mm"), z.mm("small_inside_diameter_mm"); large > small && small > 0 {
		slope = (large - small) / 2 / w
	}
	var out []*shape
	for _, up := range []float64{1, -1} {
		k := up * slope
		gain := 1 / math.Hypot(1, k)
		s := &shape{thinMM: t}
		in := func(q r3.Vec) float64 { return (r + k*q.Z - radial(q)) * gain }
		s.add("inside", false, in)
		s.add("outside", false, func(q r3.Vec) float64 { return -in(q) - t })
		// The edges stand square to the plate.
		edge := func(dir float64) func(q r3.Vec) float64 {
			return func(q r3.Vec) float64 {
				return (dir*(q.Z-dir*w/2) + dir*k*(radial(q)-(r+k*dir*w/2))) * gain
			}
		}
		s.add("top", slope == 0, edge(1))
		s.add("bottom", slope == 0, edge(-1))
		s.swept(sweep, r+t/2)
		var ring [][2]float64
		for _, dir := range []float64{1, -1} {
			at := [2]float64{r + k*dir*w/2, dir * w / 2}
			ring = append(ring, at, [2]float64{at[0] + t*gain, at[1] - t*k*gain})
		}
		s.turned(sweep, ring)
		out = append(out, s)
		if slope == 0 {
			break
		}
	}
	return out
}

// swept adds the two radial ends of a part that runs from angle 0 to sweep.
func (s *shape) swept(sweep, radius float64) {
	if !(sweep > 0) || sweep >= 2*math.Pi {
		return
	}
	for k, name := range []string{"start", "finish"} {
		dir := float64(2*k - 1)
		s.add(name, true, func(q r3.Vec) float64 {
			a := math.Remainder(math.Atan2(q.Y, q.X)-sweep/2, 2*math.Pi) * dir // 0 in the middle
			over := a - sweep/2
			if a < 0 || over < -math.Pi/4 { // nearer to the other end, or well inside
				return max(-sweep, over) * radius
			}
			sin, cos := math.Sincos(sweep / 2 * float64(k) * 2)
			return dir * (q.Y*cos - q.X*sin)
		})
	}
}

// turned takes places of the rims, each at a radius and height, round the sweep.
func (s *shape) turned(sweep float64, rims [][2]float64) {
	if !(sweep > 0) {
		sweep = 2 * math.Pi
	}
	for i := 0; i <= arcParts; i++ {
		y, x := math.Sincos(sweep * float64(i) / arcParts)
		for _, r := range rims {
			s.edges = append(s.edges, r3.Vec{X: r[0] * x, Y: r[0] * y, Z: r[1]})
		}
	}
}
