package surface

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// ballSizes are the numbers of points that propose a surface: few stay inside a
// narrow face, many tell a large radius; bare points, fewer and barely oriented,
// need more of them.
var ballSizes = []int{20, 60, 200, 600, 2500}

// best returns the surface that explains most points round the seed.
func (s *search) best(seed int32) (Ideal, []int32) {
	var best Ideal
	var most []int32
	top := 0.0
	last := 0
	for _, size := range ballSizes {
		if s.f.Signed && size > 600 {
			break
		}
		ball := s.consistent(seed, size)
		if len(ball) < 10 || len(ball) == last {
			break
		}
		last = len(ball)
		for _, h := range s.propose(ball, size) {
			g, points := s.grow(h, ball)
			if v := s.worth(g, points); v > top {
				best, most, top = g, points, v
			}
		}
	}
	return s.bent(seed, best, most)
}

// bentLeast is the number of points from which a bent surface is worth a search.
const bentLeast = 120

// bent looks for a torus where anything but a plane was found: a short elbow
// is first of all a cylinder, and many of them in a row one torus.
func (s *search) bent(seed int32, best Ideal, most []int32) (Ideal, []int32) {
	if len(most) < bentLeast || Type(best) == "plane" {
		return best, most
	}
	top := s.worth(best, most)
	for _, size := range []int{600, 2500} {
		ball := s.consistent(seed, size)
		p, n := s.gather(sampled(ball, fitPoints))
		h, err := fit.StartTorus(p, n)
		if err != nil {
			continue
		}
		g, points := s.grow(h, ball)
		if v := s.worth(g, points); v > top {
			best, most, top = g, points, v
		}
	}
	return best, most
}

// propose returns surfaces on which most of the ball lies, simple ones first;
// cone and torus only where the plane leaves points over.
func (s *search) propose(ball []int32, size int) []Ideal {
	p, n := s.gather(sampled(ball, fitPoints))
	var out []Ideal
	try := func(list []Ideal) {
		for _, h := range list {
			if r, ok := refit(h, p); ok {
				h = r
			}
			if s.share(h, ball) < 0.8 {
				if s.f.Signed {
					continue
				}
				if h = s.trimmed(h, p); s.share(h, ball) < 0.5 {
					continue
				}
			}
			out = append(out, h)
		}
	}
	list := starts(p, n)
	flat := s.share(list[0], ball) >= 0.9
	try(list)
	if !flat && (s.f.Signed && size >= 200 && len(ball) > size/2 || !s.f.Signed && size > 20) {
		try(roundStarts(p, n))
	}
	return out
}

// trimmed refits h to the nearest 4/5, 2/3 and 1/2 of the points: what else is
// in the ball stops counting.
func (s *search) trimmed(h Ideal, p []r3.Vec) Ideal {
	d := make([]float64, len(p))
	for _, share := range []float64{0.8, 0.65, 0.5} {
		for i, q := range p {
			d[i] = math.Abs(h.Distance(q))
		}
		sorted := slices.Clone(d)
		slices.Sort(sorted)
		limit := sorted[int(share*float64(len(p)-1))]
		var kept []r3.Vec
		for i, q := range p {
			if d[i] <= limit {
				kept = append(kept, q)
			}
		}
		r, ok := refit(h, kept)
		if !ok {
			return h
		}
		h = r
	}
	return h
}

// jumpCos is that of 35 degrees: two thirds of an edge's, whose points' normals
// lie halfway, and the turn of a fillet of two edge lengths radius.
const jumpCos = 0.82

// consistent is the ball of free points round the seed; in a cloud, those whose
// normals do not jump from neighbour to neighbour. (A mesh's edges are its own,
// and its growth stops there.)
func (s *search) consistent(seed int32, size int) []int32 {
	s.stamp++
	return s.f.ball(seed, size, s.mark, s.stamp, func(from, to int32) bool {
		return s.free(to) && (s.f.Signed || math.Abs(r3.Dot(s.f.N[from], s.f.N[to])) > jumpCos)
	})
}

func (s *search) gather(ids []int32) (p, n []r3.Vec) {
	for _, i := range ids {
		p, n = append(p, s.f.P[i]), append(n, s.f.N[i])
	}
	return p, n
}

// share is that of the ball which lies on h.
func (s *search) share(h Ideal, ball []int32) float64 {
	n := 0
	for _, i := range ball {
		if s.fits(h, i) {
			n++
		}
	}
	return float64(n) / float64(len(ball))
}
