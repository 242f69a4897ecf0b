package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// flatArcs proposes parts of rings of rectangular section about the axes that the plates and full
// turns of the list suggest: where an arc of a plate's outline is centred, or
// the turn's own axis. A sector's own walls tell its axis poorly where the sweep
// is short.
func flatArcs(list []candidate) proposal {
	return func(p *Patch, _ []motion) []candidate {
		var out []candidate
		var tried []frame
		for i := range list {
			f, ok := arcAxis(&list[i])
			if !ok || knownAxis(tried, f, p.SizeMM) {
				continue
			}
			tried = append(tried, f)
			if c, ok := startSectorAbout(p, f); ok {
				out = append(out, c.candidate(p))
			}
		}
		return out
	}
}

// arcAxis is the axis of a part of a flat ring that the candidate may be.
func arcAxis(c *candidate) (frame, bool) {
	switch s := c.sol.(type) {
	case *round:
		return s.f, s.ri > 0
	case *plate:
		centre, ok := s.arcCentre()
		f := s.f
		f.C = f.at(centre[0], centre[1], (s.z[0]+s.z[1])/2)
		return f, ok
	}
	return frame{}, false
}

// arcCentre is the centre of the longest arc of the outline.
func (c *plate) arcCentre() (centre [2]float64, ok bool) {
	longest := 0.0
	for i, s := range c.outline.Steps {
		if !s.Arc || i >= len(c.outline.Fits) || c.outline.Fits[i].RadiusMM <= 0 {
			continue
		}
		from := c.outline.Steps[(i+len(c.outline.Steps)-1)%len(c.outline.Steps)].To
		if l := hypot(s.Via[0]-from[0], s.Via[1]-from[1]) + hypot(s.To[0]-s.Via[0], s.To[1]-s.Via[1]); l > longest {
			longest, centre = l, c.outline.Fits[i].Centre
		}
	}
	return centre, longest > 0
}

func knownAxis(list []frame, f frame, sizeMM float64) bool {
	for _, o := range list {
		rho, _ := o.radial(f.C)
		if math.Abs(r3.Dot(o.D, f.D)) > 0.9999 && rho < 0.005*sizeMM {
			return true
		}
	}
	return false
}

// preferArc puts a part of a ring before the plate that it is too: both fit
// the same surfaces, the plate with an outline that is free to be anything.
func preferArc(list []candidate, p *Patch) {
	if len(list) == 0 {
		return
	}
	if _, ok := list[0].sol.(*plate); !ok {
		return
	}
	for i := range list {
		if list[i].arcLike(&list[0], p) {
			toFront(list, i)
			return
		}
	}
}

// arcLike tells whether the candidate is a part of a ring, its ends seen and
// near radial, that explains the piece as well as other does. Where an end is hidden
// the other has to be a plate of which neither length nor width is known, or a section
// that lies less close: its sides cannot but be the faces of a rolled plate.
func (c *candidate) arcLike(other *candidate, p *Patch) bool {
	s, ok := c.sol.(*sector)
	if !ok {
		return false
	}
	for k, e := range s.ends.e {
		if s.ends.seen[k] && hypot(e.tu, e.tv) > math.Tan(radialDeg*math.Pi/180) {
			return false
		}
	}
	if !s.ends.seen[0] || !s.ends.seen[1] {
		pl, ok := other.sol.(*plate)
		blank := ok && pl.hidden[0] && pl.hidden[1] && c.explained >= other.explained-0.01 && c.rmsMM <= 1.1*other.rmsMM
		curved := ok && pl.isProfile() && c.explained >= other.explained-0.05 && c.rmsMM < other.rmsMM
		return (blank || curved) && c.covers(p, DefaultOptions()) && c.coverage > arcSeen
	}
	return c.explained >= other.explained-0.05 && c.rmsMM <= 1.5*max(other.rmsMM, p.NoiseMM)
}

// arcSeen is the share of its surface that a part of a ring shows at least, of whose ends
// one is hidden.
const arcSeen = 0.6

// radialDeg is the tilt of an end from radial up to which a piece of a ring is
// called an arc with mitred ends, not a plate: common practice, no source.
const radialDeg = 35
