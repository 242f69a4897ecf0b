package surface

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// settle gives every point to the nearest surface among its own and its
// neighbours', refits, and repeats until under one point in a thousand moves.
func (s *search) settle() {
	for round := 0; round < 8; round++ {
		next := make([]int32, len(s.label))
		const share = 1 << 14
		s.each((len(next)+share-1)/share, func(_ *walk, k int) {
			for i := k * share; i < min((k+1)*share, len(next)); i++ {
				next[i] = s.nearest(int32(i))
			}
		})
		moved := 0
		for i, k := range next {
			if k != s.label[i] {
				moved++
			}
		}
		s.label = next
		s.refitAll()
		if moved*1000 < len(s.f.P) {
			break
		}
	}
}

// nearest is the surface of least distance that fits point i.
func (s *search) nearest(i int32) int32 {
	if !s.f.Signed {
		return s.likeliest(i)
	}
	best, at := math.Inf(1), int32(-1)
	try := func(k int32) {
		if k < 0 || !s.alive[k] {
			return
		}
		h := s.surfaces[k]
		d := math.Abs(h.Distance(s.f.P[i]))
		if d >= best || d > s.gateMM || s.facing(h, i) < s.cos {
			return
		}
		best, at = d, k
	}
	last := s.label[i]
	try(last)
	for _, g := range s.f.near(i) {
		if k := s.label[g]; k != last {
			last = k
			try(k)
		}
	}
	return at
}

func (s *search) members() [][]int32 {
	out := make([][]int32, len(s.surfaces))
	for i, k := range s.label {
		if k >= 0 {
			out[k] = append(out[k], int32(i))
		}
	}
	return out
}

func (s *search) refitAll() {
	members := s.members()
	s.each(len(members), func(_ *walk, k int) {
		points := members[k]
		if !s.alive[k] {
			return
		}
		if len(points) < s.opt.LeastSeen {
			s.drop(int32(k), points)
			return
		}
		p, _ := s.gather(sampled(points, 4*fitPoints))
		if h, ok := refit(s.surfaces[k], p); ok {
			s.surfaces[k] = h
		}
	})
}

func (s *search) drop(k int32, points []int32) {
	s.alive[k] = false
	for _, i := range points {
		s.label[i] = -1
	}
}

// merge joins surfaces of one type that are one and the same ideal surface,
// parted by a hole, a weld or another piece: the points of each lie on the
// other, and on the common fit as well as on their own.
func (s *search) merge() {
	members := s.members()
	order := make([]int, 0, len(members))
	for k := range members {
		if s.alive[k] {
			order = append(order, k)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return len(members[b]) - len(members[a]) })
	for i, a := range order {
		if !s.alive[a] {
			continue
		}
		for _, b := range order[i+1:] {
			if !s.alive[b] || Type(s.surfaces[a]) != Type(s.surfaces[b]) {
				continue
			}
			if h, ok := s.same(a, b, members); ok {
				s.surfaces[a] = h
				members[a] = append(members[a], members[b]...)
				s.alive[b] = false
				for _, q := range members[b] {
					s.label[q] = int32(a)
				}
			}
		}
	}
}

// same tells whether the points of b lie on a after a common fit.
func (s *search) same(a, b int, members [][]int32) (Ideal, bool) {
	pb := sampled(members[b], 200)
	if s.loose(s.surfaces[a], pb) < 0.5 {
		return nil, false
	}
	ids := append(slices.Clone(sampled(members[a], fitPoints)), sampled(members[b], fitPoints)...)
	p, _ := s.gather(ids)
	h, ok := refit(s.surfaces[a], p)
	if !ok {
		return nil, false
	}
	pa := sampled(members[a], 200)
	if s.share(h, pa) < 0.9*s.share(s.surfaces[a], pa) || s.share(h, pb) < 0.9*s.share(s.surfaces[b], pb) {
		return nil, false
	}
	return h, true
}

// loose is the share of points within three gates of h.
func (s *search) loose(h Ideal, ids []int32) float64 {
	n := 0
	for _, i := range ids {
		if s.within(h, i, 3*s.gateMM) {
			n++
		}
	}
	return float64(n) / float64(len(ids))
}

func (s *search) result() ([]Surface, []int32, error) {
	members := s.members()
	order := make([]int, 0, len(members))
	for k := range members {
		if s.alive[k] && len(members[k]) > 0 {
			order = append(order, k)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return len(members[b]) - len(members[a]) })
	number := make([]int32, len(members))
	for i := range number {
		number[i] = -1
	}
	var out []Surface
	for i, k := range order {
		number[k] = int32(i)
		out = append(out, s.surface(s.surfaces[k], members[k]))
	}
	label := make([]int32, len(s.label))
	for i, k := range s.label {
		label[i] = -1
		if k >= 0 {
			label[i] = number[k]
		}
	}
	return out, label, nil
}

func (s *search) surface(h Ideal, points []int32) Surface {
	sum, side := 0.0, 0.0
	for _, i := range points {
		d := h.Distance(s.f.P[i])
		sum += d * d
		side += r3.Dot(h.Normal(s.f.P[i]), s.f.N[i])
	}
	return Surface{Ideal: h, Points: points, RMSMM: math.Sqrt(sum / float64(len(points))), Convex: side > 0}
}
