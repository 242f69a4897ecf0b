package fit

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"
)

// Estimate is a feature that can be compared with a nominal one of its kind in
// the order of Association.Parameters.
type Estimate[F any] interface {
	Distance(p r3.Vec) float64
	Difference(nominal F, at r3.Vec) []float64
}

// Study compares the scatter of repeated fits with the one that their
// covariance predicts, parameter by parameter: mm, and rad for angles.
type Study struct {
	Parameters []string
	Predicted  []float64 // standard deviation from Cov at the nominal feature
	Observed   []float64 // root mean square of estimate less nominal
	Bias       []float64 // mean of estimate less nominal
	Trials     int
	Failed     int // fits that ended in an error, left out above
}

// Ratio returns Observed over Predicted of parameter i. Of n trials it is 1
// within 1/√(2n), one standard deviation, where the covariance is right.
func (s Study) Ratio(i int) float64 { return s.Observed[i] / s.Predicted[i] }

// CramerRao fits the points of a nominal feature again and again, each time
// with fresh Gaussian noise of sigmaMM on every coordinate, and compares the
// scatter with the covariance, which is the Cramér-Rao bound as long as the
// noise is small against the feature. Noise along the surface does nothing to
// first order.
//
// points (mm) lie on nominal; seed picks the noise; fit is the feature's own,
// started at nominal. The centroid of points is where offsets are compared.
// Errors: ErrInput (no trial, sigma not over 0), those of fit at the nominal
// points, ErrDiverged where half the trials fail.
func CramerRao[F Estimate[F]](
	nominal F, points []r3.Vec, sigmaMM float64, trials int, seed uint64,
	fit func([]r3.Vec, []float64, F) (F, Association, error),
) (Study, error) {
	if trials < 1 || !(sigmaMM > 0) || !finite(sigmaMM) {
		return Study{}, fmt.Errorf("%w: %d trials of sigma %g", ErrInput, trials, sigmaMM)
	}
	_, a, err := fit(points, nil, nominal)
	if err != nil {
		return Study{}, fmt.Errorf("nominal points: %w", err)
	}
	p := len(a.Parameters)
	s := Study{
		Parameters: a.Parameters, Trials: trials,
		Predicted: make([]float64, p), Observed: make([]float64, p), Bias: make([]float64, p),
	}
	rng := rand.New(rand.NewPCG(seed, 0x6d6f6e7465)) // any second word will do
	noisy := make([]r3.Vec, len(points))
	for range trials {
		for i, q := range points {
			n := r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
			noisy[i] = along(q, sigmaMM, n)
		}
		f, _, err := fit(noisy, nil, nominal)
		if err != nil {
			s.Failed++
			continue
		}
		for i, d := range f.Difference(nominal, a.CentroidMM) {
			s.Bias[i] += d
			s.Observed[i] += d * d
		}
	}
	n := float64(trials - s.Failed)
	if 2*s.Failed > trials {
		return Study{}, fmt.Errorf("%w: %d of %d trials", ErrDiverged, s.Failed, trials)
	}
	for i := range s.Parameters {
		s.Predicted[i] = a.StdDev(i, sigmaMM)
		s.Bias[i] /= n
		s.Observed[i] = math.Sqrt(s.Observed[i] / n)
	}
	return s, nil
}
