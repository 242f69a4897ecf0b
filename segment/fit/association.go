package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Association says of one fit how well, how much of the surface it saw, how
// sure, and why it stopped. Points of weight 0 are not in it.
//
// Weights say how much a point counts (its area, or 0 and 1), not how exact it
// is: Cov takes every residual to have the same variance. Row-major p×p in the
// order of Parameters, Cov times that variance (mm²) is the covariance of the
// parameters: mm² and rad². Tilts are rotations of the axis towards e and f of
// [Frame], offsets shift the feature along e, f and the axis at CentroidMM,
// where they are least correlated.
type Association struct {
	Points         int
	RMSMM          float64 // √(Σ w d² / Σ w)
	NoiseMM        float64 // the same with DOF for the number: estimate of the residual's standard deviation; 0 where DOF is 0
	PeakToValleyMM float64 // largest less smallest deviation; twice the largest for a curve
	SSQ            float64 // Σ w d², mm²
	DOF            float64
	Parameters     []string // names end in _mm or _rad
	Cov            []float64
	CentroidMM     r3.Vec

	ArcDeg        float64 // seen about the axis; of a sphere, the width of the cap
	SectionArcDeg float64 // torus and helix: seen about the section
	LengthMM      float64 // extent along the axis; of a plane, its longest extent
	WidthMM       float64 // plane: extent across LengthMM

	Iterations int
	Stop       string // as Solution.Stop; "closed" for a closed form
}

// StdDev returns the standard deviation of parameter i where a residual has
// the standard deviation sigmaMM: mm, or rad for an angle.
func (a Association) StdDev(i int, sigmaMM float64) float64 {
	return sigmaMM * math.Sqrt(math.Max(0, a.Cov[i*len(a.Parameters)+i]))
}

// opened is a feature about its own start: parameters x0 and the residuals of
// a point at x, with gradient; read gives the feature at x and its tilt from
// the start in rad.
type opened[F any] struct {
	x0       []float64
	prepare  func(x []float64)
	residual func(x []float64, q r3.Vec, row int, grad []float64) float64
	read     func(x []float64) (f F, tilt float64)
}

// kind is what the common part of a fit must know of a feature: names of its
// parameters, residuals a point, its way into local coordinates (scale < 0:
// out of them), whether it is sound there, and its residuals.
type kind[F any] struct {
	parameters []string
	rows       int
	in, out    func(f F, c *cloud) F
	check      func(f F) error
	open       func(f F) opened[F]
	seen       func(f F, c *cloud, a *Association)
}

// ideal is a feature that knows how far a point is from it.
type ideal interface{ Distance(p r3.Vec) float64 }

// associate minimises the sum of squared distances from start, with the frame
// of tilts moved to each answer until it stays.
func associate[F ideal](points []r3.Vec, weight []float64, start F, k kind[F]) (F, Association, error) {
	var none F
	c, err := newCloud(points, weight)
	if err != nil {
		return none, Association{}, err
	}
	f := k.in(start, c)
	if err := k.check(f); err != nil {
		return none, Association{}, fmt.Errorf("start: %w", err)
	}
	pr := c.problem(k.rows, len(k.parameters))
	var sol Solution
	iterations, lean := 0, math.Inf(1)
	// Cov is taken at the last start; 1e-3 rad changes it by no more than 1e-3 of itself.
	for round := 0; round < 20 && !(lean < 1e-3); round++ {
		if f, sol, lean, err = improve(c, &pr, f, k); err != nil {
			return none, Association{}, err
		}
		iterations += sol.Iterations
	}
	if !(lean < 1e-3) {
		return none, Association{}, fmt.Errorf("%w: the axis turns on", ErrDiverged)
	}
	a := Association{Parameters: k.parameters, DOF: sol.DOF, Iterations: iterations, Stop: sol.Stop}
	c.spreadWeights(pr, sol)
	c.measure(f, k.rows, &a)
	a.Cov = c.worldCov(sol.Cov, k.parameters)
	if k.seen != nil {
		k.seen(f, c, &a)
	}
	return k.out(f, c), a, nil
}

// improve solves pr once in the frame of f and returns the answer and how far
// it leans from f in rad.
func improve[F ideal](c *cloud, pr *Problem, f F, k kind[F]) (F, Solution, float64, error) {
	o := k.open(f)
	pr.Prepare, pr.Residual = o.prepare, rowwise(c.at, k.rows, o.residual)
	sol, err := Solve(*pr, o.x0)
	if err != nil {
		return f, sol, 0, err
	}
	g, lean := o.read(sol.X)
	return g, sol, lean, k.check(g)
}

// coarse is associate for a start in local coordinates: cheap, and good to some
// 1e-3 of the noise.
func coarse[F ideal](k kind[F]) func(points []r3.Vec, weight []float64, start F) (F, error) {
	return func(points []r3.Vec, weight []float64, start F) (F, error) {
		c := &cloud{scale: 1, at: points, weight: weight}
		if err := k.check(start); err != nil {
			return start, err
		}
		pr := c.problem(k.rows, len(k.parameters))
		pr.Coarse = true
		f, _, _, err := improve(c, &pr, start, k)
		return f, err
	}
}

// problem is the frame of a fit of p parameters with rows residuals a point.
func (c *cloud) problem(rows, p int) Problem {
	return Problem{N: rows * len(c.at), P: p, Weight: c.rowWeights(rows)}
}

func rowwise(at []r3.Vec, rows int, r func([]float64, r3.Vec, int, []float64) float64) func([]float64, int, []float64) float64 {
	if rows == 1 {
		return func(x []float64, i int, grad []float64) float64 { return r(x, at[i], 0, grad) }
	}
	return func(x []float64, i int, grad []float64) float64 { return r(x, at[i/rows], i%rows, grad) }
}

// spreadWeights replaces the solution's (JᵀWJ)⁻¹ by (JᵀWJ)⁻¹ JᵀW²J (JᵀWJ)⁻¹,
// the covariance of the weighted answer where all residuals have variance 1.
func (c *cloud) spreadWeights(pr Problem, sol Solution) {
	if c.weight == nil {
		return
	}
	p := pr.P
	pr.Weight = append([]float64(nil), pr.Weight...)
	for i, w := range pr.Weight {
		pr.Weight[i] = w * w
	}
	b := make([]float64, p*p)
	pr.normal(sol.X, b, make([]float64, p), make([]float64, p))
	half := make([]float64, p*p)
	multiply(half, sol.Cov, b, p)
	multiply(b, half, sol.Cov, p)
	copy(sol.Cov, b)
}

// multiply sets c to the product of the row-major p×p matrices a and b.
func multiply(c, a, b []float64, p int) {
	for i := 0; i < p; i++ {
		for j := 0; j < p; j++ {
			s := 0.0
			for k := 0; k < p; k++ {
				s += a[i*p+k] * b[k*p+j]
			}
			c[i*p+j] = s
		}
	}
}
