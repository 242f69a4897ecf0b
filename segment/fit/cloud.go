package fit

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// cloud holds points about their weighted centroid in units of their spread,
// so that neither far-off coordinates nor the unit reach the solver.
type cloud struct {
	centre r3.Vec
	scale  float64 // mm in one local unit
	at     []r3.Vec
	weight []float64 // nil or one a point
	n      int       // points of weight over 0
	total  float64   // sum of weights
}

// newCloud checks points and weights.
//
// Errors: ErrInput, ErrTooFew (none of weight over 0), ErrSingular (all in one
// place).
func newCloud(points []r3.Vec, weight []float64) (*cloud, error) {
	if weight != nil && len(weight) != len(points) {
		return nil, fmt.Errorf("%w: %d points, %d weights", ErrInput, len(points), len(weight))
	}
	c := &cloud{weight: weight}
	for i, p := range points {
		w := c.w(i)
		if m := math.Max(math.Abs(p.X), math.Max(math.Abs(p.Y), math.Abs(p.Z))); !(m <= 1e100) {
			return nil, fmt.Errorf("%w: point %d is not finite or over 1e100", ErrInput, i)
		}
		if !(w >= 0) || w > 1e100 {
			return nil, fmt.Errorf("%w: weight %d is %g", ErrInput, i, w)
		}
		if w > 0 {
			c.n++
			c.total += w
			c.centre = along(c.centre, w, p)
		}
	}
	if c.n == 0 {
		return nil, fmt.Errorf("%w: none", ErrTooFew)
	}
	c.centre = r3.Scale(1/c.total, c.centre)
	sum := 0.0
	for i, p := range points {
		d := r3.Sub(p, c.centre)
		sum += c.w(i) * r3.Dot(d, d)
	}
	c.scale = math.Sqrt(sum / c.total)
	// Points that differ by rounding alone, 1e-14 of their distance from the
	// origin, are one point.
	if !(c.scale > 1e-14*norm(c.centre)) || !(c.scale > 1e-100) {
		return nil, fmt.Errorf("%w: all points coincide", ErrSingular)
	}
	c.at = make([]r3.Vec, len(points))
	for i, p := range points {
		c.at[i] = c.in(p)
	}
	return c, nil
}

func (c *cloud) w(i int) float64 {
	if c.weight == nil {
		return 1
	}
	return c.weight[i]
}

// in and out take a place to and from local coordinates.
func (c *cloud) in(p r3.Vec) r3.Vec  { return r3.Scale(1/c.scale, r3.Sub(p, c.centre)) }
func (c *cloud) out(p r3.Vec) r3.Vec { return along(c.centre, c.scale, p) }

func (c *cloud) rowWeights(rows int) []float64 {
	if c.weight == nil || rows == 1 {
		return c.weight
	}
	w := make([]float64, rows*len(c.weight))
	for i := range w {
		w[i] = c.weight[i/rows]
	}
	return w
}

// worldCov takes a covariance for residuals of variance 1 from local units to mm.
func (c *cloud) worldCov(cov []float64, parameters []string) []float64 {
	p := len(parameters)
	unit := func(i int) float64 {
		if strings.HasSuffix(parameters[i], "_mm") {
			return 1
		}
		return 1 / c.scale
	}
	out := make([]float64, p*p)
	for i := range parameters {
		for j := range parameters {
			out[i*p+j] = cov[i*p+j] * unit(i) * unit(j)
		}
	}
	return out
}

// measure fills what the distances from the local feature f say.
func (c *cloud) measure(f ideal, rows int, a *Association) {
	low, high, sum := math.Inf(1), math.Inf(-1), 0.0
	for i, q := range c.at {
		w := c.w(i)
		if w == 0 {
			continue
		}
		d := f.Distance(q)
		low, high = math.Min(low, d), math.Max(high, d)
		sum += w * d * d
	}
	if rows > 1 {
		low = -high
	}
	a.Points, a.CentroidMM = c.n, c.centre
	a.SSQ = sum * c.scale * c.scale
	a.RMSMM = math.Sqrt(sum/c.total) * c.scale
	a.PeakToValleyMM = (high - low) * c.scale
	if a.DOF > 0 {
		a.NoiseMM = a.RMSMM * math.Sqrt(float64(c.n)/a.DOF)
	}
}
