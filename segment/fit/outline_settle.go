package fit

import "math"

// settle moves breaks to where they cost least and fits the steps again.
func (f *outlineFitter) settle(rounds int) {
	for r := 0; r < rounds; r++ {
		moved := f.moveBreaks()
		f.refit()
		if !moved && r > 0 {
			return
		}
	}
}

// refit fits every step to its points with the corners that it has now.
func (f *outlineFitter) refit() {
	fresh := make([]outlineCurve, len(f.Segs))
	for k, s := range f.Segs {
		fresh[k] = s.C
		if s.Fillet {
			continue
		}
		ma, mb := f.meetings(k)
		pts := f.gather(s.Lo, s.Hi, s.C, ma, mb)
		if s.Arc {
			if len(pts) < 4 {
				continue
			}
			if c, ok := fitOutlineArc(pts, s.C); ok && f.sweep(s.Lo, s.Hi, c.Centre())*c.K > 0 {
				fresh[k] = c.at(f.L.at((s.Lo + s.Hi) / 2))
			}
			continue
		}
		if len(pts) < 2 {
			pts = f.gather(s.Lo, s.Hi, s.C, nil, nil)
		}
		if c, ok := fitOutlineLine(pts, f.chord(s.Lo, s.Hi)); ok {
			fresh[k] = c
		}
	}
	for k := range f.Segs {
		f.Segs[k].C = fresh[k]
	}
	for k, s := range f.Segs {
		if s.Fillet {
			f.refitFillet(k)
		}
	}
}

// refitFillet makes step k tangent to its neighbours as they are now; where that
// cannot be it becomes a free arc.
func (f *outlineFitter) refitFillet(k int) {
	s := &f.Segs[k]
	if t, ok := outlineTouching(f.Segs[f.prev(k)].C, f.Segs[f.next(k)].C); ok {
		o := s.C.Centre()
		at := (o[0]-t.C0[0])*t.E[0] + (o[1]-t.C0[1])*t.E[1]
		if at, ok = t.fit(f.gather(s.Lo, s.Hi, s.C, nil, nil), at); ok {
			if c, ok := t.curve(at, f.L.at((s.Lo+s.Hi)/2)); ok {
				s.C = c
				return
			}
		}
	}
	s.Fillet = false
}

// moveBreaks shifts every break to the point where the points before it cost
// least on the one and those after it on the other curve.
func (f *outlineFitter) moveBreaks() bool {
	if len(f.Segs) < 2 {
		return false
	}
	moved := false
	for k := range f.Segs {
		n := f.next(k)
		a, b := &f.Segs[k], &f.Segs[n]
		lo := a.Lo + max(1, (a.Hi-a.Lo)/2)
		hi := a.Hi + (b.Hi - b.Lo) - max(1, (b.Hi-b.Lo)/2)
		at := f.bestBreak(a.C, b.C, lo, a.Hi, hi)
		if at != a.Hi {
			moved = true
			b.Lo += at - a.Hi
			a.Hi = at
			f.normalise(k)
			f.normalise(n)
		}
	}
	return moved
}

// normalise keeps Lo within the first turn.
func (f *outlineFitter) normalise(k int) {
	s := &f.Segs[k]
	for s.Lo >= f.L.N {
		s.Lo, s.Hi = s.Lo-f.L.N, s.Hi-f.L.N
	}
	for s.Lo < 0 {
		s.Lo, s.Hi = s.Lo+f.L.N, s.Hi+f.L.N
	}
}

func (f *outlineFitter) bestBreak(a, b outlineCurve, lo, now, hi int) int {
	if hi <= lo {
		return now
	}
	v := f.L.Sigma * f.L.Sigma
	ua, ub := a.u(), b.u()
	cost := func(c outlineCurve, u [2]float64, i int) float64 {
		d := c.dist(u, f.L.at(i))
		return f.L.W[i%f.L.N] * outlineLoss(d*d/v)
	}
	// sum holds a before minus b before: what moving the break to i costs.
	best, at, sum := math.Inf(1), now, 0.0
	for i := lo; i <= hi; i++ {
		ca, cb := cost(a, ua, i), cost(b, ub, i)
		c := sum + math.Min(ca, cb) - cb
		if c < best-1e-9 || c < best+1e-9 && outlineAbs(i-now) < outlineAbs(at-now) {
			best, at = c, i
		}
		sum += ca - cb
	}
	return at
}

func outlineAbs(i int) int {
	if i < 0 {
		return -i
	}
	return i
}

// cost is what the points of the path from lo to hi cost on c, those beside
// the corners ma and mb with the variance that rounding gives them.
func (f *outlineFitter) cost(lo, hi int, c outlineCurve, ma, mb *outlineMeeting) float64 {
	pts := make([]outlinePoint, 0, hi-lo+1)
	sum := 0.0
	for i := lo; i <= hi; i++ {
		q, past := f.weigh(i, lo, hi, c, ma, mb)
		switch {
		case q.W <= 0:
		case past == 0:
			pts = append(pts, q)
		case i == lo || i == hi:
			sum += outlineDropPrice
		default:
			r := past / (3 * f.L.Sigma)
			sum += math.Min(outlineMisfitMax, math.Max(outlineDropPrice, r*r))
		}
	}
	fit, _ := outlineCost(pts, c)
	return sum + fit
}

// jointCost is the cost of one curve in place of two steps. A few outliers are
// forgiven, more than one point in seven are not.
func (f *outlineFitter) jointCost(lo, hi int, c outlineCurve) float64 {
	pts := f.gather(lo, hi, c, nil, nil)
	sum, outliers := outlineCost(pts, c)
	if 7*outliers > len(pts) {
		return math.Inf(1)
	}
	return sum
}

// merge joins neighbours that are one line or one arc: the join that saves most
// first, until none saves.
func (f *outlineFitter) merge() bool {
	any := false
	tries := make([]outlineJoin, len(f.Segs))
	for len(f.Segs) > 1 {
		at := -1
		for k := range f.Segs {
			if !tries[k].Known {
				tries[k] = f.joined(k)
			}
			if tries[k].Gain > 1e-9 && (at < 0 || tries[k].Gain > tries[at].Gain) {
				at = k
			}
		}
		if at < 0 {
			return any
		}
		any = true
		n := f.next(at)
		f.Segs[at] = tries[at].Seg
		f.Segs = append(f.Segs[:n], f.Segs[n+1:]...)
		tries = append(tries[:n], tries[n+1:]...)
		if n < at {
			at--
		}
		tries[at].Known, tries[f.prev(at)].Known, tries[f.next(at)].Known = false, false, false
	}
	return any
}

// flat tells whether the sagitta of an arc is under two standard deviations of
// a point: a bow that nobody would call an arc, however many points prove it.
func (f *outlineFitter) flat(lo, hi int, c outlineCurve) bool {
	length := f.L.path(lo, hi)
	return length*length*math.Abs(c.K) < 16*f.L.Noise
}

// flatten makes lines of flat arcs.
func (f *outlineFitter) flatten() bool {
	any := false
	for k := range f.Segs {
		s := &f.Segs[k]
		if !s.Arc || s.Fillet || len(f.Segs) < 2 || !f.flat(s.Lo, s.Hi, s.C) {
			continue
		}
		if c, _, ok := f.fitFresh(s.Lo, s.Hi, false); ok {
			s.C, s.Arc, any = c, false, true
		}
	}
	return any
}

// outlineJoin is a step in place of two and what it saves.
type outlineJoin struct {
	Seg   outlineSeg
	Gain  float64
	Known bool
}

// A kink of under 3 degrees between two edges is rarer than noise that looks
// like one at the best of many places.
const (
	outlineKinkMin   = 0.05
	outlinePriorKink = 10.0
)

// joined tries step k and the next as one.
func (f *outlineFitter) joined(k int) outlineJoin {
	out := outlineJoin{Known: true, Gain: math.Inf(-1)}
	a, b := f.Segs[k], f.Segs[f.next(k)]
	lo, hi := a.Lo, a.Hi+b.Hi-b.Lo
	if a.Fillet || b.Fillet {
		return out
	}
	apart := f.cost(a.Lo, a.Hi, a.C, nil, nil) + f.cost(b.Lo, b.Hi, b.C, nil, nil)
	was := math.Min(apart, f.apart(k)) + f.price(a.Arc) + f.price(b.Arc)
	if !a.Arc && !b.Arc && math.Abs(math.Remainder(b.C.Theta-a.C.Theta, 2*math.Pi)) < outlineKinkMin {
		was += outlinePriorKink
	}
	for _, arc := range []bool{false, true} {
		if gain := was - f.price(arc); gain <= math.Max(0, out.Gain) {
			continue
		}
		c, isArc, good := f.fitFresh(lo, hi, arc)
		if !good || isArc != arc || arc && (f.flat(lo, hi, c) || !f.chordsFit(lo, hi, c)) {
			continue
		}
		if gain := was - f.jointCost(lo, hi, c) - f.price(arc); gain > out.Gain {
			out.Gain, out.Seg = gain, outlineSeg{Lo: lo, Hi: hi, Arc: arc, C: c}
		}
	}
	return out
}

// apart is the cost of step k and the next with their common corner.
func (f *outlineFitter) apart(k int) float64 {
	a, b := f.Segs[k], f.Segs[f.next(k)]
	m := f.meeting(a.C, b.C, f.L.at(a.Hi))
	return f.cost(a.Lo, a.Hi, a.C, nil, &m) + f.cost(b.Lo, b.Hi, b.C, &m, nil)
}

func (f *outlineFitter) chordsFit(lo, hi int, c outlineCurve) bool {
	longest := 0.0
	for i := lo; i < hi; i++ {
		longest = math.Max(longest, f.L.path(i, i+1))
	}
	return outlineChordsFit(longest, f.L.path(lo, hi)/float64(hi-lo), 1/math.Abs(c.K), f.L.Sigma)
}
