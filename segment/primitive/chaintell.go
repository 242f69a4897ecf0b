package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

func (c *chain) describe(e *Element, a association, p *Patch) {
	e.Kind = "arc"
	i := c.longest()
	reversed := c.backward(i)
	u95 := func(value func() float64) float64 { return a.u95(gradient(c, value)) }
	t := &c.trial
	add := func(key string, value func() float64) { e.add(key, value(), u95(value)) }
	add("centreline_diameter_mm", func() float64 { return 2 * t.legs[i].radius })
	add("section_diameter_mm", func() float64 { return 2 * t.rs })
	if c.rb > 0 {
		add("section_bore_mm", func() float64 { return 2 * t.rb })
	}
	if c.inner(i) || c.ends.seen[min(i, 1)] {
		add("sweep_deg", func() float64 { return c.extent(i) * 180 / math.Pi })
	} else {
		e.hide("sweep_deg")
	}
	if c.ends.seen[0] && c.ends.seen[1] {
		add("developed_length_mm", func() float64 {
			sum := 0.0
			for k := range c.legs {
				sum += c.extentMM(k)
			}
			return sum
		})
	} else {
		e.hide("developed_length_mm")
	}
	e.Segments = c.segments(u95, reversed)
	e.Ends = c.ends.describe(a, bendStart, 2*c.rs, p)
	if reversed {
		e.Ends[0], e.Ends[1] = e.Ends[1], e.Ends[0]
	}
	e.Frame = c.frame(p, i)
	e.Form = c.form(a, p)
}

// longest is the arc with the longest centreline.
func (c *chain) longest() int {
	best, most := -1, 0.0
	for i, l := range c.legs {
		if l.arc() && l.lengthMM() > most {
			best, most = i, l.lengthMM()
		}
	}
	return best
}

// backward tells that the longest arc, i, runs clockwise about its axis as the
// contract's frame has it: then the legs are told from the far end.
func (c *chain) backward(i int) bool {
	a := c.now.stop[i].a
	return positive(a) != a
}

// extent is the trial length in mm of a straight, or sweep in radians of an arc.
func (c *chain) extent(i int) float64 {
	l := c.trial.legs[i]
	if c.inner(i) {
		return l.length + l.sweep
	}
	return c.reach(&c.trial.run)[min(i, 1)]
}

func (c *chain) extentMM(i int) float64 {
	if l := c.trial.legs[i]; l.arc() {
		return c.extent(i) * l.radius
	}
	return c.extent(i)
}

// segments tells the legs in order. The turn of an arc is against the one told
// before it, about the way the piece is told; it is the same from either end.
func (c *chain) segments(u95 func(func() float64) float64, reversed bool) []Segment {
	const deg = 180 / math.Pi
	var out []Segment
	later := -1 // the arc that is told before, where told backward
	for k := range c.legs {
		i := k
		if reversed {
			i = len(c.legs) - 1 - k
		}
		s := Segment{Kind: "straight"}
		add := func(key string, value func() float64) {
			s.Dims = append(s.Dims, Dimension{Key: key, Value: value(), U95: u95(value)})
		}
		seen := c.inner(i) || c.ends.seen[min(i, 1)]
		if c.legs[i].arc() {
			s.Kind = "arc"
			add("centreline_diameter_mm", func() float64 { return 2 * c.trial.legs[i].radius })
			if seen {
				add("sweep_deg", func() float64 { return c.extent(i) * deg })
			}
			from := i
			if reversed {
				from, later = later, i
			} else if i == c.firstArc() {
				from = -1
			}
			if from >= 0 {
				add("turn_deg", func() float64 { return c.trial.legs[from].turn * deg })
			}
		} else if seen {
			add("length_mm", func() float64 { return c.extent(i) })
		}
		out = append(out, s)
	}
	return out
}

// frame is that of the longest arc, i: origin at its centre, ref to its start,
// counter-clockwise about the axis.
func (c *chain) frame(p *Patch, i int) Frame {
	q := c.now.stop[i]
	lo, hi := 0.0, c.legs[i].sweep
	if i == 0 {
		lo, hi = -hi, 0
	}
	d := positive(q.a)
	if d != q.a {
		lo = hi
	}
	at, _ := c.now.at(i, lo)
	return Frame{OriginMM: r3.Add(p.OriginMM, q.o), Axis: d, Ref: unit(r3.Sub(at, q.o))}
}

// form is the roundness of the section, over all legs: about the frame that is
// carried with the longest arc's plane on each leg.
func (c *chain) form(a association, p *Patch) Form {
	f := noForm
	b := newBinned(24)
	for i, q := range a.Seen {
		if q.S == bendOuter {
			at := c.now.nearest(p.P[q.V])
			_, t := c.now.at(at.i, at.s)
			w := r3.Sub(p.P[q.V], at.p)
			x := r3.Cross(c.now.stop[at.i].a, t) // away from the centre, or where that was
			b.add(int((math.Atan2(r3.Dot(w, c.now.stop[at.i].a), r3.Dot(w, x))+math.Pi)/(2*math.Pi)*24), a.Residual[i])
		}
	}
	f.RoundnessMM = b.rangeMM()
	return f
}
