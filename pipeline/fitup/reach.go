package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bounds of how far the metal of an end that nobody saw goes on to what it meets: in
// gaps of the contact, as it may meet that at a slant, and in its own radii; and the
// share of its radius that is looked at in one step.
const (
	reachGaps  = 3
	reachRadii = 3
	reachStep  = 0.1
)

// reach lengthens long parts at ends that the scan hides, to where their centreline
// goes into what they meet there, or else to where their rim first does: weld covers
// an end, and the part was measured as far as it shows. So much is known of the scan,
// not of what stock changes: both shapes are longer, and nothing moves for it.
func (m *model) reach() {
	for i, b := range m.bodies {
		for end, c := range b.scan.cuts {
			if c == nil || b.shape.cuts[end] == nil || b.endSeen(end) {
				continue
			}
			most := 0.0
			for k := range m.contacts {
				if x := &m.contacts[k]; (x.A == i || x.B == i) && x.GapMM > m.opt.TouchMM {
					by := m.toHost(b, m.bodies[x.A+x.B-i], c, min(reachGaps*x.GapMM, reachRadii*c.radius))
					most = max(most, by)
					if by > 0 {
						x.GapMM = 0
					}
				}
			}
			for _, s := range []*shape{b.scan, b.shape} {
				s.cuts[end].adjust(0, most)
			}
			b.reached[end] = most > 0
		}
	}
}

// toHost is how far the end of a part has to go on, as scanned, to meet another; 0 where
// it does not within a length.
func (m *model) toHost(b, host *body, c *cut, limit float64) float64 {
	if len(host.scan.faces) == 0 {
		return 0
	}
	off := func(q r3.Vec) float64 { return host.scan.distance(host.scanned.local(b.scanned.point(q))) }
	middle := func(by float64) float64 {
		at, _ := c.run.at(c.end() + c.dir*by)
		return off(at)
	}
	rim := func(by float64) float64 {
		at, t := c.run.at(c.end() + c.dir*by)
		e, f := square(t)
		least := math.Inf(1)
		for k := range rimPlaces {
			y, x := math.Sincos(2 * math.Pi * float64(k) / rimPlaces)
			least = min(least, off(r3.Add(at, r3.Scale(c.radius, r3.Add(r3.Scale(x, e), r3.Scale(y, f))))))
		}
		return least
	}
	for _, gap := range []func(float64) float64{middle, rim} {
		if by := firstIn(gap, reachStep*c.radius, limit); by > 0 {
			return by
		}
	}
	return 0
}

// rimPlaces of an end are looked at.
const rimPlaces = 24

// firstIn is where a gap closes first within a limit, 0 where it does not: looked for in
// steps, and found within one by halving it.
func firstIn(gap func(by float64) float64, step, limit float64) float64 {
	for low := 0.0; low < limit; low += step {
		high := low + step
		if gap(high) > 0 {
			continue
		}
		for range 30 {
			if mid := (low + high) / 2; gap(mid) > 0 {
				low = mid
			} else {
				high = mid
			}
		}
		return high
	}
	return 0
}
