package surface

import (
	"math"
	"slices"
)

// worth of a surface is the number of its points, those near the gate for less
// (Torr and Zisserman, CVIU 78 (2000) 138); a parameter must explain 2 % more.
// Of a bare cloud the noise is its own, so that a surface whose scatter is
// larger than that by more than chance lies across two others: it counts a
// fifth. A scan of metal has form on top of noise, and is let off.
func (s *search) worth(h Ideal, points []int32) float64 {
	sum, ss := 0.0, 0.0
	for _, i := range points {
		d := h.Distance(s.f.P[i])
		ss += d * d
		d /= s.gateMM
		sum += 1 - d*d
	}
	sum *= 1 - 0.02*freedom(h)
	if n := float64(len(points)); !s.f.Signed && n > 0 {
		over := math.Sqrt(ss/n)/s.noiseMM - scatterMost - 1/math.Sqrt(n)
		sum *= min(max(1-overSlope*over, 0.2), 1)
	}
	return sum
}

// scatterMost leaves 6 % to the estimate of the noise and to points of other
// surfaces within the gate; overSlope brings 16 % more down to a fifth.
const (
	scatterMost = 1.06
	overSlope   = 5.0
)

// fitPoints are enough for a fit within the search; more cost time only.
const fitPoints = 1200

// growGates widen the gate at first: a surface told from a small ball is off by
// more than noise where it is carried on far from it.
var growGates = []float64{3, 2, 1.5, 1.2}

// grow lets the surface spread over free neighbours and refits it, until it
// stays the same.
func (s *search) grow(w *walk, h Ideal, ball []int32) (Ideal, []int32) {
	var points []int32
	last := 0
	for round := 0; round < 14; round++ {
		gate := s.gateMM
		if round < len(growGates) {
			gate *= growGates[round]
		}
		points = s.spread(w, h, ball, gate)
		if len(points) < 8 {
			return h, nil
		}
		if round > len(growGates) && math.Abs(float64(len(points)-last)) <= 0.005*float64(last) {
			break
		}
		last = len(points)
		p, _ := s.gather(sampled(points, fitPoints))
		r, ok := nearby(h, p)
		if !ok {
			break
		}
		h = r
	}
	return h, s.spread(w, h, ball, s.gateMM)
}

// spread returns the free points within the gate of h that are joined to the
// ball over such points.
func (s *search) spread(w *walk, h Ideal, ball []int32, gateMM float64) []int32 {
	w.begin()
	var out []int32
	for _, i := range ball {
		if s.within(h, i, gateMM) {
			w.add(i)
			out = append(out, i)
		}
	}
	for at := 0; at < len(out); at++ {
		for _, g := range s.f.near(out[at]) {
			if !w.has(g) && s.free(g) && s.within(h, g, gateMM) {
				w.add(g)
				out = append(out, g)
			}
		}
	}
	return out
}

// sampled returns about n of the ids, evenly.
func sampled(ids []int32, n int) []int32 {
	if len(ids) <= n {
		return ids
	}
	sorted := slices.Clone(ids)
	slices.Sort(sorted)
	out := make([]int32, 0, n)
	for k := 0; k < n; k++ {
		out = append(out, sorted[k*len(sorted)/n])
	}
	return out
}
