package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// arcBins are half-degree bins of angles.
const arcBins = 720

// arc gathers angles and tells how much of the circle they cover.
type arc struct {
	low, high [arcBins]float64
	used      [arcBins]bool
	n         int
}

// add takes an angle in rad, within ±π.
func (s *arc) add(angle float64) {
	i := int((angle + math.Pi) / (2 * math.Pi) * arcBins)
	i = min(max(i, 0), arcBins-1)
	if !s.used[i] {
		s.used[i], s.low[i], s.high[i] = true, angle, angle
	}
	s.low[i], s.high[i] = math.Min(s.low[i], angle), math.Max(s.high[i], angle)
	s.n++
}

// degrees is 360 less the widest gap between neighbours; a gap under three
// times 360/n, or under 2°, is sampling and closes the circle.
func (s *arc) degrees() float64 {
	first, last, widest := -1, 0.0, 0.0
	for i := range s.used {
		if !s.used[i] {
			continue
		}
		if first < 0 {
			first = i
		} else {
			widest = math.Max(widest, s.low[i]-last)
		}
		last = s.high[i]
	}
	if first < 0 {
		return 0
	}
	widest = math.Max(widest, s.low[first]+2*math.Pi-last)
	gap := widest * 180 / math.Pi
	if gap <= math.Max(2, math.Min(90, 3*360/float64(s.n))) {
		return 360
	}
	return 360 - gap
}

// extent gathers the range of a height.
type extent struct{ low, high float64 }

func newExtent() extent { return extent{math.Inf(1), math.Inf(-1)} }

func (e *extent) add(v float64) { e.low, e.high = math.Min(e.low, v), math.Max(e.high, v) }

func (e *extent) length() float64 { return math.Max(0, e.high-e.low) }

// seenAbout fills the arc about an axis and the length along it.
func seenAbout(point, axis r3.Vec, c *cloud, a *Association) {
	e, f := Frame(axis)
	about, along := &arc{}, newExtent()
	for i, q := range c.at {
		if c.w(i) > 0 {
			t := r3.Sub(q, point)
			about.add(math.Atan2(r3.Dot(t, f), r3.Dot(t, e)))
			along.add(r3.Dot(t, axis))
		}
	}
	a.ArcDeg, a.LengthMM = about.degrees(), along.length()*c.scale
}
