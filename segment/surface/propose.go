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

// trial is a surface that was proposed, with the ball that it grows from, and then
// what it has grown to.
type trial struct {
	h      Ideal
	ball   []int32
	points []int32
	worth  float64
}

// best returns the surface that explains most points round the seed.
func (s *search) best(seed int32) (Ideal, []int32) {
	sizes := ballSizes
	if s.f.Signed {
		sizes = sizes[:4]
	}
	balls := s.balls(seed, sizes)
	lists := make([][]trial, len(balls))
	s.each(len(balls), func(_ *walk, i int) {
		for _, h := range s.propose(balls[i], sizes[i]) {
			lists[i] = append(lists[i], trial{h: h, ball: balls[i]})
		}
	})
	t := s.grown(trial{}, slices.Concat(lists...))
	if len(t.points) < bentLeast || Type(t.h) == "plane" {
		return t.h, t.points
	}
	t = s.bent(seed, t)
	return t.h, t.points
}

// balls are those of free points round the seed, as long as they have enough and
// become larger.
func (s *search) balls(seed int32, sizes []int) [][]int32 {
	var out [][]int32
	last := 9
	for _, size := range sizes {
		ball := s.consistent(seed, size)
		if len(ball) <= last {
			break
		}
		last = len(ball)
		out = append(out, ball)
	}
	return out
}

// grown lets the surfaces grow and returns the one of most worth, best if none has
// more than that.
func (s *search) grown(best trial, list []trial) trial {
	s.each(len(list), func(w *walk, i int) {
		t := &list[i]
		t.h, t.points = s.grow(w, t.h, t.ball)
		t.worth = s.worth(t.h, t.points)
	})
	for _, t := range list {
		if t.worth > best.worth {
			best = t
		}
	}
	return best
}

// bentLeast is the number of points from which a bent surface is worth a search.
const bentLeast = 120

// bent looks for a torus where anything but a plane was found: a short elbow
// is first of all a cylinder, and many of them in a row one torus. A ball most of
// which lies on a straight surface is not bent.
func (s *search) bent(seed int32, found trial) trial {
	name := Type(found.h)
	straight := name == "cylinder" || name == "cone"
	balls := s.balls(seed, []int{600, 2500})
	lists := make([][]trial, len(balls))
	s.each(len(balls), func(_ *walk, i int) {
		if straight && s.share(found.h, balls[i]) >= onMost {
			return
		}
		p, n := s.gather(sampled(balls[i], fitPoints))
		if h, err := fit.StartTorus(p, n); err == nil {
			lists[i] = []trial{{h: h, ball: balls[i]}}
		}
	})
	return s.grown(found, slices.Concat(lists...))
}

// onMost is the share of a ball that is most of it: the rest is noise past the gate,
// or a neighbour's.
const onMost = 0.8

// propose returns surfaces on which most of the ball lies, simple ones first;
// cone and torus only where the plane leaves points over.
func (s *search) propose(ball []int32, size int) []Ideal {
	p, n := s.gather(sampled(ball, fitPoints))
	var out []Ideal
	try := func(list []Ideal) {
		for _, h := range list {
			if r, ok := nearby(h, p); ok {
				h = r
			}
			if s.share(h, ball) < onMost {
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
	return s.f.ball(seed, size, &s.walks[0], func(from, to int32) bool {
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
