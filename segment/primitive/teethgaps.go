package primitive

import (
	"math"
	"sync"
)

// Rims with gaps. Under gapsFew the spectrum still sees the teeth; over gapsMost
// the centre is too loose to fold about. foldBins leaves flanks two bins in 32.
// foldLeast is the share of the radius's variance that equal teeth must explain,
// as countTeeth asks of a whole rim, foldHope that before their centre is found, of
// foldTeeth that are seen: a free centre makes fewer of anything.
const (
	gapsFew    = 0.03
	gapsMost   = 0.6
	foldBins   = 32
	foldLeast  = 0.6
	foldTeeth  = 5
	foldHope   = 0.4
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
// Astrophys. J. 224 (1978) 953). The centre is free in each fold: over gaps, teeth
// and what else is on the rim draw it. Of counts that explain nearly as much the
// largest is taken, since its divisors do as well. shift is the centre's error.
func countFolded(w *wallLoop, centre [2]float64) (n int, shift [2]float64, ok bool) {
	about := func() []float64 { return edgeContour(w, [2]float64{centre[0] + shift[0], centre[1] + shift[1]}) }
	move := func(f fold) { shift[0], shift[1] = shift[0]+f.ab[0], shift[1]+f.ab[1] }
	r := about()
	for range 5 { // the count needs its centre first
		if unseen(r) > gapsMost {
			return 0, shift, false
		}
		move(folded(r, 1, 1, nil))
		r = about()
	}
	n, share := bestFold(r)
	if share < foldHope || share < foldLeast && float64(n)*(1-unseen(r)) < foldTeeth {
		return 0, shift, false
	}
	var slope []float64
	for range foldPasses {
		f := folded(r, n, foldBins, slope)
		move(f)
		slope = f.slope()
		r = about()
	}
	n, share = bestFold(r)
	return n, shift, share >= foldLeast
}

// bestFold is the largest count of those that explain nearly as much of the radius's
// variance as any, and the most that is explained.
func bestFold(r []float64) (n int, share float64) {
	total := folded(r, 1, 1, nil).left
	if total <= 0 {
		return 0, 0
	}
	held := make([]float64, mostTeeth+1)
	for k := leastTeeth; k <= mostTeeth; k++ {
		held[k] = 1 - folded(r, k, foldBins, nil).left/total
		share = max(share, held[k])
	}
	for n = mostTeeth; held[n] < 0.93*share; n-- {
	}
	return n, share
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
