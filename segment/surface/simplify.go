package surface

import (
	"math"
)

// simplify puts a simpler surface, or one as simple that lies closer, in the
// place of one that explains its points no better: a plane found as a cylinder
// of 12 m, a wall as the belt of a sphere.
//
// The measure is Schwarz's (Annals of Statistics 6 (1978) 461): squares in
// units of the noise, and the logarithm of the number of points a parameter.
func (s *search) simplify() {
	for k, points := range s.members() {
		if !s.alive[k] || len(points) < s.opt.LeastSeen || Type(s.surfaces[k]) == "plane" {
			continue
		}
		ids := sampled(points, 400)
		p, n := s.gather(ids)
		noise := max(s.noiseMM, s.rms(s.surfaces[k], ids))
		best := s.surfaces[k]
		least := s.schwarz(best, ids, noise)
		list := starts(p, n)
		if freedom(best) > 5 {
			list = append(list, roundStarts(p, n)...)
		}
		for _, h := range list {
			if Type(h) == Type(s.surfaces[k]) || freedom(h) > freedom(best) {
				continue
			}
			h, ok := refit(h, p)
			if !ok {
				continue
			}
			if v := s.schwarz(h, ids, noise); v < least {
				best, least = h, v
			}
		}
		s.surfaces[k] = best
	}
}

func (s *search) schwarz(h Ideal, ids []int32, noiseMM float64) float64 {
	gate := s.opt.Gate * noiseMM
	sum := 0.0
	for _, i := range ids {
		d := min(math.Abs(h.Distance(s.f.P[i])), gate) / noiseMM
		if s.facing(h, i) < s.cos {
			d = s.opt.Gate
		}
		sum += d * d
	}
	return sum + freedom(h)*math.Log(float64(len(ids)))
}
