package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// run is a run of the seam as a contact gives it.
func (s *seam) run(i int) Run {
	r := s.runs[i]
	out := Run{Closed: r.closed}
	for k := range r.at {
		out.Points = append(out.Points, SeamPoint{r.at[k], r.na[k], r.nb[k]})
	}
	if r.closed {
		out.Points = append(out.Points, out.Points[0])
	}
	return out
}

func (r Run) length() float64 {
	l := 0.0
	for i := 1; i < len(r.Points); i++ {
		l += r3.Norm(r3.Sub(r.Points[i].AtMM, r.Points[i-1].AtMM))
	}
	return l
}

// seamSagMM is how far a given seam may run beside the one that was found:
// finer than a torch is led, coarse enough to keep files small.
const seamSagMM = 0.01

// thinned leaves out points that a straight line passes within seamSagMM
// (Douglas and Peucker 1973).
func (r Run) thinned() Run {
	n := len(r.Points)
	keep := make([]bool, n)
	keep[0], keep[n-1] = true, true
	spans := [][2]int{{0, n - 1}}
	if r.Closed && n > 3 {
		keep[n/2] = true
		spans = [][2]int{{0, n / 2}, {n / 2, n - 1}}
	}
	for len(spans) > 0 {
		a, b := spans[len(spans)-1][0], spans[len(spans)-1][1]
		spans = spans[:len(spans)-1]
		most, at := seamSagMM, -1
		for i := a + 1; i < b; i++ {
			if d := aside(r.Points[i].AtMM, r.Points[a].AtMM, r.Points[b].AtMM); d > most {
				most, at = d, i
			}
		}
		if at > 0 {
			keep[at] = true
			spans = append(spans, [2]int{a, at}, [2]int{at, b})
		}
	}
	out := Run{Closed: r.Closed}
	for i, k := range keep {
		if k {
			out.Points = append(out.Points, r.Points[i])
		}
	}
	return out
}

// aside is the distance of p from the line through a and b.
func aside(p, a, b r3.Vec) float64 {
	d := r3.Sub(b, a)
	w := r3.Sub(p, a)
	l := r3.Norm2(d)
	if l == 0 {
		return r3.Norm(w)
	}
	return r3.Norm(r3.Sub(w, r3.Scale(min(max(r3.Dot(w, d)/l, 0), 1), d)))
}

// lineRatio is how much longer than wide the place of touching must be to be a
// line.
const lineRatio = 3

// trace follows the line along which two surfaces that face each other touch,
// from the nearest place both ways; false where they touch at a point.
func (s *seam) trace(best spot) (Run, bool) {
	if s.a.scan != nil || s.b.scan != nil {
		return Run{}, false // a scan is too rough to follow
	}
	_, na := s.a.look(best.at)
	_, nb := s.b.look(best.at)
	n := unit(r3.Sub(na, nb))
	if r3.Norm(n) == 0 {
		return Run{}, false
	}
	e1 := unit(r3.Cross(n, leastParallel(n)))
	e2 := r3.Cross(n, e1)
	var line Run
	longest := 0.0
	const ways = 12
	var width [ways]float64
	for k := range ways {
		sin, cos := math.Sincos(float64(k) * math.Pi / ways)
		t := r3.Add(r3.Scale(cos, e1), r3.Scale(sin, e2))
		width[k] = s.reach(best, t) + s.reach(best, r3.Scale(-1, t))
		if width[k] > longest {
			longest = width[k]
			line.Points = []SeamPoint{{AtMM: t}}
		}
	}
	least := longest
	for _, w := range width {
		least = min(least, w)
	}
	if longest == 0 {
		return Run{}, false
	}
	t := line.Points[0].AtMM
	ahead, closed := s.followLine(best, t)
	var at []r3.Vec
	if !closed {
		back, _ := s.followLine(best, r3.Scale(-1, t))
		for i := len(back) - 1; i > 0; i-- {
			at = append(at, back[i])
		}
	}
	at = append(at, ahead...)
	if closed {
		at = append(at, at[0])
	}
	line = Run{Closed: closed}
	for _, p := range at {
		_, na := s.a.look(p)
		_, nb := s.b.look(p)
		line.Points = append(line.Points, SeamPoint{p, na, nb})
	}
	return line, line.length() > lineRatio*least && len(at) > 4
}

// reach is how far the surfaces stay within the tolerance of touching in a
// straight line from best.
func (s *seam) reach(best spot, t r3.Vec) float64 {
	l := 0.0
	for range 400 {
		p := r3.Add(best.at, r3.Scale(l+s.cellMM, t))
		if max(s.a.distance(p), s.b.distance(p)) > max(best.value, 0)+s.tolMM/2 {
			break
		}
		l += s.cellMM
	}
	return l
}

// lineTurnCos is the sharpest turn a step may take: a sharper one is the descent
// sliding about a point.
const lineTurnCos = 0.95

// followLine walks along the place of touching; closed where it comes round.
func (s *seam) followLine(best spot, t r3.Vec) (at []r3.Vec, closed bool) {
	at = []r3.Vec{best.at}
	for range 4000 {
		last := at[len(at)-1]
		p := descend(s.a, s.b, r3.Add(last, r3.Scale(s.cellMM, t)), s.cellMM/4, t)
		if p.value > max(best.value, 0)+s.tolMM/4 {
			return at, false
		}
		if len(at) > 6 && r3.Norm(r3.Sub(p.at, at[0])) < s.cellMM {
			return at, true
		}
		next := unit(r3.Sub(p.at, last))
		if r3.Dot(next, t) < lineTurnCos {
			return at, false
		}
		t = next
		at = append(at, p.at)
	}
	return at, false
}
