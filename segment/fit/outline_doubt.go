package fit

import "math"

// doubt compares what was said of the noise with the residuals of the cut and
// corrects it: a larger standard deviation, up to most, and a smaller share of
// independent points. More noise than said, or noise that neighbours share,
// would cut every edge in pieces. It tells whether anything has changed.
func (f *outlineFitter) doubt(most float64) bool {
	r, n := f.rows()
	if n < max(30, 9*len(f.Segs)) {
		return false
	}
	changed := false
	var all []float64
	for _, row := range r {
		for _, d := range row {
			all = append(all, math.Abs(d))
		}
	}
	s := outlineMedian(all) / 0.6745
	if s > 1.3*f.L.Sigma && s <= most {
		f.L.Sigma, f.L.Noise = s, math.Max(f.L.Noise, s)
		changed = true
	}
	if s < 0.5*f.L.Sigma {
		return changed // what is left is no noise
	}
	if share := outlineShare(r, n); share < 0.75*f.L.Share {
		f.L.Share = share
		changed = true
	}
	return changed
}

// rows returns the residuals of the inner points of every step, in order, and
// their number. A residual is bounded to 4 sigma.
func (f *outlineFitter) rows() ([][]float64, int) {
	n := 0
	var out [][]float64
	for _, s := range f.Segs {
		var row []float64
		for i := s.Lo + 2; i < s.Hi-1; i++ {
			if f.L.W[i%f.L.N] > 0 {
				row = append(row, f.L.clip(s.C.Dist(f.L.at(i))))
			}
		}
		out = append(out, row)
		n += len(row)
	}
	return out, n
}

func (l *outlineLoop) clip(d float64) float64 {
	return math.Max(-4*l.Sigma, math.Min(4*l.Sigma, d))
}

// outlineShare is the share of the n residuals that count as independent: one
// over the sum of their autocorrelation (Bayley and Hammersley 1946, Suppl. J.
// R. Stat. Soc. 8), which is summed until it is lost in chance. 1 where
// neighbours are not clearly alike.
func outlineShare(rows [][]float64, n int) float64 {
	corr := func(lag int) (float64, bool) {
		var num, den float64
		pairs := 0
		for _, row := range rows {
			for i, d := range row {
				den += d * d
				if i+lag < len(row) {
					num += d * row[i+lag]
					pairs++
				}
			}
		}
		if pairs < n/3 || den == 0 {
			return 0, false
		}
		r := num / den * float64(n) / float64(pairs)
		return r, r > 3/math.Sqrt(float64(pairs))
	}
	first, ok := corr(1)
	if !ok || first < 0.25 {
		return 1
	}
	sum := 1 + 2*first
	for lag := 2; lag < 40; lag++ {
		r, ok := corr(lag)
		if !ok {
			break
		}
		sum += 2 * r
	}
	return 1 / sum
}
