package surface

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Options of Find. Every field counts; DefaultOptions fills them.
type Options struct {
	Gate      float64 // distance within which a point may belong, in noise
	AngleDeg  float64 // angle between a point's normal and the surface's
	LeastSeen int     // points of the smallest surface
	Seed      uint64  // of the order in which seeds are tried
	Idle      int     // seeds in a row without a find, after which the search ends
}

// DefaultOptions: 3.5 sigma cuts one point in 2000 of white noise; 25 degrees
// is twice what smoothed normals err by.
func DefaultOptions() Options {
	return Options{Gate: 3.5, AngleDeg: 25, LeastSeen: 20, Seed: 1, Idle: 150}
}

// Surface is one ideal surface with the points that lie on it.
type Surface struct {
	Ideal  Ideal
	Points []int32 // rising
	RMSMM  float64
	Convex bool // for a mesh: the material is on the inner side
}

// Find returns the ideal surfaces of the field, largest first, and the number
// of each point's surface in that list, -1 for none.
//
// Seeds are drawn in a fixed random order among points without a surface. Round
// a seed, balls of four sizes propose surfaces; each is grown over neighbours
// within the gate, refitted and grown again until it stays the same; the one
// that explains most points is kept, a simpler one where it explains nearly as
// many. At the end every point goes to the nearest surface among its
// neighbours', surfaces are refitted, and those that are one and the same are
// merged.
//
// After: variable-order surface fitting by region growing (Besl and Jain, IEEE
// PAMI 10 (1988) 167) and recover-and-select (Leonardis, Gupta and Bajcsy, IJCV
// 14 (1995) 253); the order of growth and the tests are ours.
func Find(ctx context.Context, f *Field, opt Options) ([]Surface, []int32, error) {
	s := newSearch(f, opt)
	if err := s.run(ctx); err != nil {
		return nil, nil, err
	}
	s.settle()
	s.merge()
	s.settle()
	return s.result()
}

type search struct {
	f        *Field
	opt      Options
	gateMM   float64
	cos      float64
	label    []int32
	mark     []int32
	stamp    int32
	surfaces []Ideal
	alive    []bool
}

func newSearch(f *Field, opt Options) *search {
	s := &search{f: f, opt: opt, label: make([]int32, len(f.P)), mark: make([]int32, len(f.P))}
	for i := range s.label {
		s.label[i] = -1
	}
	s.gateMM = opt.Gate * max(f.NoiseMM, 1e-5*f.SizeMM)
	s.cos = math.Cos(opt.AngleDeg * math.Pi / 180)
	return s
}

func (s *search) free(i int32) bool { return s.label[i] < 0 }

// fits tells whether point i lies on the surface.
func (s *search) fits(h Ideal, i int32) bool { return s.within(h, i, s.gateMM) }

func (s *search) within(h Ideal, i int32, gateMM float64) bool {
	if math.Abs(h.Distance(s.f.P[i])) > gateMM {
		return false
	}
	return math.Abs(r3.Dot(h.Normal(s.f.P[i]), s.f.N[i])) >= s.cos
}

func (s *search) run(ctx context.Context) error {
	order := make([]int32, len(s.f.P))
	for i := range order {
		order[i] = int32(i)
	}
	rng := rand.New(rand.NewPCG(s.opt.Seed, 0))
	rng.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
	idle := 0
	for _, seed := range order {
		if !s.free(seed) {
			continue
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		h, points := s.best(seed)
		if len(points) < s.opt.LeastSeen {
			if idle++; idle > s.opt.Idle {
				break
			}
			continue
		}
		idle = 0
		s.keep(h, points)
	}
	return nil
}

func (s *search) keep(h Ideal, points []int32) {
	k := int32(len(s.surfaces))
	s.surfaces = append(s.surfaces, h)
	s.alive = append(s.alive, true)
	for _, i := range points {
		s.label[i] = k
	}
}

// ballSizes are the numbers of points that propose a surface: few stay inside a
// narrow face, many tell a large radius.
var ballSizes = []int{20, 60, 200, 600}

// best returns the surface that explains most points round the seed.
func (s *search) best(seed int32) (Ideal, []int32) {
	var best Ideal
	var most []int32
	for _, size := range ballSizes {
		ball := s.consistent(seed, size)
		if len(ball) < 10 {
			continue
		}
		p, n := s.gather(ball)
		list := starts(p, n)
		if size >= 200 && len(ball) > size/2 && s.share(list[0], ball) < 0.9 {
			list = append(list, roundStarts(p, n)...)
		}
		for _, h := range list {
			if r, ok := refit(h, p); ok {
				h = r
			}
			if s.share(h, ball) < 0.8 {
				continue
			}
			g, points := s.grow(h, ball)
			if better(g, points, best, most) {
				best, most = g, points
			}
		}
	}
	return best, most
}

// consistent is the ball of free points round the seed whose normals do not
// jump from neighbour to neighbour.
func (s *search) consistent(seed int32, size int) []int32 {
	s.stamp++
	return s.f.ball(seed, size, s.mark, s.stamp, s.free)
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

// better prefers more points; a surface with more freedom must explain 2 % more
// for each parameter.
func better(h Ideal, points []int32, best Ideal, most []int32) bool {
	if best == nil {
		return len(points) > 0
	}
	worth := func(h Ideal, n int) float64 { return float64(n) * (1 - 0.02*freedom(h)) }
	return worth(h, len(points)) > worth(best, len(most))
}

// fitPoints are enough for a fit within the search; more cost time only.
const fitPoints = 1200

// growGates widen the gate at first: a surface told from a small ball is off by
// more than noise where it is carried on far from it.
var growGates = []float64{3, 2, 1.5, 1.2}

// grow lets the surface spread over free neighbours and refits it, until it
// stays the same.
func (s *search) grow(h Ideal, ball []int32) (Ideal, []int32) {
	var points []int32
	last := 0
	for round := 0; round < 14; round++ {
		gate := s.gateMM
		if round < len(growGates) {
			gate *= growGates[round]
		}
		points = s.spread(h, ball, gate)
		if len(points) < 8 {
			return h, nil
		}
		if round > len(growGates) && math.Abs(float64(len(points)-last)) <= 0.005*float64(last) {
			break
		}
		last = len(points)
		p, _ := s.gather(sampled(points, fitPoints))
		r, ok := refit(h, p)
		if !ok {
			break
		}
		h = r
	}
	return h, s.spread(h, ball, s.gateMM)
}

// spread returns the free points within the gate of h that are joined to the
// ball over such points.
func (s *search) spread(h Ideal, ball []int32, gateMM float64) []int32 {
	s.stamp++
	var out []int32
	for _, i := range ball {
		if s.within(h, i, gateMM) {
			s.mark[i] = s.stamp
			out = append(out, i)
		}
	}
	for at := 0; at < len(out); at++ {
		for _, g := range s.f.near(out[at]) {
			if s.mark[g] != s.stamp && s.free(g) && s.within(h, g, gateMM) {
				s.mark[g] = s.stamp
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
