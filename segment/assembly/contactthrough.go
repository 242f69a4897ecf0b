package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// through is the body that passes through the other, if one does: the seam runs
// round it twice, and it goes on outwards past both rounds while the other
// does not.
func (s *seam) through() (*body, bool) {
	if s.a.scan != nil || s.b.scan != nil {
		return nil, false // a scan shows too little of what lies inside
	}
	for i := range s.runs {
		for j := i + 1; j < len(s.runs); j++ {
			p, q := s.runs[i], s.runs[j]
			if !p.round(s.cellMM) || !q.round(s.cellMM) {
				continue
			}
			e := unit(r3.Sub(q.mid(), p.mid()))
			if r3.Norm(e) == 0 {
				continue
			}
			for _, guest := range []*body{s.a, s.b} {
				if s.goesOn(p, guest, r3.Scale(-1, e)) && s.goesOn(q, guest, e) {
					return guest, true
				}
			}
		}
	}
	return nil, false
}

// round tells a run that comes back to where it began, nearly.
func (r seamRun) round(cell float64) bool {
	return r.closed || r3.Norm(r3.Sub(r.at[0], r.at[len(r.at)-1])) < max(4*cell, 0.2*pathLength(r.at))
}

func pathLength(p []r3.Vec) float64 {
	l := 0.0
	for i := 1; i < len(p); i++ {
		l += r3.Norm(r3.Sub(p[i], p[i-1]))
	}
	return l
}

func (r seamRun) mid() r3.Vec {
	var m r3.Vec
	for _, p := range r.at {
		m = r3.Add(m, p)
	}
	return r3.Scale(1/float64(len(r.at)), m)
}

// goesOn tells whether, along most of a run, the guest's surface goes on in
// direction e where the other body is no longer.
func (s *seam) goesOn(r seamRun, guest *body, e r3.Vec) bool {
	host, own := s.b, r.na
	if guest == s.b {
		host, own = s.a, r.nb
	}
	step := max(2*(s.gapMM+s.tolMM), 0.6)
	n := 0
	for i, p := range r.at {
		t := unit(across(e, own[i])) // along the guest's surface
		q := r3.Add(p, r3.Scale(step, t))
		if math.Abs(guest.distance(q)) < 0.25*step && host.distance(q) > 0.2*step {
			n++
		}
	}
	return float64(n) > 0.7*float64(len(r.at))
}
