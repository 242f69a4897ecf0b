package surface

import (
	"math"
	"slices"
)

// pruneShare of a surface's points on one larger neighbour tell that it is no
// surface of its own: a plane along the crown of a torus, a belt of a sphere.
const pruneShare = 0.85

// pruneScatter is how much worse they may lie there: over the 10 % by which a
// surface is flattered that was fitted to few points, and its points chosen.
const pruneScatter = 1.25

// prune gives the points of such surfaces, smallest first, to the neighbour.
func (s *search) prune() {
	members := s.members()
	order := make([]int, 0, len(members))
	for k, points := range members {
		if s.alive[k] && len(points) > 0 {
			order = append(order, k)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return len(members[a]) - len(members[b]) })
	for _, a := range order {
		for _, b := range s.neighboursOf(members[a]) {
			if int(b) == a || len(members[b]) <= len(members[a]) || s.share(s.surfaces[b], members[a]) < pruneShare ||
				s.rms(s.surfaces[b], members[a]) > pruneScatter*max(s.rms(s.surfaces[a], members[a]), s.noiseMM) {
				continue
			}
			s.alive[a] = false
			for _, i := range members[a] {
				s.label[i] = b
			}
			members[b] = append(members[b], members[a]...)
			break
		}
	}
}

// neighboursOf returns the surfaces next to the points, rising.
func (s *search) neighboursOf(points []int32) []int32 {
	var out []int32
	for _, i := range points {
		for _, g := range s.f.near(i) {
			if k := s.label[g]; k >= 0 && !slices.Contains(out, k) {
				out = append(out, k)
			}
		}
	}
	slices.Sort(out)
	return out
}

// rms is the points' root mean square distance from h, those on it.
func (s *search) rms(h Ideal, points []int32) float64 {
	sum, n := 0.0, 0
	for _, i := range points {
		if d := h.Distance(s.f.P[i]); math.Abs(d) <= s.gateMM {
			sum += d * d
			n++
		}
	}
	return math.Sqrt(sum / float64(max(n, 1)))
}

// scattered drops surfaces no connected part of which is large enough to have
// been found by itself: splinters of others that happen to lie on one.
func (s *search) scattered() {
	for k, points := range s.members() {
		if s.alive[k] && s.largestPart(points) < s.opt.LeastSeen {
			s.drop(int32(k), points)
		}
	}
}

// largestPart is the number of points of the largest connected part of a
// surface, or LeastSeen as soon as it is known to be no less.
func (s *search) largestPart(points []int32) int {
	w := &s.walks[0]
	w.begin()
	most := 0
	var queue []int32
	for _, seed := range points {
		if w.has(seed) {
			continue
		}
		w.add(seed)
		queue = append(queue[:0], seed)
		for at := 0; at < len(queue) && len(queue) < s.opt.LeastSeen; at++ {
			for _, g := range s.f.near(queue[at]) {
				if !w.has(g) && s.label[g] == s.label[seed] {
					w.add(g)
					queue = append(queue, g)
				}
			}
		}
		if most = max(most, len(queue)); most >= s.opt.LeastSeen {
			break
		}
	}
	return most
}
