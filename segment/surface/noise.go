package surface

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Neighbours of a quadric: 6 coefficients leave 10 degrees of freedom.
const nearQuadric = 15

// quadricNoise is the points' standard deviation from local quadrics in frames
// of their tangent planes: curvature does not read as noise there. The lower
// third is taken, since edges read high but leave most points alone; of 10
// degrees of freedom it lies at 0.88 of the middle's true value.
func quadricNoise(p []r3.Vec, near [][]int32) float64 {
	var all []float64
	step := len(p)/3000 + 1
	for i := 0; i < len(p); i += step {
		ids := near[i][:min(nearQuadric, len(near[i]))]
		if len(ids) < 9 {
			continue
		}
		if sd, ok := quadric(p, int32(i), ids); ok {
			all = append(all, sd)
		}
	}
	if len(all) == 0 {
		return 0
	}
	slices.Sort(all)
	return all[len(all)/3] / 0.88
}

// quadric is the standard deviation of z from a+bx+cy+dx²+exy+fy² about point i.
func quadric(p []r3.Vec, i int32, ids []int32) (sd float64, ok bool) {
	n, _ := planeOf(p, i, ids, nil)
	e1, e2 := across(n)
	size := 0.0
	for _, j := range ids {
		size = max(size, r3.Norm(r3.Sub(p[j], p[i])))
	}
	if !(size > 0) {
		return 0, false
	}
	rows := make([][6]float64, 0, len(ids)+1)
	rows = append(rows, [6]float64{1})
	z := append(make([]float64, 0, len(ids)+1), 0)
	for _, j := range ids {
		d := r3.Scale(1/size, r3.Sub(p[j], p[i]))
		x, y := r3.Dot(d, e1), r3.Dot(d, e2)
		rows = append(rows, [6]float64{1, x, y, x * x, x * y, y * y})
		z = append(z, r3.Dot(d, n))
	}
	var a [6][7]float64
	for k, row := range rows {
		for r := range row {
			for c := range row {
				a[r][c] += row[r] * row[c]
			}
			a[r][6] += row[r] * z[k]
		}
	}
	x, ok := gauss(&a)
	if !ok {
		return 0, false
	}
	ss := 0.0
	for k, row := range rows {
		d := z[k]
		for c := range row {
			d -= row[c] * x[c]
		}
		ss += d * d
	}
	return size * math.Sqrt(ss/float64(len(rows)-6)), true
}

// gauss solves the 6×6 system with its right side in column 6; ok is false
// where a pivot has lost 10 digits.
func gauss(a *[6][7]float64) (x [6]float64, ok bool) {
	scale := 0.0
	for r := range a {
		scale = max(scale, a[r][r])
	}
	for c := range a {
		best := c
		for r := c + 1; r < 6; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[best][c]) {
				best = r
			}
		}
		a[c], a[best] = a[best], a[c]
		if !(math.Abs(a[c][c]) > 1e-10*scale) {
			return x, false
		}
		for r := c + 1; r < 6; r++ {
			t := a[r][c] / a[c][c]
			for k := c; k < 7; k++ {
				a[r][k] -= t * a[c][k]
			}
		}
	}
	for r := 5; r >= 0; r-- {
		s := a[r][6]
		for c := r + 1; c < 6; c++ {
			s -= a[r][c] * x[c]
		}
		x[r] = s / a[r][r]
	}
	return x, true
}

// across returns two directions that with unit n make a right-handed frame.
func across(n r3.Vec) (e1, e2 r3.Vec) {
	x, y, z := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)
	least := r3.Vec{Z: 1}
	if x <= y && x <= z {
		least = r3.Vec{X: 1}
	} else if y <= z {
		least = r3.Vec{Y: 1}
	}
	e1 = r3.Unit(r3.Cross(least, n))
	return e1, r3.Cross(n, e1)
}

// ownNoise is the scatter that the found surfaces themselves show: a third of
// the points lie on surfaces of less. Each surface's is the median distance
// over 0.6745, which a few points of another surface leave alone.
func (s *search) ownNoise() float64 {
	type row struct {
		sd float64
		n  int
	}
	var rows []row
	total := 0
	for k, points := range s.members() {
		if !s.alive[k] || len(points) == 0 {
			continue
		}
		d := make([]float64, len(points))
		for a, i := range points {
			d[a] = math.Abs(s.surfaces[k].Distance(s.f.P[i]))
		}
		rows = append(rows, row{median(d) / 0.6745, len(points)})
		total += len(points)
	}
	slices.SortFunc(rows, func(a, b row) int {
		switch {
		case a.sd < b.sd:
			return -1
		case a.sd > b.sd:
			return 1
		}
		return b.n - a.n
	})
	sum := 0
	for _, r := range rows {
		if sum += r.n; 3*sum >= total {
			return r.sd
		}
	}
	return s.noiseMM
}
