package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// motion is a screw that carries a surface into itself: a turn about the unit
// axis through point with travel along it, mm per rad.
type motion struct {
	point, axis r3.Vec
	travel      float64
}

// motions returns the screws that fit the normals of all points of the sample
// best and with outliers weighted down. A velocity u + w×p is tangent to the
// surface where n·u + (p×n)·w = 0, the same for either sign of n; u and w are
// the least eigenvector of that sum of squares with |w| = 1 (Pottmann and
// Randrup, Computing 60, 1998).
func (s *sample) motions() []motion {
	weight := make([]float64, len(s.at))
	for i := range weight {
		weight[i] = 1
	}
	var all []motion
	for range 8 {
		u, w, ok := s.screw(weight)
		if !ok {
			break
		}
		travel := r3.Dot(u, w)
		m := motion{point: r3.Cross(w, u), axis: w, travel: travel}
		all = append(all, m)
		s.reweigh(m, weight)
	}
	if len(all) > 2 {
		all = []motion{all[0], all[len(all)-1]}
	}
	return all
}

// reweigh gives Tukey weights to the sine of the angle between the normals and
// the velocity.
func (s *sample) reweigh(m motion, weight []float64) {
	d := make([]float64, len(s.at))
	for i, q := range s.at {
		v := along(r3.Cross(m.axis, r3.Sub(q, m.point)), m.travel, m.axis)
		d[i] = r3.Dot(unit(v), s.normal[i])
	}
	scale := math.Max(s.medianScale(d), 1e-9)
	for i, v := range d {
		t := v / (tukeyLimit * scale)
		weight[i] = math.Max(0, 1-t*t) * math.Max(0, 1-t*t)
	}
}

// screw returns the velocity u + w×p with |w| = 1 most tangent to the surface.
func (s *sample) screw(weight []float64) (u, w r3.Vec, ok bool) {
	var nn, mn, mm [9]float64 // Σ n nᵀ, Σ (p×n) nᵀ, Σ (p×n)(p×n)ᵀ
	for i, q := range s.at {
		n := [3]float64{s.normal[i].X, s.normal[i].Y, s.normal[i].Z}
		c := r3.Cross(q, s.normal[i])
		m := [3]float64{c.X, c.Y, c.Z}
		for j := range 3 {
			for k := range 3 {
				nn[3*j+k] += weight[i] * n[j] * n[k]
				mn[3*j+k] += weight[i] * m[j] * n[k]
				mm[3*j+k] += weight[i] * m[j] * m[k]
			}
		}
	}
	// For given w the best u is -nn⁻¹ mnᵀ w; a little is added to the diagonal
	// so that a cylinder, free along its axis, stays solvable.
	l := nn
	for j := range 3 {
		l[4*j] += 1e-9 * (nn[0] + nn[4] + nn[8])
	}
	if !cholesky(l[:], 3) {
		return u, w, false
	}
	var solved [9]float64 // column j is nn⁻¹ times row j of mn
	for j := range 3 {
		col := []float64{mn[3*j], mn[3*j+1], mn[3*j+2]}
		cholSolve(l[:], 3, col)
		solved[j], solved[3+j], solved[6+j] = col[0], col[1], col[2]
	}
	var a, b [9]float64
	multiply(b[:], mn[:], solved[:], 3)
	for i := range a {
		a[i] = mm[i] - b[i]
	}
	_, vectors := eigen(a[:], 3)
	v := vectors[0]
	w = r3.Vec{X: v[0], Y: v[1], Z: v[2]}
	u = r3.Vec{
		X: -(solved[0]*v[0] + solved[1]*v[1] + solved[2]*v[2]),
		Y: -(solved[3]*v[0] + solved[4]*v[1] + solved[5]*v[2]),
		Z: -(solved[6]*v[0] + solved[7]*v[1] + solved[8]*v[2]),
	}
	return u, w, finite(norm(u)) && math.Abs(norm(w)-1) < 1e-6
}
