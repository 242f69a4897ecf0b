package primitive

import "math"

// Rims with gaps. Under gapsFew the spectrum still sees the teeth; over gapsMost
// the centre is too loose to fold about. foldBins leaves flanks two bins in 32.
// foldLeast is the share of the radius's variance that equal teeth must explain,
// as countTeeth asks of a whole rim.
const (
	gapsFew   = 0.03
	gapsMost  = 0.6
	foldBins  = 32
	foldLeast = 0.6
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
// Astrophys. J. 224 (1978) 953). Of counts that explain nearly as much the largest
// is taken, since its divisors do as well. shift is the centre's error.
func countFolded(w *wallLoop, centre [2]float64) (n int, shift [2]float64, ok bool) {
	var r []float64
	var mean float64
	var last [2]float64
	for pass := 0; pass < 6; pass++ { // the count needs its centre first
		r = edgeContour(w, [2]float64{centre[0] + shift[0], centre[1] + shift[1]})
		if unseen(r) > gapsMost {
			return 0, shift, false
		}
		mean, last = firstHarmonic(r)
		if pass < 5 {
			shift[0] += last[0]
			shift[1] += last[1]
		}
	}
	rest := make([]float64, len(r))
	total := 0.0
	for i, x := range r {
		if x == 0 {
			continue
		}
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(r)))
		rest[i] = x - mean - last[0]*cos - last[1]*sin
		total += rest[i] * rest[i]
	}
	if total == 0 {
		return 0, shift, false
	}
	best, held := 0.0, make([]float64, mostTeeth+1)
	for k := leastTeeth; k <= mostTeeth; k++ {
		held[k] = folded(r, rest, k) / total
		best = max(best, held[k])
	}
	if best < foldLeast {
		return 0, shift, false
	}
	for k := mostTeeth; k >= leastTeeth; k-- {
		if held[k] >= 0.93*best {
			return k, shift, true
		}
	}
	return 0, shift, false
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

// folded is the sum of squares that the mean over one of k pitches explains.
func folded(r, rest []float64, k int) float64 {
	var sum, count [foldBins]float64
	for i, x := range r {
		if x == 0 {
			continue
		}
		f := float64(i*k%len(r)) / float64(len(r))
		b := min(int(f*foldBins), foldBins-1)
		sum[b] += rest[i]
		count[b]++
	}
	held := 0.0
	for b := range sum {
		if count[b] > 0 {
			held += sum[b] * sum[b] / count[b]
		}
	}
	return held
}

// firstHarmonic fits r = mean + a cos φ + b sin φ to the samples with a value.
func firstHarmonic(r []float64) (mean float64, ab [2]float64) {
	m, y := make([]float64, 9), [3]float64{}
	for i, x := range r {
		if x == 0 {
			continue
		}
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(r)))
		g := [3]float64{1, cos, sin}
		for j := range g {
			y[j] += g[j] * x
			for k := range g {
				m[3*j+k] += g[j] * g[k]
			}
		}
	}
	c := invert(m, 3)
	var x [3]float64
	for j := range x {
		for k := range y {
			x[j] += c[3*j+k] * y[k]
		}
	}
	return x[0], [2]float64{x[1], x[2]}
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
