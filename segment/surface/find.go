package surface

import (
	"context"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// Options of Find. Every field counts; DefaultOptions fills them.
type Options struct {
	Gate      float64 // distance within which a point may belong, in noise
	AngleDeg  float64 // angle between a point's normal and the surface's
	LeastSeen int     // points of the smallest surface
	Seed      uint64  // of the order in which seeds are tried
	Idle      int     // seeds in a row without a find, after which the search ends
	Points    int     // of a mesh: about so many are searched before all are dealt
}

// DefaultOptions: 3.5 sigma cuts one point in 2000 of white noise; 25 degrees
// is twice what smoothed normals err by.
func DefaultOptions() Options {
	return Options{Gate: 3.5, AngleDeg: 25, LeastSeen: 20, Seed: 1, Idle: 150, Points: fieldPoints}
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
// a seed, balls of several sizes propose surfaces; each is grown over neighbours
// within the gate, refitted and grown again until it stays the same; the one
// that explains most points is kept, a simpler one where it explains nearly as
// many. At the end every point goes to the likeliest surface among its
// neighbours', surfaces are refitted, and those that are one and the same are
// merged.
//
// Of a bare cloud the noise is only known once its surfaces are: where they
// scatter less than was thought, the search starts again with their own.
//
// After: variable-order surface fitting by region growing (Besl and Jain, IEEE
// PAMI 10 (1988) 167) and recover-and-select (Leonardis, Gupta and Bajcsy, IJCV
// 14 (1995) 253); the order of growth and the tests are ours.
func Find(ctx context.Context, f *Field, opt Options) ([]Surface, []int32, error) {
	if f.Signed {
		return findOnMesh(ctx, f, opt)
	}
	noise := f.NoiseMM
	for round := 0; ; round++ {
		s := newSearch(f, opt, noise)
		if err := s.all(ctx); err != nil {
			return nil, nil, err
		}
		own := s.ownNoise()
		if round == 4 || s.noiseMM > noise || own > 0.7*noise {
			return s.result()
		}
		noise = own
	}
}

// findOnMesh seeks surfaces on some points of a mesh.
func findOnMesh(ctx context.Context, f *Field, opt Options) ([]Surface, []int32, error) {
	few, of := f.thinned(opt.Points)
	s := newSearch(few, opt, few.NoiseMM)
	if err := s.all(ctx); err != nil {
		return nil, nil, err
	}
	if of != nil {
		s = s.onAll(f, of)
	}
	return s.result()
}

// onAll brings the surfaces to all points of the field that the search's own was
// thinned from: each starts as what stands for it.
func (s *search) onAll(f *Field, of []int32) *search {
	all := newSearch(f, s.opt, f.NoiseMM)
	all.surfaces, all.alive = s.surfaces, s.alive
	for i, d := range of {
		all.label[i] = s.label[d]
	}
	all.settle()
	all.scattered()
	return all
}

// all seeks surfaces and gives the points to them.
func (s *search) all(ctx context.Context) error {
	if err := s.run(ctx); err != nil {
		return err
	}
	s.simplify()
	s.prune()
	s.settle()
	s.merge()
	s.prune()
	s.settle()
	s.scattered()
	return nil
}

type search struct {
	f        *Field
	opt      Options
	noiseMM  float64
	gateMM   float64
	cos      float64
	label    []int32
	walks    []walk // one a processor
	surfaces []Ideal
	alive    []bool
}

// The least noise that is reckoned with, in spacings: a perfect cloud tells its
// surfaces to the last digit; the blends of a perfect mesh are no ideal surfaces
// at all, and no scanner sees a hundredth of its own edge.
const (
	leastCloud = 0.001
	leastMesh  = 0.01
)

func newSearch(f *Field, opt Options, noiseMM float64) *search {
	s := &search{f: f, opt: opt, label: make([]int32, len(f.P)), walks: newWalks(len(f.P))}
	for i := range s.label {
		s.label[i] = -1
	}
	least := leastCloud
	if f.Signed {
		least = leastMesh
	}
	s.noiseMM = max(noiseMM, 1e-5*f.SizeMM, least*f.SpacingMM)
	s.gateMM = opt.Gate * s.noiseMM
	s.cos = math.Cos(opt.AngleDeg * math.Pi / 180)
	return s
}

func (s *search) free(i int32) bool { return s.label[i] < 0 }

// fits tells whether point i lies on the surface.
func (s *search) fits(h Ideal, i int32) bool { return s.within(h, i, s.gateMM) }

func (s *search) within(h Ideal, i int32, gateMM float64) bool {
	return math.Abs(h.Distance(s.f.P[i])) <= gateMM && s.facing(h, i) >= s.cos
}

// facing is the cosine between the normals of a point and of h. A plane of a mesh
// is one side of metal, which its normal points out of: what looks the other way
// is a face of another piece that lies flush with it. Elsewhere both ways count.
func (s *search) facing(h Ideal, i int32) float64 {
	c := r3.Dot(h.Normal(s.f.P[i]), s.f.N[i])
	if _, flat := h.(fit.Plane); flat && s.f.Signed {
		return c
	}
	return math.Abs(c)
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
