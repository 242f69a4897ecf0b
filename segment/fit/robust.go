package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Tukey's biweight at 4.685 standard deviations keeps 95 % of the efficiency
// of least squares on Gaussian residuals (Holland and Welsch, Communications in
// Statistics A6, 1977). inlierLimit then keeps 99.95 % of them, so that the
// last plain fit is all but unbiased in its noise.
const (
	tukeyLimit  = 4.685
	inlierLimit = 3.5
)

// Robust fits from start with Tukey weights until they settle, then fits the
// points within inlierLimit of the noise by plain least squares. Up to a third
// of the points may be outliers if start is near the rest. It returns the
// plain fit and which points it took; points of weight 0 are never taken.
//
// fit is the feature's own: fit.FitCylinder. Errors: those of fit.
func Robust[F ideal](points []r3.Vec, weight []float64, start F, fit func([]r3.Vec, []float64, F) (F, Association, error)) (F, Association, []bool, error) {
	var none F
	c, err := newCloud(points, weight)
	if err != nil {
		return none, Association{}, nil, err
	}
	floor := 1e-9 * c.scale // under rounding of the distances nothing is an outlier
	f := start
	d, w := make([]float64, len(points)), make([]float64, len(points))
	scale := math.Inf(1)
	for range 20 {
		distances(f, points, d)
		// The noise can only fall as outliers lose their weight: this makes the search end.
		s := math.Max(floor, math.Min(scale, c.medianScale(d)))
		if s > 0.99*scale && !math.IsInf(scale, 1) {
			break
		}
		scale = s
		for i := range w {
			u := d[i] / (tukeyLimit * s)
			w[i] = 0
			if u*u < 1 {
				w[i] = c.w(i) * (1 - u*u) * (1 - u*u)
			}
		}
		g, _, err := fit(points, w, f)
		if err != nil {
			return none, Association{}, nil, err
		}
		f = g
	}
	return plain(c, points, f, scale, floor, fit)
}

// plain fits the points within inlierLimit of the noise, the noise being that
// of the points taken, until they stay the same.
func plain[F ideal](c *cloud, points []r3.Vec, f F, scale, floor float64, fit func([]r3.Vec, []float64, F) (F, Association, error)) (F, Association, []bool, error) {
	var none F
	var a Association
	d, w := make([]float64, len(points)), make([]float64, len(points))
	in := make([]bool, len(points))
	for round := range 20 {
		distances(f, points, d)
		changed := false
		for i := range w {
			is := c.w(i) > 0 && math.Abs(d[i]) <= inlierLimit*scale
			changed = changed || is != in[i]
			in[i], w[i] = is, 0
			if is {
				w[i] = c.w(i)
			}
		}
		if !changed && round > 0 {
			break
		}
		g, b, err := fit(points, w, f)
		if err != nil {
			return none, Association{}, nil, err
		}
		f, a = g, b
		scale = math.Max(floor, a.NoiseMM)
	}
	return f, a, in, nil
}

func distances(f ideal, points []r3.Vec, d []float64) {
	for i, p := range points {
		d[i] = f.Distance(p)
	}
}

// medianScale is 1.4826 times the median of |d| over points of weight over 0:
// the standard deviation where d is Gaussian.
func (c *cloud) medianScale(d []float64) float64 {
	v := make([]float64, 0, len(d))
	for i, x := range d {
		if c.w(i) > 0 {
			v = append(v, math.Abs(x))
		}
	}
	k := len(v)/2 + 1
	_, median := trimmed(v, min(k, len(v)))
	return 1.4826 * median
}
