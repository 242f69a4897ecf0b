package fit

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Errors of FitOutline.
var (
	ErrOutlinePoint    = errors.New("a point of the outline is not a finite number")
	ErrOutlineFlat     = errors.New("the outline encloses no area")
	ErrOutlineCrossing = errors.New("the outline crosses itself")
	ErrOutlineOption   = errors.New("an option of the outline fit is out of range")
)

// outlineLoop is a checked closed loop: counter-clockwise, no two neighbours
// equal, about its own centre.
//
// Index i of any method may run over the end: points repeat with period N.
type outlineLoop struct {
	N      int
	P      [][2]float64
	W      []float64
	S      []float64 // N+1 path lengths from point 0
	Shift  [2]float64
	Sigma  float64 // standard deviation that decisions use, never 0
	Noise  float64 // standard deviation of a measured point; Sigma may be that of a mean
	Corner float64 // radius that the scan may have put on a sharp corner
	Share  float64 // independent share of the points, 1 for white noise
	Size   float64 // diagonal of the bounding box
}

func (l *outlineLoop) at(i int) [2]float64 { return l.P[i%l.N] }

// path returns the path length from point i to point k ≥ i.
func (l *outlineLoop) path(i, k int) float64 {
	turns := float64(k/l.N - i/l.N)
	return l.S[k%l.N] - l.S[i%l.N] + turns*l.S[l.N]
}

func (l *outlineLoop) spacing() float64 { return l.S[l.N] / float64(l.N) }

// newOutlineLoop checks and orients the loop. Weights: nil for all 1.
func newOutlineLoop(loop [][2]float64, weight []float64, opt OutlineOptions) (*outlineLoop, error) {
	if weight != nil && len(weight) != len(loop) {
		return nil, fmt.Errorf("%w: %d weights for %d points", ErrOutlineOption, len(weight), len(loop))
	}
	l := &outlineLoop{}
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for i, p := range loop {
		w := 1.0
		if weight != nil {
			w = weight[i]
		}
		if !outlineFinite(p[0]) || !outlineFinite(p[1]) || !(w >= 0 && w <= 1) {
			return nil, fmt.Errorf("%w: point %d", ErrOutlinePoint, i)
		}
		for k := range p {
			lo[k], hi[k] = math.Min(lo[k], p[k]), math.Max(hi[k], p[k])
		}
		l.P, l.W = append(l.P, p), append(l.W, w)
	}
	if len(l.P) < 3 {
		return nil, fmt.Errorf("%w: an outline of %d points", ErrTooFew, len(l.P))
	}
	l.Size = math.Hypot(hi[0]-lo[0], hi[1]-lo[1])
	far := math.Max(math.Max(math.Abs(lo[0]), math.Abs(hi[0])), math.Max(math.Abs(lo[1]), math.Abs(hi[1])))
	l.dropRepeats(1e-9*l.Size + 1e-15*far)
	if len(l.P) < 3 {
		return nil, fmt.Errorf("%w: %d different points of the outline", ErrTooFew, len(l.P))
	}
	l.Shift = [2]float64{(lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2}
	for i := range l.P {
		l.P[i][0] -= l.Shift[0]
		l.P[i][1] -= l.Shift[1]
	}
	area := outlinePolygonArea(l.P)
	if math.Abs(area) < 1e-6*l.Size*l.Size {
		return nil, ErrOutlineFlat
	}
	if area < 0 {
		slices.Reverse(l.P)
		slices.Reverse(l.W)
	}
	l.measure()
	// 1e-6 of the size: what the arithmetic leaves; 2⁻²³ of the largest
	// coordinate: four roundings of a float32 vertex.
	l.Sigma = math.Max(opt.NoiseMM, math.Max(1e-6*l.Size, math.Ldexp(far, -22)))
	l.Sigma = math.Hypot(l.Sigma, opt.FormMM)
	l.Noise = l.Sigma
	// A scanner that rounds corners also leaves noise; a clean mesh does neither.
	l.Corner = math.Min(opt.CornerMM, 80*l.Sigma)
	l.Share = 1
	if opt.CorrelationMM > 0 {
		l.Share = math.Min(1, l.spacing()/opt.CorrelationMM)
	}
	return l, nil
}

func outlineFinite(x float64) bool { return math.Abs(x) <= 1e12 }

// dropRepeats removes points within eps of the one before.
func (l *outlineLoop) dropRepeats(eps float64) {
	k := 0
	for i := range l.P {
		if k > 0 && math.Hypot(l.P[i][0]-l.P[k-1][0], l.P[i][1]-l.P[k-1][1]) <= eps {
			l.W[k-1] = math.Max(l.W[k-1], l.W[i])
			continue
		}
		l.P[k], l.W[k] = l.P[i], l.W[i]
		k++
	}
	for k > 1 && math.Hypot(l.P[k-1][0]-l.P[0][0], l.P[k-1][1]-l.P[0][1]) <= eps {
		k--
	}
	l.P, l.W = l.P[:k], l.W[:k]
}

// measure fills N and the path lengths.
func (l *outlineLoop) measure() {
	l.N = len(l.P)
	l.S = make([]float64, l.N+1)
	for i := 0; i < l.N; i++ {
		q := l.P[(i+1)%l.N]
		l.S[i+1] = l.S[i] + math.Hypot(q[0]-l.P[i][0], q[1]-l.P[i][1])
	}
}

// rotate makes point k the first.
func (l *outlineLoop) rotate(k int) {
	k = ((k % l.N) + l.N) % l.N
	l.P = append(append([][2]float64(nil), l.P[k:]...), l.P[:k]...)
	l.W = append(append([]float64(nil), l.W[k:]...), l.W[:k]...)
	l.measure()
}

// strongestCorner returns the point where the directions of the path before and
// after it differ most, seen over a stretch that noise cannot turn.
func (l *outlineLoop) strongestCorner() int {
	reach := math.Max(4*l.spacing(), 2*l.Corner+6*l.Sigma)
	reach = math.Min(reach, l.S[l.N]/6)
	best, turn := 0, -1.0
	for i := l.N; i < 2*l.N; i++ {
		a, b := i-1, i+1
		for a > i-l.N/3 && l.path(a, i) < reach {
			a--
		}
		for b < i+l.N/3 && l.path(i, b) < reach {
			b++
		}
		p, q, r := l.at(a), l.at(i), l.at(b)
		x0, y0, x1, y1 := q[0]-p[0], q[1]-p[1], r[0]-q[0], r[1]-q[1]
		if t := math.Abs(math.Atan2(x0*y1-y0*x1, x0*x1+y0*y1)); t > turn+1e-9 {
			best, turn = i-l.N, t
		}
	}
	return best
}

func outlinePolygonArea(p [][2]float64) float64 {
	sum := 0.0
	for i, a := range p {
		b := p[(i+1)%len(p)]
		sum += a[0]*b[1] - a[1]*b[0]
	}
	return sum / 2
}

func outlineMedian(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return (v[len(v)/2] + v[(len(v)-1)/2]) / 2
}
