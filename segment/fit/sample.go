package fit

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Size of the sample that starts are sought on, and the share of it that must
// lie on the feature: 1/3 outliers leave 0.65.
const (
	sampleSize = 400
	keptShare  = 0.65
)

// sample is a fixed-seed subset of points in local coordinates, with unit
// normals or nil.
type sample struct {
	cloud
	normal []r3.Vec
	kept   int // how many of the points a trimmed sum takes
	rng    *rand.Rand
}

// newSample draws every point, or one at random from each of sampleSize equal
// runs, so that the order of points along a part does no harm. least is the
// smallest number of points that can make a start.
func newSample(points, normals []r3.Vec, least int) (*sample, error) {
	if normals != nil && len(normals) != len(points) {
		return nil, fmt.Errorf("%w: %d points, %d normals", ErrInput, len(points), len(normals))
	}
	if len(points) < least {
		return nil, fmt.Errorf("%w: %d points, at least %d", ErrTooFew, len(points), least)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	ids := pick(len(points), sampleSize, rng)
	at, normal := make([]r3.Vec, len(ids)), make([]r3.Vec, 0, len(ids))
	for k, i := range ids {
		at[k] = points[i]
		if normals != nil {
			normal = append(normal, unit(normals[i]))
		}
	}
	c, err := newCloud(at, nil)
	if err != nil {
		return nil, err
	}
	s := &sample{cloud: *c, rng: rng}
	if normals != nil {
		s.normal = normal
	}
	s.kept = len(ids)
	if len(ids) >= 5*least { // fewer cannot tell an outlier
		s.kept = int(math.Ceil(keptShare * float64(len(ids))))
	}
	return s, nil
}

// fewer is a sample of up to size of the points, without normals, that draws from the
// same numbers.
func (s *sample) fewer(size int) *sample {
	ids := pick(len(s.at), size, s.rng)
	out := &sample{kept: len(ids) * s.kept / len(s.at), rng: s.rng}
	for _, i := range ids {
		out.at = append(out.at, s.at[i])
	}
	return out
}

// pick returns up to size indices into [0,n), rising, one from each of equal runs.
func pick(n, size int, rng *rand.Rand) []int {
	size = min(n, size)
	ids := make([]int, size)
	for k := range ids {
		low, high := k*n/size, (k+1)*n/size
		ids[k] = low + rng.IntN(high-low)
	}
	return ids
}

// draw returns the index of a random point.
func (s *sample) draw() int { return s.rng.IntN(len(s.at)) }

// trimmed returns the sum of the kept smallest squares in d2, which it
// reorders, and the largest of them.
func trimmed(d2 []float64, kept int) (sum, largest float64) {
	if kept < len(d2) {
		selectSmallest(d2, kept)
	}
	for _, v := range d2[:kept] {
		sum += v
		largest = math.Max(largest, v)
	}
	return sum, largest
}

// selectSmallest moves the k smallest values of v to its front (Hoare's FIND).
func selectSmallest(v []float64, k int) {
	low, high := 0, len(v)-1
	for low < high {
		pivot := v[(low+high)/2]
		i, j := low, high
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		switch {
		case k-1 <= j:
			high = j
		case k-1 >= i:
			low = i
		default:
			return
		}
	}
}

// score is the trimmed sum of squared distances of the sample from f.
func (s *sample) score(f ideal, d2 []float64) float64 {
	for i, q := range s.at {
		d := f.Distance(q)
		if !finite(d) {
			return math.Inf(1)
		}
		d2[i] = d * d
	}
	sum, _ := trimmed(d2, s.kept)
	return sum
}

// scoreUnder is the score where that is under least, +Inf elsewhere. Of a sum under
// least every square is: where too few are, the rest need not be looked at.
func (s *sample) scoreUnder(least float64, f ideal, d2 []float64) float64 {
	over := len(s.at) - s.kept
	for i, q := range s.at {
		d := f.Distance(q)
		if d2[i] = d * d; !(d2[i] < least) {
			if over--; over < 0 {
				return math.Inf(1)
			}
		}
	}
	for _, v := range d2 {
		if !finite(v) {
			return math.Inf(1)
		}
	}
	if sum, _ := trimmed(d2, s.kept); sum < least {
		return sum
	}
	return math.Inf(1)
}

// refined is how many of the best hypotheses are fitted.
const refined = 16

// chooseStart scores the hypotheses, fits the best few with their outliers
// weighted down, and returns the best in local coordinates.
func chooseStart[F ideal](s *sample, all []F, fit func([]r3.Vec, []float64, F) (F, error)) (F, error) {
	type scored struct {
		f     F
		score float64
	}
	d2 := make([]float64, len(s.at))
	list := make([]scored, 0, len(all))
	for _, f := range all {
		if v := s.score(f, d2); finite(v) {
			list = append(list, scored{f, v})
		}
	}
	var best scored
	if len(list) == 0 {
		return best.f, fmt.Errorf("%w: no start", ErrSingular)
	}
	slices.SortStableFunc(list, func(a, b scored) int { return cmp.Compare(a.score, b.score) })
	best = scored{list[0].f, math.Inf(1)} // where none can be fitted, the nearest as it is
	agree := 0
	for _, h := range list[:min(refined, len(list))] {
		f, ok := settle(s, h.f, fit)
		if !ok {
			continue
		}
		v := s.score(f, d2)
		if math.Abs(v-best.score) <= 1e-2*v {
			if agree++; agree == 2 { // three roads to one place
				break
			}
		}
		if v < best.score*0.99 {
			best, agree = scored{f, v}, 0
		}
	}
	if f, ok := settle(s, best.f, fit); ok && s.score(f, d2) <= best.score {
		return f, nil
	}
	return best.f, nil
}

// settle fits f to the kept nearest points, three times over (concentration
// steps: Rousseeuw and Van Driessen, Data Mining and Knowledge Discovery 12,
// 2006), or to all where none can be told for an outlier.
func settle[F ideal](s *sample, f F, fit func([]r3.Vec, []float64, F) (F, error)) (F, bool) {
	if s.kept == len(s.at) {
		g, err := fit(s.at, nil, f)
		return g, err == nil
	}
	d2, w := make([]float64, len(s.at)), make([]float64, len(s.at))
	done := false
	for range 3 {
		for i, q := range s.at {
			d := f.Distance(q)
			d2[i], w[i] = d*d, d*d
		}
		_, largest := trimmed(d2, s.kept)
		for i, v := range w {
			w[i] = 0
			if v <= largest {
				w[i] = 1
			}
		}
		g, err := fit(s.at, w, f)
		if err != nil {
			break
		}
		f, done = g, true
	}
	return f, done
}

// ids are the indices of all points of the sample.
func (s *sample) ids() []int {
	ids := make([]int, len(s.at))
	for i := range ids {
		ids[i] = i
	}
	return ids
}
