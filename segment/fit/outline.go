package fit

import (
	"fmt"
	"math"
)

// Step is one piece of a closed outline: a straight line to To, or where Arc
// is set the circular arc through Via to To.
type Step struct {
	To, Via [2]float64
	Arc     bool
}

// SidePoint is a measured point beside the loop that stands on the outline too,
// such as a vertex of the side wall, with its outward normal.
type SidePoint struct{ P, N [2]float64 }

// OutlineOptions say what the points are like. Lengths in mm.
type OutlineOptions struct {
	NoiseMM       float64 // standard deviation of a point; 0 for exact points
	FormMM        float64 // standard deviation of dents and bows that are no steps of their own
	CorrelationMM float64 // length over which neighbouring deviations are alike, 0 for none
	CornerMM      float64 // largest radius that the scan may have put on a sharp corner
	SideReachMM   float64 // side points farther from the outline are left out
	Relate        bool    // lines parallel or square within noise are made so
}

// DefaultOutlineOptions fills every field for a clean scan of 0.02 mm noise.
func DefaultOutlineOptions() OutlineOptions {
	return OutlineOptions{NoiseMM: 0.02, CornerMM: 0.4, SideReachMM: 0.5, Relate: true}
}

// StepFit is what is known of one step. A step of N = 0 has no points: it joins
// two that do not meet.
type StepFit struct {
	N        int     // points that the step was fitted to
	OffsetSD float64 // standard deviation of the step's place across, at its middle, in units of SigmaMM
	TurnSD   float64 // standard deviation of its direction, in radians per mm of SigmaMM; 0 for arcs
	RadiusMM float64 // 0 for a line
	Centre   [2]float64
	RadiusSD float64 // standard deviation of the radius in units of SigmaMM
	Tangent  bool    // an arc that was made tangent to the lines beside it
	Group    int     // lines of one group are parallel or square by choice; -1 for none
	RMSMM    float64
}

// Outline is a closed outline of lines and arcs, counter-clockwise: it starts
// where the last step ends.
type Outline struct {
	Steps []Step
	Fits  []StepFit // one a step

	Circle   bool // one full circle, given as two half circles
	CentreMM [2]float64
	RadiusMM float64

	SigmaMM        float64 // standard deviation of a point: the noise given, or the residuals where they are clearly larger
	RMSMM          float64 // of the points that were fitted to
	PeakToValleyMM float64 // of the same points
	MaxFormMM      float64 // largest running median of seven deviations: form without noise
	Points         int     // points that were fitted to, of the loop and beside it
	LeftOut        int     // points that were not: outliers and rounded corners

	model  *outlineModel
	layout *outlineLayout
	shift  [2]float64
}

// FitOutline associates a closed outline of straight lines and circular arcs
// with the points of a loop (ordered, closed, either sense, not repeated at the
// end) by least squares on orthogonal distances.
//
// The loop is cut into steps of least description length (SSQ over variance
// plus a price a step, see segmentOutline), each step fitted robustly, corners
// put where neighbours cross. weight (nil for all 1) is from 0 to 1 a point; 0
// holds the order and is not fitted to. side points take part in the final fit.
//
// Points times k (with options times k) give lengths times k. Exact points give
// steps exact to 1e-6 (TestOutlineExact).
//
// Errors: ErrTooFew, ErrOutlinePoint, ErrOutlineFlat, ErrOutlineCrossing, ErrOutlineOption.
func FitOutline(loop [][2]float64, weight []float64, side []SidePoint, opt OutlineOptions) (Outline, error) {
	if err := opt.check(); err != nil {
		return Outline{}, err
	}
	l, err := newOutlineLoop(loop, weight, opt)
	if err != nil {
		return Outline{}, err
	}
	noise := l.Sigma
	wall, onWall := l.onWall(side, opt)
	if onWall {
		l = wall
	}
	f := cutOutline(l)
	if f.doubt(math.Max(3*math.Max(l.Sigma, opt.NoiseMM), 5e-4*l.Size)) {
		f = cutOutline(l)
		if f.doubt(math.Max(3*math.Max(noise, opt.NoiseMM), 5e-4*l.Size)) {
			f = cutOutline(l)
		}
	}
	if opt.NoiseMM == 0 && opt.FormMM == 0 && !onWall {
		f.sharpen()
	}
	if onWall {
		l.Sigma, f.SideOnly = noise, true
	}
	f.squareTips(side)
	f.assignSide(side, opt.SideReachMM)
	o, err := f.finish(opt)
	if err != nil {
		return Outline{}, err
	}
	return o, o.check()
}

func (opt OutlineOptions) check() error {
	for _, v := range []float64{opt.NoiseMM, opt.FormMM, opt.CorrelationMM, opt.CornerMM, opt.SideReachMM} {
		if !(v >= 0 && v <= 1e6) {
			return fmt.Errorf("%w: %v mm", ErrOutlineOption, v)
		}
	}
	return nil
}

// cutOutline cuts the loop twice: opened at its strongest corner, then at the
// sharpest break found, so that no step is cut in two by the opening.
func cutOutline(l *outlineLoop) *outlineFitter {
	l.rotate(l.strongestCorner())
	f := &outlineFitter{L: l, Price: outlinePrices(l)}
	f.cut()
	last := len(f.Segs) - 1
	if last > 0 && math.Abs(f.turnAfter(last)) < outlineCornerMin {
		l.rotate(f.Segs[f.sharpest()].Hi)
		f.cut()
	}
	for range 6 {
		f.settle(4)
		changed := f.flatten()
		changed = f.merge() || changed
		changed = f.filletRuns() || changed
		if !changed {
			break
		}
	}
	f.settle(6)
	f.tryWhole()
	return f
}

// sharpen settles breaks again with the noise that exact points turn out to
// have: a point of a line that lies off an arc by less than the first guess of
// the noise is counted to the arc before.
func (f *outlineFitter) sharpen() {
	for range 2 {
		sum, n := 0.0, 0.0
		for _, s := range f.Segs {
			for i := s.Lo + 1; i < s.Hi; i++ {
				if d := s.C.Dist(f.L.at(i)); math.Abs(d) < 7*f.L.Sigma {
					sum, n = sum+d*d, n+1
				}
			}
		}
		rms := math.Sqrt(sum / math.Max(1, n))
		f.L.Sigma = math.Min(f.L.Sigma, math.Max(3*rms, 1e-10*f.L.Size))
		f.settle(8)
	}
}

func (f *outlineFitter) cut() {
	f.Segs = segmentOutline(f.L, f.Price)
	f.start()
}

// outlineCornerMin is a turn, in radians, that is a corner beyond doubt.
const outlineCornerMin = 0.5

// sharpest is the step, but the last, that ends in the largest turn.
func (f *outlineFitter) sharpest() int {
	best, at := -1.0, 0
	for k := range len(f.Segs) - 1 {
		if t := math.Abs(f.turnAfter(k)); t > best {
			best, at = t, k
		}
	}
	return at
}

// turnAfter is the change of direction at the end of step k.
func (f *outlineFitter) turnAfter(k int) float64 {
	s := f.Segs[k]
	p := f.L.at(s.Hi)
	u, v := s.C.Tangent(p), f.Segs[f.next(k)].C.Tangent(p)
	return math.Atan2(u[0]*v[1]-u[1]*v[0], u[0]*v[0]+u[1]*v[1])
}
