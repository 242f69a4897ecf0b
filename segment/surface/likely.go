package surface

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Weights of likeliest, in half squares of a standard deviation: a neighbour
// of the same label is worth tie of them in all, a normal off by 60 degrees
// half of turnMost.
const (
	tie      = 3.0
	turnMost = 4.0
)

// likeliest is the surface that distance, normal and the neighbours' labels
// together make likeliest for point i of a cloud (iterated conditional modes:
// Besag, J. R. Statist. Soc. B 48 (1986) 259). Near an edge a bare point's
// normal says little, and beyond the gate no surface is likely.
func (s *search) likeliest(i int32) int32 {
	near := s.f.near(i)
	best, at := math.Inf(1), int32(-1)
	try := func(k int32) {
		if k < 0 || !s.alive[k] {
			return
		}
		h := s.surfaces[k]
		d := math.Abs(h.Distance(s.f.P[i]))
		if d > s.gateMM {
			return
		}
		same := 0
		for _, g := range near {
			if s.label[g] == k {
				same++
			}
		}
		t := d / s.noiseMM
		e := t*t/2 + turnMost*(1-math.Abs(r3.Dot(h.Normal(s.f.P[i]), s.f.N[i]))) - tie*float64(same)/float64(len(near))
		if e < best || e == best && k < at {
			best, at = e, k
		}
	}
	try(s.label[i])
	for _, g := range near {
		if s.label[g] != s.label[i] {
			try(s.label[g])
		}
	}
	return at
}
