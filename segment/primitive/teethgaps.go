package primitive

import (
	"math"
	"slices"
	"sync"
)

// Rims with gaps. Under gapsFew the spectrum still sees the teeth; over gapsMost the
// centre is too loose to fold about, over gapsMany foldTeeth of them must be seen.
// foldBins leaves flanks two bins in 32. foldLeast is the share of the radius's variance
// that equal teeth must explain, as countTeeth asks of a whole rim, foldHope that before
// their centre is found, of foldTeeth: a free centre makes fewer of anything. In
// foldPasses a centre half a millimetre off comes to rest.
const (
	gapsFew    = 0.03
	gapsMany   = 0.6
	gapsMost   = 0.67
	foldBins   = 32
	foldLeast  = 0.6
	foldTeeth  = 4
	foldHope   = 0.4
	foldLike   = 0.6 // of the most that any count explains, from which one is tried
	foldPasses = 8
)

// unseen is the share of samples without a value.
func unseen(r []float64) float64 {
	n := 0
	for _, x := range r {
		if x == 0 {
			n++
		}
	}
	return float64(n) / float64(len(r))
}

// countFolded counts teeth on a rim with gaps, where a spectrum would see the
// gaps: the radius is folded at each count's pitch, and what scatters about the
// folded mean is not explained by it (phase dispersion minimisation, Stellingwerf,
// Astrophys. J. 224 (1978) 953). Over gaps, teeth and what else is on the rim draw the
// centre: each count that promises something finds its own. That explaining most is
// taken, or the largest multiple of it that explains nearly as much: its divisors do as
// well. shift is the centre's error.
func countFolded(w *wallLoop, centre [2]float64) (n int, shift [2]float64, ok bool) {
	first := folding{w: w, centre: centre}
	for range 5 { // the counts need a centre first
		r := first.radius()
		if unseen(r) > gapsMost {
			return 0, shift, false
		}
		first.move(folded(r, 1, 1, nil))
	}
	held := first.shares(leastTeeth, mostTeeth)
	most := slices.Max(held)
	if most < foldHope {
		return 0, shift, false
	}
	best, share := folding{}, make([]float64, len(held))
	for k, h := range held {
		if h < foldLike*most {
			continue
		}
		f := first
		f.align(k)
		share[k] = f.shares(k, k)[k]
		if multiple := n > 0 && k%n == 0 && share[k] >= teethAlike*share[n]; n == 0 || multiple || share[k] > share[n] {
			best, n = f, k
		}
	}
	seen := 1 - unseen(best.radius())
	shift = [2]float64{best.centre[0] - centre[0], best.centre[1] - centre[1]}
	return n, shift, share[n] >= foldLeast && (most >= foldLeast && 1-seen <= gapsMany || float64(n)*seen >= foldTeeth)
}

// folding is a rim about a centre.
type folding struct {
	w      *wallLoop
	centre [2]float64
}

func (x *folding) radius() []float64 { return edgeContour(x.w, x.centre) }

func (x *folding) move(f fold) { x.centre = [2]float64{x.centre[0] + f.ab[0], x.centre[1] + f.ab[1]} }

// align moves to the centre about which n teeth are most alike.
func (x *folding) align(n int) {
	var slope []float64
	for range foldPasses {
		f := folded(x.radius(), n, foldBins, slope)
		x.move(f)
		slope = f.slope()
	}
}

// shares are those of the radius's variance that counts from least to most explain, each
// at its own place.
func (x *folding) shares(least, most int) []float64 {
	r := x.radius()
	total := folded(r, 1, 1, nil).left
	held := make([]float64, most+1)
	for k := least; k <= most && total > 0; k++ {
		held[k] = 1 - folded(r, k, foldBins, nil).left/total
	}
	return held
}

// edgeContour is the contour by all of the wall's edges, which no gap of a rim
// can put out of order.
func edgeContour(w *wallLoop, centre [2]float64) []float64 {
	r := make([]float64, contourSamples)
	for _, e := range w.Edge {
		raise(r, e[0]-centre[0], e[1]-centre[1], e[2]-centre[0], e[3]-centre[1])
	}
	return r
}

// fold is a rim's radius about a centre that is off by (a, b): the mean over one of k
// pitches, in bins, + a cos φ + b sin φ, and where its slope is known, turned by the
// centre's error.
type fold struct {
	k    int
	ab   [2]float64
	mean []float64
	left float64 // sum of squares that it leaves of the samples, mm²
}

func (f *fold) bin(i, samples int) int {
	n := len(f.mean)
	return min(int(float64(i*f.k%samples)/float64(samples)*float64(n)), n-1)
}

// unitCircle is cos φ and sin φ at the contour's samples.
var unitCircle = sync.OnceValue(func() *[contourSamples][2]float64 {
	out := new([contourSamples][2]float64)
	for i := range out {
		out[i][1], out[i][0] = math.Sincos(2 * math.Pi * float64(i) / contourSamples)
	}
	return out
})

// folded fits one to the samples with a value. slope is that of the mean, nil for none.
func folded(r []float64, k, bins int, slope []float64) fold {
	f := fold{k: k, mean: make([]float64, bins)}
	circle := unitCircle()
	type sums struct{ n, r, cos, sin float64 }
	bin := make([]sums, bins)
	var rr, rc, rs, cc, cs, ss float64
	for i, x := range r {
		if x == 0 {
			continue
		}
		cos, sin := circle[i][0], circle[i][1]
		at := f.bin(i, len(r))
		if slope != nil {
			g := slope[at] / x
			sin, cos = sin-g*cos, cos+g*sin
		}
		b := &bin[at]
		b.n, b.r, b.cos, b.sin = b.n+1, b.r+x, b.cos+cos, b.sin+sin
		rr, rc, rs = rr+x*x, rc+x*cos, rs+x*sin
		cc, cs, ss = cc+cos*cos, cs+cos*sin, ss+sin*sin
	}
	for _, b := range bin { // what is left beside each bin's mean
		if b.n == 0 {
			continue
		}
		rr, rc, rs = rr-b.r*b.r/b.n, rc-b.r*b.cos/b.n, rs-b.r*b.sin/b.n
		cc, cs, ss = cc-b.cos*b.cos/b.n, cs-b.cos*b.sin/b.n, ss-b.sin*b.sin/b.n
	}
	if det := cc*ss - cs*cs; det > 1e-9*cc*ss {
		f.ab = [2]float64{(rc*ss - rs*cs) / det, (rs*cc - rc*cs) / det}
	}
	f.left = rr - f.ab[0]*rc - f.ab[1]*rs
	for i, b := range bin {
		if b.n > 0 {
			f.mean[i] = (b.r - f.ab[0]*b.cos - f.ab[1]*b.sin) / b.n
		}
	}
	return f
}

// slope is how the mean radius rises with the angle in each bin, mm/rad.
func (f *fold) slope() []float64 {
	n := len(f.mean)
	out := make([]float64, n)
	for i := range out {
		out[i] = (f.mean[(i+1)%n] - f.mean[(i+n-1)%n]) / 2 * float64(n*f.k) / (2 * math.Pi)
	}
	return out
}

// shown tells which teeth the points show nearly all of: three quarters of the
// eighths of their pitch.
func (t *teeth) shown(pts []polar) []bool {
	const parts = 8
	seen := make([][parts]bool, t.n)
	for _, q := range pts {
		x, i := t.local(q.phi)
		k := int((x/t.pitch() + 0.5) * parts)
		seen[i][min(max(k, 0), parts-1)] = true
	}
	out := make([]bool, t.n)
	for i := range seen {
		n := 0
		for _, s := range seen[i] {
			if s {
				n++
			}
		}
		out[i] = 4*n >= 3*parts
	}
	return out
}
