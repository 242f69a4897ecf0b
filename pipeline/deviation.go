package pipeline

import (
	"cmp"
	"math"
	"slices"
)

// deviation is that of the scan from the element at full size, weighted by the
// area round each vertex so that mesh density does not count. Spikes are left
// out of the largest one and counted.
type deviation struct {
	rmsMM, meanMM, p95MM, maxMM, within float64
	points, spikes                      int
	histogram                           *histogram
}

func newDeviation(e *element, ratio, limitMM float64) *deviation {
	if e.DeviationMM == nil {
		return nil
	}
	v := &deviation{}
	var total float64
	spread := newSizes()
	for i, d := range e.DeviationMM {
		w := e.vertexMM2[i]
		if math.IsNaN(d) || w <= 0 {
			continue
		}
		d *= ratio
		v.points++
		total += w
		v.meanMM += w * d
		v.rmsMM += w * d * d
		if math.Abs(d) <= limitMM {
			v.within += w
		}
		spread.add(math.Abs(d), w)
	}
	if v.points == 0 {
		return nil
	}
	v.meanMM, v.rmsMM, v.within = v.meanMM/total, math.Sqrt(v.rmsMM/total), v.within/total
	each := func(see func(d, w float64)) {
		for i, d := range e.DeviationMM {
			if w := e.vertexMM2[i]; !math.IsNaN(d) && w > 0 {
				see(math.Abs(d*ratio), w)
			}
		}
	}
	v.p95MM = spread.within(0.95*total, each)
	v.maxMM, v.spikes = spread.largest(v.rmsMM, each)
	v.histogram = newHistogram(v.p95MM)
	for i, d := range e.DeviationMM {
		if w := e.vertexMM2[i]; !math.IsNaN(d) && w > 0 {
			v.histogram.add(d*ratio, w/total)
		}
	}
	return v
}

// sizes is a histogram of positive numbers over the leading bits of float32: a
// bucket is 0.8 % wide. What is asked of it is exact: the bucket that holds the
// answer is gone through.
type sizes struct {
	weight []float64
	count  []int
	n      int
}

const sizeBits = 16

func newSizes() *sizes {
	n := math.Float32bits(float32(math.Inf(1)))>>sizeBits + 1
	return &sizes{weight: make([]float64, n), count: make([]int, n)}
}

func sizeBucket(x float64) int { return int(math.Float32bits(float32(x)) >> sizeBits) }

func (s *sizes) add(x, w float64) {
	b := sizeBucket(x)
	s.weight[b] += w
	s.count[b]++
	s.n++
}

type sized struct{ x, w float64 }

// within is the least number such that those up to it have the weight; each goes
// through all numbers.
func (s *sizes) within(weight float64, each func(see func(x, w float64))) float64 {
	b, sum := 0, 0.0
	for b < len(s.weight)-1 && sum+s.weight[b] < weight {
		sum += s.weight[b]
		b++
	}
	in := s.from(b, b, each)
	for _, q := range in {
		if sum += q.w; sum >= weight {
			return q.x
		}
	}
	if len(in) == 0 {
		return 0
	}
	return in[len(in)-1].x
}

// largest is the largest number that is no spike, and how many are. A spike
// stands alone far beyond the rest: over eight times the root mean square and
// over three times the number below which 99.9 % lie; at most one in a thousand
// is one.
func (s *sizes) largest(rms float64, each func(see func(x, w float64))) (x float64, spikes int) {
	rank := min(int(0.999*float64(s.n)), s.n-1)
	b, before := 0, 0
	for before+s.count[b] <= rank {
		before += s.count[b]
		b++
	}
	top := s.from(b, len(s.count)-1, each)
	edge := top[rank-before].x
	for i := len(top) - 1; i > 0 && top[i].x > max(8*rms, 3*edge) && spikes*1000 < s.n; i-- {
		spikes++
	}
	return top[len(top)-1-spikes].x, spikes
}

// from lists the numbers in buckets lo to hi, rising.
func (s *sizes) from(lo, hi int, each func(see func(x, w float64))) []sized {
	var out []sized
	each(func(x, w float64) {
		if b := sizeBucket(x); b >= lo && b <= hi {
			out = append(out, sized{x, w})
		}
	})
	slices.SortFunc(out, func(a, b sized) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.w, b.w)) })
	return out
}
