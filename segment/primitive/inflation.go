package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// inflation is how much the correlation of a surface's residuals inflates the
// variance of what is estimated from them; see fit.Inflation.
func inflation(pts []r3.Vec, res []float64, edgeMM float64) float64 {
	return fit.Inflation(pts, res, edgeMM)
}

// walls gathers points of walls seen along their axis, with their residuals and
// the derivatives of these by the parameters of a fit.
type walls struct {
	s      fit.Sightings
	normal []float64 // row-major normal matrix
}

// add takes a point at the angle phi and the distance r from a centre.
func (w *walls) add(phi, r, residualMM float64, slope []float64, surface int) {
	if w.normal == nil {
		w.s.P = len(slope)
		w.normal = make([]float64, len(slope)*len(slope))
	}
	sin, cos := math.Sincos(phi)
	w.s.At, w.s.Normal = append(w.s.At, r3.Vec{X: r * cos, Y: r * sin}), append(w.s.Normal, r3.Vec{X: cos, Y: sin})
	w.s.Residual, w.s.Surface = append(w.s.Residual, residualMM), append(w.s.Surface, surface)
	w.s.Slope = append(w.s.Slope, slope...)
	for i, a := range slope {
		for j, b := range slope {
			w.normal[i*len(slope)+j] += a * b
		}
	}
}

// u95 is the half-width of the 95 % interval of each parameter; its noise, and
// how far neighbours share it, are those of the residuals.
func (w *walls) u95() []float64 {
	out := make([]float64, w.s.P)
	if len(w.s.At) == 0 {
		return out
	}
	d := w.s.Doubt(invert(w.normal, w.s.P))
	for i := range out {
		g := make([]float64, w.s.P)
		g[i] = 1
		out[i] = d.HalfWidth(g, 0.95)
	}
	return out
}

// circleU95 are the half-widths of the 95 % intervals of the radius and of the
// centre, either way, of the circle that circleOf found with the residual rms;
// points over 4.5 of it off are left out.
func circleU95(p [][2]float64, c [2]float64, r, rms float64) (radius, centre float64) {
	var w walls
	for _, q := range p {
		dx, dy := q[0]-c[0], q[1]-c[1]
		l := hypot(dx, dy)
		if d := l - r; l > 0 && math.Abs(d) <= 4.5*rms {
			w.add(math.Atan2(dy, dx), l, d, []float64{-dx / l, -dy / l, -1}, 0)
		}
	}
	if len(w.s.At) < 4 {
		return 0, 0
	}
	u := w.u95()
	return u[2], max(u[0], u[1])
}
